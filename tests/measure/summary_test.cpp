#include "measure/summary.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "tests/measure/sample_survey.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

std::string joined(const Survey& s) {
  std::string text;
  for (const std::string& line : summary_lines(s)) text += line + "\n";
  return text;
}

}  // namespace

TEST_CASE("the summary says what was found, where, how sure, and what was not seen") {
  const Survey s = sample_survey();
  CHECK(summary_lines(s).size() == 10);
  const std::string text = joined(s);
  CHECK_THAT(text, Contains("Photo check: usable. The corner at the top left is soft"));
  CHECK_THAT(text, Contains("2.34 px per mm") && Contains("given corners") && Contains("tilt 7°"));
  CHECK_THAT(text, Contains("Board: 100.0 x 75.0 mm, grid A1 to F8"));
  CHECK_THAT(text, Contains("2 findings") && Contains("mm² (") && Contains("copper attacked"));
  CHECK_THAT(text, Contains("1 copper-salt: ") && Contains("1 attacked-joint: "));
  CHECK_THAT(text, Contains("Worst squares: "));
  CHECK_THAT(text, Contains("Unseen in this photo: ") && Contains("not a clearance"));
}

TEST_CASE("nothing found is no clearance, and no scale gives no mm²") {
  const std::string text = joined(empty_survey());
  CHECK_THAT(text, Contains("nothing found in what this photo shows; 0 % unseen; not a clearance"));
  CHECK_THAT(text, Contains("Scale: none") && Contains("% of the photo"));
  CHECK_THAT(text, !Contains("1 mm²"));
}

TEST_CASE("a summary never calls a board clean, safe or OK") {
  for (const Survey& s : {sample_survey(), empty_survey()}) {
    std::string text = joined(s);
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    for (const char* word : {"clean", "safe", " ok", "okay"}) CHECK_THAT(text, !Contains(word));
  }
}
