// What leaves the program carries nothing private that a photo's file holds.

#include <catch2/catch.hpp>

#include "tests/cli/drawn_board.h"
#include "tests/process.h"
#include "tests/tagged_jpeg.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

std::vector<std::string> files_that_tell(const fs::path& folder) {
  std::vector<std::string> told;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    if (entry.is_regular_file() &&
        test::text_of(entry.path()).find(test::k_private_word) != std::string::npos)
      told.push_back(entry.path().filename().string());
  return told;
}

}  // namespace

TEST_CASE("a survey, a report and a unit handed over carry no owner, serial number or place",
          "[cli][slow]") {
  const test::TemporaryFolder t;
  const auto at = [&](const char* name) { return (t.path() / name).string(); };
  const auto verdigrid_run = [&](std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), VERDIGRID_PROGRAM);
    const test::Outcome ran = test::run(arguments);
    CAPTURE(ran.err);
    REQUIRE(ran.code == 0);
    return ran.out;
  };
  write_file(at("board.jpg"), test::tagged_jpeg(test::drawn_board(test::Crusts::some, 4)));
  REQUIRE(test::text_of(at("board.jpg")).find(test::k_private_word) != std::string::npos);
  fs::create_directory(at("out"));

  verdigrid_run({"survey", at("board.jpg"), "--detector", "first-method", "-o", at("out/survey")});
  // The metadata was read at all: the time is kept.
  CHECK(test::text_of(t.path() / "out" / "survey" / "survey.json").find("2031-05-06 07:08:09") !=
        std::string::npos);
  for (const char* name : {"out/report.html", "out/report.pdf"})
    verdigrid_run({"report", at("out/survey"), "--photo", at("board.jpg"), "-o", at(name)});
  CHECK(test::run({"pdftotext", at("out/report.pdf"), "-"}).out.find(test::k_private_word) ==
        std::string::npos);

  verdigrid_run({"jobbook", "init", at("book")});
  std::string unit = verdigrid_run({"jobbook", "receive", at("book"), "--name", "logger"});
  unit.pop_back();
  verdigrid_run({"survey", at("board.jpg"), "--detector", "first-method", "--jobbook", at("book"),
                 "--unit", unit, "-o", at("out/again")});
  verdigrid_run({"jobbook", "export", at("book"), unit, at("out/unit")});
  verdigrid_run({"report", unit, "--jobbook", at("book"), "-o", at("out/unit.html")});
  CHECK(files_that_tell(at("out")) == std::vector<std::string>{});
}
