#include "viewer/theme.h"

#include <catch2/catch.hpp>

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

// WCAG 2.1, success criterion 1.4.3: text of normal size needs 4.5 : 1.
TEST_CASE("every text colour keeps 4.5 to 1 on every ground it lies on") {
  for (const Tone tone : {Tone::dark, Tone::light}) {
    const Theme t = theme_of(tone, 1);
    for (const ImVec4& ground : {t.surface, t.panel, t.raised}) {
      CHECK(contrast(t.text, ground) >= 4.5);
      CHECK(contrast(t.muted, ground) >= 4.5);
      CHECK(contrast(t.warning, ground) >= 4.5);
    }
    CHECK(contrast(t.on_accent, t.accent) >= 4.5);
  }
}

// WCAG 2.1, definition of contrast ratio: black on white is 21.
TEST_CASE("the contrast of black on white is 21") {
  CHECK_THAT(contrast({0, 0, 0, 1}, {1, 1, 1, 1}), WithinAbs(21, 1e-6));
  CHECK_THAT(contrast({0.5f, 0.5f, 0.5f, 1}, {0.5f, 0.5f, 0.5f, 1}), WithinAbs(1, 1e-9));
}
