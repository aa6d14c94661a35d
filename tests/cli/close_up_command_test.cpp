#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "base/files.h"
#include "compare/close_up_file.h"
#include "measure/survey_file.h"
#include "photo/encode.h"
#include "tests/cli/rendered_words.h"
#include "tests/compare/rendered_close_up.h"
#include "tests/process.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
namespace fs = std::filesystem;

namespace {

struct Photos {
  test::TemporaryFolder folder;
  RenderedCloseUp pair = rendered_close_up(8, {800, 600});
  std::string photo = (folder.path() / "front.png").string(),
              close_up = (folder.path() / "scope.png").string(),
              out = (folder.path() / "placed").string();
  Photos() {
    write_file(photo, png_bytes(pair.photo.bgr));
    write_file(close_up, png_bytes(pair.close_up.bgr));
  }
  std::vector<std::string> straight() const {
    return test::first_method(test::straight_words(pair.spec.size_mm, pair.photo.truth.view));
  }
  // Four places of both, from the truth.
  std::string pairs() const {
    std::string text;
    for (const size_t i : {size_t{10}, size_t{16}, size_t{64}, size_t{70}}) {
      const PointPair& p = pair.seen.at(i);
      text += fmt::format("{:.2f},{:.2f} {:.2f},{:.2f}\n", p.first_px.x, p.first_px.y,
                          p.second_px.x, p.second_px.y);
    }
    return text;
  }
};

test::Ran run(const std::vector<std::string>& arguments,
              const std::vector<std::string>& more = {}) {
  return test::run_here(arguments, more);
}

}  // namespace

TEST_CASE("a close-up is laid on its photo by places set by hand, surveyed and kept",
          "[cli][slow]") {
  const Photos p;
  const std::string pairs = (p.folder.path() / "pairs.txt").string();
  write_file(pairs, p.pairs());
  const std::string book = (p.folder.path() / "shelf").string();
  REQUIRE(run({"jobbook", "init", book}).code == 0);
  std::string unit = run({"jobbook", "receive", book, "--name", "Logger"}).out;
  unit.erase(unit.find_last_not_of(" \n") + 1);
  const test::Ran ran = run({"close-up", p.photo, p.close_up, "--pairs", pairs, "--jobbook", book,
                             "--unit", unit, "--board", "main", "-o", p.out},
                            p.straight());
  CAPTURE(ran.messages, ran.out);
  REQUIRE(ran.code == 0);
  CHECK_THAT(ran.out, Contains("placed on front.png"));
  CHECK_THAT(ran.messages, Contains("Kept in the job book"));
  for (const char* name : {"close-up.json", "close-up.jpg", "close-up.rectification.json",
                           "survey.json", "labels.png"})
    CHECK(fs::exists(fs::path(p.out) / name));
  CHECK_FALSE(fs::exists(fs::path(p.out) / "parts.csv"));  // no part of any layout is known
  const Bytes text = read_file(fs::path(p.out) / "close-up.json", 1 << 20);
  const auto json = nlohmann::json::parse(reinterpret_cast<const char*>(text.data()),
                                          reinterpret_cast<const char*>(text.data()) + text.size());
  CHECK(json.at("format") == "verdigrid-close-up");
  // Its own survey measures in the board's frame, at the scale it was taken with.
  const Survey survey = load_survey(fs::path(p.out));
  REQUIRE(survey.rectification.px_per_mm);
  const double truth = p.pair.scale * p.pair.photo.truth.px_per_mm;
  CHECK(survey.rectification.px_per_mm->value == Approx(truth).epsilon(0.1));
  const size_t start = ran.messages.find("as close-up-") + 3;
  const std::string record = ran.messages.substr(start, ran.messages.find('.', start) - start);
  CHECK_THAT(run({"jobbook", "show", book, record}).out, Contains(record + " (close-up)"));

  // A survey folder whose photo is gone: the option that names it.
  fs::remove(p.close_up);
  const test::Ran gone = run({"close-up", p.out, p.photo, "-o", p.out + " again"}, {});
  CHECK(gone.code == 3);
  CHECK_THAT(gone.messages, Contains("name it with --photo."));
}

TEST_CASE("a close-up of something else ends with code 5 and the way out", "[cli][slow]") {
  const Photos p;
  cv::Mat noise(300, 400, CV_8UC3);
  cv::RNG random(3);
  random.fill(noise, cv::RNG::UNIFORM, 0, 255);
  write_file(p.close_up, png_bytes(noise));
  const test::Ran ran = run({"close-up", p.photo, p.close_up, "-o", p.out}, p.straight());
  CHECK(ran.code == 5);
  CHECK_THAT(ran.messages, Contains("--pairs") && Contains("scope.png was not placed"));
  CHECK_FALSE(fs::exists(p.out));
}
