#include "detect/reason.h"

#include <catch2/catch.hpp>

#include "detect/reference_colours.h"

using namespace verdigrid;

TEST_CASE("each reference colour is its own nearest", "[detect][reason]") {
  for (const auto& r : reference_colours()) {
    const auto nearest = nearest_reference(r.lab, r.residue);
    CHECK(nearest.reference == &r);
    CHECK(nearest.ciede2000 == Approx(0).margin(1e-12));
  }
}

TEST_CASE("reference colours lie apart as their published spectra say", "[detect][reason]") {
  // CIEDE2000 of the colours summed from USGS splib06a HS254.3B, HS297.3B, SM93-14A, GDS27 and
  // WS222 (Clark and others 2007), to the 0.05 that two decimals of Lab leave.
  const auto lab = [](std::string_view source) {
    for (const auto& r : reference_colours())
      if (r.source == source) return r.lab;
    FAIL("no reference from " << source);
    return Lab{};
  };
  const Lab malachite = lab("USGS06 HS254.3B");
  CHECK(ciede2000(malachite, lab("USGS06 HS297.3B")) == Approx(20.84).margin(0.05));
  CHECK(ciede2000(malachite, lab("USGS06 SM93-14A")) == Approx(9.49).margin(0.05));
  CHECK(ciede2000(malachite, lab("USGS06 GDS27")) == Approx(43.59).margin(0.05));
  CHECK(ciede2000(malachite, lab("USGS06 WS222")) == Approx(30.21).margin(0.05));
}

TEST_CASE("colours have plain names", "[detect][reason]") {
  CHECK(colour_word({65, -35, -18}) == "teal");
  CHECK(colour_word({20, 0, 0}) == "black");
  CHECK(colour_word({95, 1, 2}) == "white");
  CHECK(colour_word({45, 22, 49}) == "brown");
  CHECK(colour_word({30, 31, 25}) == "red-brown");
}

TEST_CASE("a reason names colour, surface, ground, board and substance", "[detect][reason]") {
  Evidence e{{60, -28, -12}, {32, -18, 10}};
  e.lightness_sd = 8;
  e.metal_share = 0.4;
  const auto words = reason_of(Residue::copper_salt, e);
  CHECK_THAT(words, Catch::StartsWith("teal, mottled, matt, on or beside bare metal; "));
  CHECK_THAT(words, Catch::Contains("from the board's own green"));
  CHECK_THAT(words, Catch::Contains("copper mineral"));
}
