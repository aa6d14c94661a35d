// Batches: many photos, some bad, some runs killed, some split over workers.

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <nlohmann/json.hpp>
#include <random>
#include <sstream>
#include <thread>

#include "base/error.h"
#include "cli/batch_items.h"
#include "tests/cli/drawn_board.h"
#include "tests/process.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

std::vector<std::string> batch(const fs::path& source, const fs::path& out,
                               const std::vector<std::string>& more = {}) {
  std::vector<std::string> line{VERDIGRID_PROGRAM, "batch",      source.string(), "-o",
                                out.string(),      "--detector", "first-method",  "--board-mm",
                                test::k_board_mm};
  line.insert(line.end(), more.begin(), more.end());
  return line;
}

// `good` boards of growing size, and one that is cut short.
void make_photos(const fs::path& folder, int good) {
  fs::create_directories(folder);
  for (int i = 0; i < good; ++i)
    test::write_board(folder / fmt::format("b{}.png", i),
                      i % 2 ? test::Crusts::some : test::Crusts::none, 3 + 0.25 * i);
  const std::string whole = test::text_of(folder / "b0.png");
  write_file(folder / "cut.png", std::string_view(whole).substr(0, whole.size() / 2));
}

std::vector<std::string> names_of(const std::vector<BatchItem>& items) {
  std::vector<std::string> names;
  for (const BatchItem& i : items) names.push_back(i.name);
  return names;
}

}  // namespace

TEST_CASE("the shards of a batch hold every photo once", "[cli]") {
  std::vector<BatchItem> items;
  for (int i = 0; i < 23; ++i) {
    BatchItem item;
    item.name = std::to_string(100 + i);
    items.push_back(item);
  }
  for (const int count : {1, 2, 5, 23, 40}) {
    std::vector<std::string> all;
    for (int i = 1; i <= count; ++i)
      for (const std::string& name : names_of(items_of(items, {i, count}))) all.push_back(name);
    std::sort(all.begin(), all.end());
    CHECK(all == names_of(items));
  }
  CHECK(shard_from("2/8").index == 2);
  for (const char* wrong : {"0/2", "3/2", "2", "2/", "/2", "a/2", "2/8x", "-1/2", ""})
    CHECK_THROWS_AS(shard_from(wrong), Error);
}

TEST_CASE("a manifest is read by its header, and a wrong line is named", "[cli]") {
  const test::TemporaryFolder t;
  const auto items = [&](const std::string& text) {
    write_file(t.path() / "m.csv", std::string_view(text));
    return batch_items(t.path() / "m.csv");
  };
  const auto read = items(
      "\xEF\xBB\xBF"
      "side,photo,board_mm,unit\r\nback,\"a, b.jpg\",160x99.1,u-1\r\n\r\nfront,sub/c.jpg,,\r\n");
  REQUIRE(read.size() == 2);
  CHECK(read[0].name == "a, b.jpg");
  CHECK(read[0].photo == t.path() / "a, b.jpg");
  CHECK(read[0].side == Side::back);
  CHECK(read[0].board_mm->height == 99.1);
  CHECK(read[0].unit == "u-1");
  CHECK_FALSE(read[1].board_mm);
  // Two files of one name keep their folders' names.
  CHECK(names_of(items("photo\nx/p.jpg\ny/p.jpg\n")).size() == 2);
  CHECK_THROWS_WITH(items("photo,colour\na.jpg,red\n"), Contains("line 1") && Contains("colour"));
  CHECK_THROWS_WITH(items("photo,side\na.jpg,front\nb.jpg,top\n"), Contains("line 3"));
  CHECK_THROWS_WITH(items("photo,board_mm\na.jpg,wide\n"), Contains("line 2") && Contains("wide"));
  CHECK_THROWS_WITH(items("photo,side\na.jpg\n"), Contains("line 2"));
  CHECK_THROWS_WITH(items("photo\n"), Contains("no photo"));
  CHECK_THROWS_WITH(items("photo\na.jpg\na.jpg\n"), Contains("twice"));
}

TEST_CASE("a bad photo is reported and skipped, and the batch says so", "[cli]") {
  const test::TemporaryFolder t;
  make_photos(t.path() / "photos", 3);
  const test::Outcome ran = test::run(batch(t.path() / "photos", t.path() / "out"));
  CAPTURE(ran.err);
  CHECK(ran.code == 1);
  std::istringstream lines(ran.out);
  int done = 0, refused = 0;
  for (std::string line; std::getline(lines, line);) {
    const Json j = Json::parse(line);
    done += j["state"] == "done";
    if (j["state"] != "refused") continue;
    ++refused;
    CHECK(j["photo"] == "cut.png");
    CHECK_THAT(j["error"].get<std::string>(), Contains("cut"));
  }
  CHECK(done == 3);
  CHECK(refused == 1);
  // Other settings do not mix with these results.
  CHECK(test::run(batch(t.path() / "photos", t.path() / "out", {"--setting", "show-more"})).code ==
        2);
  // A photo whose file has changed is surveyed again.
  test::write_board(t.path() / "photos" / "b0.png", test::Crusts::some, 3);
  CHECK_THAT(test::run(batch(t.path() / "photos", t.path() / "out")).err,
             Contains("1 surveyed, 2 known"));
}

