#include "layout/export.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "tests/layout/sample_layout.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

size_t count(const std::string& text, const std::string& what) {
  size_t n = 0;
  for (size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++n;
  return n;
}

// XML 1.0 in a dozen lines: every element closed in order, attributes quoted, no stray '<' or '&'.
void check_well_formed(const std::string& xml) {
  std::vector<std::string> open;
  for (size_t at = xml.find('<'); at != std::string::npos; at = xml.find('<', at + 1)) {
    const size_t end = xml.find('>', at);
    REQUIRE(end != std::string::npos);
    const std::string tag = xml.substr(at + 1, end - at - 1);
    CHECK(count(tag, "\"") % 2 == 0);
    if (tag[0] == '?') continue;
    if (tag[0] == '/') {
      REQUIRE_FALSE(open.empty());
      CHECK(open.back() == tag.substr(1));
      open.pop_back();
    } else if (tag.back() != '/') {
      open.push_back(tag.substr(0, tag.find(' ')));
    }
  }
  CHECK(open.empty());
  for (size_t at = xml.find('&'); at != std::string::npos; at = xml.find('&', at + 1))
    CHECK(xml.find(';', at) - at <= 6);
}

}  // namespace

TEST_CASE("the centroid table has one row per part and y up from the lower left corner") {
  Layout layout = sample_layout();
  layout.parts[0].value = "a,\"b\"";
  const std::string csv = centroid_csv(layout);
  CHECK(count(csv, "\n") == 4);
  CHECK_THAT(csv, Contains("Mid X (mm),Mid Y (mm)"));
  // 150.3 - 20.7 = 129.6
  CHECK_THAT(csv, Contains("C12,\"a,\"\"b\"\"\",radial-10,aluminium-radial,30.1000,129.6000,90.000,"
                           "back,10.0000,10.0000,round\n"));
  layout.has_mm = false;
  layout.grid.reset();
  CHECK_THAT(centroid_csv(layout), Contains("Mid X (board px)"));
}

TEST_CASE("the drawing is well-formed, true to size, and has every letter, zone and part") {
  Layout layout = sample_layout();
  layout.board_type = "A & B <1>";
  const std::string svg = drawing_svg(layout);
  check_well_formed(svg);
  CHECK_THAT(svg, Contains("width=\"224.100mm\" height=\"174.300mm\""));
  CHECK(count(svg, "class=\"column\"") == 2 * 8);
  CHECK(count(svg, "class=\"row\"") == 2 * 8);  // 150.3 / 25.01 makes 7, rounded up to even
  CHECK_THAT(svg, Contains(">A</text>") && Contains(">H</text>") && !Contains(">I</text>"));
  CHECK_THAT(svg, Contains("Power (5)") && Contains("url(#cross)") && Contains("BT1"));
  CHECK_THAT(svg, !Contains("C12"));  // on the back
  DrawingOptions back;
  back.view = DrawingView::back;
  const std::string other = drawing_svg(layout, back);
  check_well_formed(other);
  CHECK_THAT(other, Contains("C12") && !Contains("Power (5)") && !Contains(">BT1<"));
  back.draws_other_side = true;
  CHECK_THAT(drawing_svg(layout, back), Contains("BT1"));
  back.margin = -1;
  CHECK_THROWS_WITH(drawing_svg(layout, back), Contains("margin"));
  check_well_formed(drawing_svg(Layout{}));
}
