#include <catch2/catch.hpp>

#include "base/error.h"
#include "layout/import.h"

using namespace verdigrid;

namespace {

Bytes bytes(const std::string& text) {
  Bytes out;
  for (char c : text) out.push_back(static_cast<std::byte>(c));
  return out;
}

// UTF-16 of a text of Basic Multilingual Plane code points.
Bytes utf16(const std::u16string& text, bool big) {
  Bytes out;
  for (char16_t c : text) {
    const auto low = static_cast<std::byte>(c & 0xFF), high = static_cast<std::byte>(c >> 8);
    out.push_back(big ? high : low);
    out.push_back(big ? low : high);
  }
  return out;
}

}  // namespace

// The Unicode Standard 15.0, sections 3.9 and 23.8: U+00B5 is C2 B5, U+03A9 is CE A9, U+1F50B is
// F0 9F 94 8B (D83D DD0B in UTF-16); byte order marks EF BB BF, FF FE, FE FF.
TEST_CASE("every encoding of a text gives the same UTF-8") {
  const std::string truth =
      "C1,10\xC2\xB5"
      "F,\xCE\xA9,\xF0\x9F\x94\x8B";
  const std::u16string wide = u"C1,10\u00B5F,\u03A9,\U0001F50B";
  CHECK(utf8_text(bytes(truth), "x") == truth);
  CHECK(utf8_text(bytes("\xEF\xBB\xBF" + truth), "x") == truth);
  CHECK(utf8_text(utf16(u"\uFEFF" + wide, false), "x") == truth);
  CHECK(utf8_text(utf16(u"\uFEFF" + wide, true), "x") == truth);
  CHECK(utf8_text(utf16(u"Designator,Mid X,Mid Y\n", false), "x") == "Designator,Mid X,Mid Y\n");
  CHECK(utf8_text(utf16(u"Designator,Mid X,Mid Y\n", true), "x") == "Designator,Mid X,Mid Y\n");
  // Windows-1252: B5 is the micro sign, 80 the euro sign.
  CHECK(utf8_text(bytes("10\xB5"
                        "F \x80"),
                  "x") ==
        "10\xC2\xB5"
        "F \xE2\x82\xAC");
  CHECK(utf8_text({}, "x").empty());
}

TEST_CASE("what is no text is refused") {
  CHECK_THROWS_AS(utf8_text(bytes(std::string("PK\0\3abc\0", 8)), "x"), Error);
}

TEST_CASE("broken encodings become readable text and never bytes that are not UTF-8") {
  CHECK(utf8_text(bytes("\xFF\xFE\x3D\xD8"), "x") == "\xEF\xBF\xBD");  // half a surrogate pair
  CHECK(utf8_text(bytes("\xC2"), "x") == "\xC3\x82");                  // cut UTF-8: Windows-1252
  CHECK(utf8_text(bytes("\xED\xA0\x80"), "x").size() == 7);            // a surrogate is no UTF-8
}