TEST_CASE("a survey that was damaged in the results of a batch is named", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photos = t.path() / "photos", out = t.path() / "out",
                 survey = out / "b0.png" / "survey.json", table = t.path() / "table.csv";
  make_photos(photos, 1);
  fs::remove(photos / "cut.png");
  REQUIRE(test::run(batch(photos, out)).code == 0);
  const std::string whole = test::text_of(survey);
  const std::vector<std::string> gather{VERDIGRID_PROGRAM, "gather", photos.string(),
                                        out.string(),      "-o",     table.string()};
  Json no_photo = Json::parse(whole), no_figure = no_photo, no_board = no_photo;
  no_photo["photo"] = 5;
  no_figure["board"]["affected"]["percent"]["low"] = "none";
  no_board.erase("board");
  for (const std::string& text : {std::string(), whole.substr(0, whole.size() / 2), no_photo.dump(),
                                  no_figure.dump(), no_board.dump()}) {
    write_file(survey, std::string_view(text));
    const test::Outcome ran = test::run(gather);
    CAPTURE(text.substr(0, 80), ran.err);
    CHECK(ran.code == 3);
    CHECK_THAT(ran.err, Contains("survey.json") && Contains("not a whole survey"));
    CHECK_FALSE(fs::exists(table));
  }
  // The photo is surveyed anew where the survey is no longer known to be its own.
  write_file(survey, std::string_view(no_photo.dump()));
  CHECK(test::run(batch(photos, out)).code == 0);
  REQUIRE(test::run(gather).code == 0);
  CHECK_THAT(test::text_of(table), Contains("b0.png"));
}

TEST_CASE("a batch that was killed twenty times gives the table of one that was not",
          "[cli][slow]") {
  const test::TemporaryFolder t;
  make_photos(t.path() / "photos", 10);
  REQUIRE(test::run(batch(t.path() / "photos", t.path() / "whole")).code == 1);
  std::mt19937 random(3);
  int killed = 0;
  for (int i = 0; i < 20; ++i) {
    test::Process process(batch(t.path() / "photos", t.path() / "often", {"--jobs", "2"}));
    std::this_thread::sleep_for(std::chrono::milliseconds(20 + random() % 150));
    process.send(SIGKILL);
    killed += process.wait().signal == SIGKILL;
  }
  CAPTURE(killed);
  CHECK(killed >= 1);
  const test::Outcome last = test::run(batch(t.path() / "photos", t.path() / "often"));
  CHECK(last.code == 1);
  const std::string table = test::text_of(t.path() / "whole" / "table.csv");
  CHECK(std::count(table.begin(), table.end(), '\n') == 11);
  CHECK(test::text_of(t.path() / "often" / "table.csv") == table);
  // No half-written folder is left.
  for (const auto& entry : fs::directory_iterator(t.path() / "often")) {
    CAPTURE(entry.path());
    CHECK_FALSE(entry.path().filename().string().starts_with("."));
  }
}

TEST_CASE("two local workers under GNU parallel give what one gives, in one job book",
          "[cli][slow]") {
  const test::TemporaryFolder t;
  const auto at = [&](const char* name) { return (t.path() / name).string(); };
  make_photos(t.path() / "photos", 5);
  REQUIRE(test::run(batch(t.path() / "photos", t.path() / "whole")).code == 1);
  std::vector<std::string> parallel{"parallel", "-q", "-j2"};
  for (const std::string& word :
       batch(t.path() / "photos", t.path() / "share-{}", {"--shard", "{}/2"}))
    parallel.push_back(word);
  parallel.insert(parallel.end(), {":::", "1", "2"});
  const test::Outcome ran = test::run(parallel);
  CAPTURE(ran.err);
  CHECK(ran.code == 1);  // one of the two met the bad photo
  REQUIRE(test::run({VERDIGRID_PROGRAM, "jobbook", "init", at("book")}).code == 0);
  std::string unit =
      test::run({VERDIGRID_PROGRAM, "jobbook", "receive", at("book"), "--name", "shelf"}).out;
  unit.pop_back();
  for (int twice = 0; twice < 2; ++twice)
    CHECK(test::run({VERDIGRID_PROGRAM, "gather", at("photos"), at("share-1"), at("share-2"), "-o",
                     at("t.csv"), "--replace", "--jobbook", at("book"), "--unit", unit})
              .code == 1);
  CHECK(test::text_of(t.path() / "t.csv") == test::text_of(t.path() / "whole" / "table.csv"));
  std::istringstream found(
      test::run({VERDIGRID_PROGRAM, "jobbook", "search", at("book"), "first-method"}).out);
  int surveys = 0;
  for (std::string line; std::getline(found, line);) surveys += line.starts_with("survey-");
  CHECK(surveys == 5);
}
