#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <sstream>

#include "base/files.h"
#include "compare/comparison_file.h"
#include "jobbook/job_book.h"
#include "photo/encode.h"
#include "tests/cli/rendered_words.h"
#include "tests/compare/rendered_change.h"
#include "tests/process.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
namespace fs = std::filesystem;

namespace {

// A rendered board and the same one wholly washed, seen from another place.
struct Photos {
  test::TemporaryFolder folder;
  RenderedChange pair = rendered_change(8, {640, 480});
  std::string before = (folder.path() / "before.png").string(),
              after = (folder.path() / "after.png").string(),
              out = (folder.path() / "compared").string();
  std::string board_mm =
      fmt::format("{:.1f}x{:.1f}", pair.before_spec.size_mm.width, pair.before_spec.size_mm.height);
  Photos() {
    write_file(before, png_bytes(pair.before.bgr));
    write_file(after, png_bytes(pair.after.bgr));
  }
  // Size and corners of the board, for a photo of the pair.
  std::vector<std::string> straight(const synthetic::Truth& truth) const {
    return test::straight_words(pair.before_spec.size_mm, truth.view);
  }
  // The same, found by the detector that needs no weights.
  std::vector<std::string> found(const synthetic::Truth& truth) const {
    return test::first_method(straight(truth));
  }
};

test::Ran run(const std::vector<std::string>& arguments,
              const std::vector<std::string>& more = {}) {
  return test::run_here(arguments, more);
}

// The report of a unit, with nothing but what changed.
std::string changes_page(const std::string& book, const std::string& unit,
                         const std::string& page) {
  REQUIRE(run({"report", unit, "--jobbook", book, "-o", page, "--sections", "changes"}).code == 0);
  const Bytes bytes = read_file(page, 64 << 20);
  return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

}  // namespace

TEST_CASE("a photo before and one after the wash are compared, with files to look at",
          "[cli][slow]") {
  const Photos p;
  const std::vector<std::string> straight = p.found(p.pair.before.truth);
  const test::Ran ran = run({"compare", p.before, p.after, "--after-dry", "-o", p.out}, straight);
  CAPTURE(ran.messages, ran.out);
  REQUIRE(ran.code == 0);
  CHECK_THAT(ran.out, Contains("Verdict: ") && Contains("not a clearance"));
  for (const std::string& name : comparison_file_names()) CHECK(fs::exists(fs::path(p.out) / name));
  const Comparison c = load_comparison(fs::path(p.out));
  CHECK(error_of(c.alignment, p.pair).rms_px < 1);
  CHECK(c.options.verdict.after == Dryness::dry);
  // Its report holds both photos and, for the bench, where what changed.
  const std::string page = p.out + ".html";
  REQUIRE(run({"report", p.out, "-o", page}).code == 0);
  const Bytes bytes = read_file(page, 64 << 20);
  const std::string html(reinterpret_cast<const char*>(bytes.data()), bytes.size());
  for (const char* part : {"type=\"range\"", "The board before", "The board after"}) {
    INFO(part);
    CHECK(html.find(part) != std::string::npos);
  }
  const std::string owner = p.out + "-owner.pdf";
  CHECK(run({"report", p.out, "--for", "owner", "-o", owner}).code == 0);
  CHECK(fs::file_size(owner) > 10'000);
  // A photo after that is another file is refused.
  const test::Ran other =
      run({"report", p.out, "--after-photo", p.before, "-o", p.out + "-2.html"});
  CHECK(other.code == 3);
  CHECK_THAT(other.messages, Contains("is not the photo that was used"));
  // A folder with anything else in it is left alone.
  write_file(fs::path(p.out) / "mine.txt", std::string_view("kept"));
  CHECK(run({"compare", p.before, p.after, "-o", p.out}, straight).code == 6);
  CHECK(fs::exists(fs::path(p.out) / "mine.txt"));
}

TEST_CASE("photos that do not show one side end with code 5 and the way out", "[cli]") {
  const Photos p;
  const std::vector<std::string> straight = p.found(p.pair.before.truth);
  cv::Mat noise(480, 640, CV_8UC3);
  cv::RNG random(3);
  random.fill(noise, cv::RNG::UNIFORM, 0, 255);
  const std::string other = (p.folder.path() / "other.png").string();
  write_file(other, png_bytes(noise));
  const test::Ran ran = run({"compare", p.before, other, "-o", p.out}, straight);
  CHECK(ran.code == 5);
  CHECK_THAT(ran.messages, Contains("--pairs"));
  CHECK_FALSE(fs::exists(p.out));
  // Pairs that cannot be read are named by their line.
  const std::string pairs = (p.folder.path() / "pairs.txt").string();
  write_file(pairs, std::string_view("# before after\n1,2 3,4\nfive\n"));
  const test::Ran wrong =
      run({"compare", p.before, p.after, "--pairs", pairs, "-o", p.out}, straight);
  CHECK(wrong.code == 3);
  CHECK_THAT(wrong.messages, Contains("line 3"));
}

TEST_CASE("survey folders are compared with the photos they were made from", "[cli][slow]") {
  const Photos p;
  const std::string a = (p.folder.path() / "a").string(), b = (p.folder.path() / "b").string();
  REQUIRE(run({"survey", p.before, "-o", a}, p.found(p.pair.before.truth)).code == 0);
  REQUIRE(run({"survey", p.after, "-o", b}, p.found(p.pair.after.truth)).code == 0);
  const test::Ran ran = run({"compare", a, b, "-o", p.out});
  CAPTURE(ran.messages);
  CHECK(ran.code == 0);
  CHECK_THAT(ran.out, Contains("damp or not logged: no verdict"));
  CHECK(run({"compare", a, b, "--before-photo", p.after, "-o", p.out}).code == 3);
}

TEST_CASE("a unit's photos are compared by their roles, and its report shows it", "[cli][slow]") {
  const Photos p;
  const std::string book = (p.folder.path() / "shelf").string();
  REQUIRE(run({"jobbook", "init", book}).code == 0);
  std::string unit = run({"jobbook", "receive", book, "--name", "Weather logger"}).out;
  unit.erase(unit.find_last_not_of(" \n") + 1);
  const std::string survey = (p.folder.path() / "survey").string();
  std::vector<std::string> first{"survey", p.before,  "--jobbook", book, "--unit",
                                 unit,     "--board", "main",      "-o", survey};
  REQUIRE(run(first, p.found(p.pair.before.truth)).code == 0);
  const std::vector<std::string> compare{
      "compare", unit, "--jobbook", book, "--after-dry", "-o", p.out, "--detector", "first-method"};
  const test::Ran alone = run(compare);
  CHECK(alone.code == 2);
  CHECK_THAT(alone.messages, Contains("no photo of its front was taken after arrival"));
  REQUIRE(run({"jobbook", "add", book, unit, p.after, "--board", "main", "--role", "after wash"})
              .code == 0);
  CHECK_THAT(changes_page(book, unit, p.out + ".html"),
             Contains("main, front side: before and after") &&
                 Contains("Not compared: the photo after was not surveyed."));
  // The photo after was never surveyed: it is straightened by the one before and surveyed now.
  const test::Ran ran = run(compare);
  CAPTURE(ran.messages, ran.out);
  REQUIRE(ran.code == 0);
  CHECK_THAT(ran.out, Contains("before.png (before) with after.png (after), front"));
  const Comparison c = load_comparison(fs::path(p.out));
  CHECK(error_of(c.alignment, p.pair).rms_px < 1);
  CHECK(c.table.total.verdict != ChangeVerdict::not_dry);
  // That survey is kept: the next comparison takes it as it is, and the report finds it.
  CHECK_THAT(ran.messages, Contains("The new survey of after.png is kept in the job book as "));
  const auto surveys = [&book] {
    const JobBook shelf = JobBook::open(book, {}, Open::existing);
    std::vector<std::string> ids;
    for (const Record& photo : shelf.of_kind("photo"))
      for (const Record& s : shelf.children(photo.id, "survey")) ids.push_back(s.id);
    return ids;
  };
  const std::vector<std::string> kept = surveys();
  CHECK(kept.size() == 2);
  const test::Ran again = run(compare);
  REQUIRE(again.code == 0);
  CHECK_THAT(again.messages, !Contains("new survey"));
  CHECK(surveys() == kept);
  CHECK(load_comparison(fs::path(p.out)).table == c.table);
  // The two named by hand besides the unit are too many.
  CHECK(run({"compare", unit, p.after, "--jobbook", book, "-o", p.out}).code == 2);
  CHECK_THAT(changes_page(book, unit, p.out + "-later.html"),
             Contains("main, front side: before and after") && Contains("type=\"range\"") &&
                 !Contains("Not compared"));
}

TEST_CASE("a plain and a cross-polarised photo become layers of one side", "[cli][slow]") {
  const Photos p;
  const std::string out = (p.folder.path() / "layers").string();
  const test::Ran ran = run({"join", p.before, "--cross-polarised", p.after, "-o", out},
                            p.straight(p.pair.before.truth));
  CAPTURE(ran.messages, ran.out);
  REQUIRE(ran.code == 0);
  CHECK_THAT(ran.out,
             Contains("Layers: before.png and after.png (cross-polarised)") && Contains("Glare: "));
  for (const char* name : {"side.png", "side.plain.png", "side.cross-polarised.png",
                           "side.rectification.json", "layers.json"})
    CHECK(fs::exists(fs::path(out) / name));
  CHECK(run({"join", p.before, "-o", out + "2"}).code == 2);
  CHECK(run({"join", p.before, p.after, "--cross-polarised", p.after, "-o", out + "2"}).code == 2);
}
