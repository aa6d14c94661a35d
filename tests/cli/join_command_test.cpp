#include <catch2/catch.hpp>

#include "base/files.h"
#include "photo/decode.h"
#include "photo/encode.h"
#include "rectify/rectification_file.h"
#include "tests/cli/rendered_words.h"
#include "tests/compare/rendered_parts.h"
#include "tests/process.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
namespace fs = std::filesystem;

namespace {

// The four photos of a rendered board, as files.
struct Photos {
  test::TemporaryFolder folder;
  RenderedParts parts = rendered_parts(0, {640, 480});
  std::vector<std::string> files;
  std::string out = (folder.path() / "side").string();
  Photos() {
    for (size_t i = 0; i < parts.photos.size(); ++i) {
      files.push_back((folder.path() / ("part" + std::to_string(i + 1) + ".png")).string());
      write_file(files.back(), png_bytes(parts.photos[i].bgr));
    }
  }
  test::Ran join(std::vector<std::string> words) const {
    words.insert(words.begin(), "join");
    words.insert(words.end(), {"-o", out});
    return test::run_here(words);
  }
};

}  // namespace

TEST_CASE("photos of one side become one straight picture that can be surveyed", "[cli][slow]") {
  const Photos p;
  std::vector<std::string> words = p.files;
  const cv::Size2d mm = p.parts.spec.size_mm;
  words.insert(words.end(), {"--board-mm", fmt::format("{:.1f}x{:.1f}", mm.width, mm.height)});
  const test::Ran ran = p.join(words);
  CAPTURE(ran.messages, ran.out);
  REQUIRE(ran.code == 0);
  CHECK_THAT(ran.out, Contains("Joined: 4 photos"));
  CHECK_THAT(ran.out, Contains("part1.png: ") && Contains("part4.png: "));
  CHECK(fs::exists(fs::path(p.out) / "seams.jpg"));
  const Photo side = load_photo(fs::path(p.out) / "side.png", {});
  const Rectification r = load_rectification(fs::path(p.out) / "side.rectification.json");
  CHECK(r.photo_size_px == side.bgr.size());
  const cv::Rect2d board = bounding_box(r.outline_board.outer);
  CHECK(board.width == Approx(mm.width).epsilon(0.02));
  CHECK(board.height == Approx(mm.height).epsilon(0.02));
  const test::Ran survey =
      test::run_here({"survey", (fs::path(p.out) / "side.png").string(), "--rectification",
                      (fs::path(p.out) / "side.rectification.json").string(), "-o",
                      (p.folder.path() / "survey").string()},
                     test::first_method({}));
  CAPTURE(survey.messages);
  CHECK(survey.code == 0);
}

TEST_CASE("photos that cannot be joined leave nothing behind and say which and why",
          "[cli][slow]") {
  const Photos p;
  SECTION("one photo") {
    const test::Ran ran = p.join({p.files[0]});
    CHECK(ran.code == 2);
    CHECK_THAT(ran.messages, Contains("two or more"));
  }
  SECTION("more photos than memory is for, before any is read") {
    const test::Ran ran = p.join(std::vector<std::string>(61, "not there.png"));
    CHECK(ran.code == 2);
    CHECK_THAT(ran.messages, Contains("60 at most"));
  }
  SECTION("photos of two boards") {
    const RenderedParts other = rendered_parts(5, {480, 360});
    const std::string stranger = (p.folder.path() / "stranger.png").string();
    write_file(stranger, png_bytes(other.photos[0].bgr));
    const test::Ran ran = p.join({p.files[0], stranger});
    CHECK(ran.code == 5);
    CHECK_THAT(ran.messages, Contains("stranger.png"));
  }
  SECTION("a file that is no photo") {
    const std::string text = (p.folder.path() / "notes.jpg").string();
    write_file(text, "hardly a photo");
    const test::Ran ran = p.join({p.files[0], text});
    CHECK(ran.code == 3);
    CHECK_THAT(ran.messages, Contains("notes.jpg"));
  }
  CHECK_FALSE(fs::exists(p.out));
}
