// The bench and its log by the built program, as a person uses them.

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <set>
#include <thread>

#include "cli/bench_place.h"
#include "cli/run.h"
#include "plan/edit_plan.h"
#include "tests/cli/drawn_board.h"
#include "tests/cli/program.h"
#include "tests/cli/run_here.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using test::run_here;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

std::string first_line(const std::string& text) { return text.substr(0, text.find('\n')); }

// Surveys a drawn board with crusts; `keep`: the arguments that say where its survey is kept.
void survey_board(const fs::path& folder, const std::vector<std::string>& keep) {
  const fs::path photo = test::write_board(folder / "board.png", test::Crusts::some);
  std::vector<std::string> all{"survey",       photo.string(), "--detector",
                               "first-method", "--board-mm",   test::k_board_mm};
  all.insert(all.end(), keep.begin(), keep.end());
  REQUIRE(run_here(all).code == 0);
}

// A unit with a surveyed and planned board in a job book.
struct AtBench {
  test::TemporaryFolder t;
  std::string book = (t.path() / "shelf").string(), unit;

  AtBench() {
    REQUIRE(run_here({"jobbook", "init", book, "--who", "Ada"}).code == 0);
    const test::Ran received =
        run_here({"jobbook", "receive", book, "--name", "logger", "--who", "Ada"});
    REQUIRE(received.code == 0);
    unit = first_line(received.out);
    survey_board(t.path(), {"--jobbook", book, "--unit", unit});
    REQUIRE(run_here({"plan", unit, "--jobbook", book, "--who", "Ada"}).code == 0);
  }
  test::Ran run(const std::string& command, const std::string& step,
                std::vector<std::string> more = {}, const std::string& at = "08:00") const {
    std::vector<std::string> all{command,     step,   unit,
                                 "--jobbook", book,   "--who",
                                 "Ada",       "--at", "2026-03-01T" + at + ":00Z"};
    all.insert(all.end(), more.begin(), more.end());
    return run_here(all);
  }
  Json log() const { return Json::parse(run("log", "show", {"--json"}).out); }
  Json plan() const {
    return Json::parse(run_here({"plan", "show", unit, "--jobbook", book, "--json"}).out);
  }
};

}  // namespace

TEST_CASE("bench goes place by place and its minutes reach the plan", "[cli]") {
  const AtBench b;
  const test::Ran shown = b.run("bench", "show");
  REQUIRE(shown.code == 0);
  CHECK_THAT(shown.out, Contains("LOCKED") && Contains("places are left"));
  REQUIRE(b.run("bench", "next", {}, "08:00").code == 0);
  CHECK_THAT(b.run("bench", "show", {}, "08:04").out, Contains("timer runs: 4 min"));
  const test::Ran done = b.run("bench", "done", {}, "08:07");
  REQUIRE(done.code == 0);
  size_t ticked = 0;
  const Json plan = b.plan();
  for (const Json& item : plan["items"])
    if (item["done"]) {
      ++ticked;
      CHECK(item["actual_min"] == 7);
      CHECK(item["done_by"] == "Ada");
    }
  CHECK(ticked == 1);
  REQUIRE(b.run("bench", "problem", {"screw is seized"}, "08:09").code == 0);
  CHECK_THAT(b.run("bench", "show", {}, "08:10").out, Contains("problem: screw is seized"));
  CHECK_THAT(b.run("bench", "pause", {}, "08:11").out, Contains("timer stands"));
}

TEST_CASE("the ledger locks until what came off is back on", "[cli]") {
  const AtBench b;
  CHECK(b.run("log", "part", {"BT1", "stays off", "--word", "a holder is fitted"}).code == 0);
  const test::Ran off = b.run("log", "part", {"U3", "off"});
  REQUIRE(off.code == 0);
  CHECK_THAT(off.out, Contains("1 off or bagged") && Contains("LOCKED"));
  const auto locked = [&] { return run_here({"lock", "show", b.unit, "--jobbook", b.book}).out; };
  CHECK_THAT(locked(), Contains("[ ] ledger"));
  CHECK(b.run("log", "part", {"X1", "lost"}).code == 2);
  CHECK_THAT(b.run("log", "part", {"X1", "lost"}).messages, Contains("needs a word"));
  REQUIRE(b.run("log", "part", {"U3", "back-on"}).code == 0);
  CHECK_THAT(locked(), !Contains("ledger"));
  CHECK(b.run("log", "part", {"U9", "back-on"}).code == 2);
}

TEST_CASE("two programs that log at the same time lose no entry", "[cli][slow]") {
  constexpr int k_rounds = 20;
  const AtBench b;
  const auto logs = [&b](const std::string& who, int round) {
    return std::vector<std::string>{
        VERDIGRID_PROGRAM, "log",  "note",  b.unit, who + " " + std::to_string(round),
        "--jobbook",       b.book, "--who", who};
  };
  for (int i = 0; i < k_rounds; ++i) {
    test::Process ada(logs("Ada", i)), bea(logs("Bea", i));
    CHECK(ada.wait().code == 0);
    CHECK(bea.wait().code == 0);
  }
  std::set<std::string> notes;
  const Json log = b.log();
  for (const Json& entry : log["entries"]) notes.insert(entry["text"].get<std::string>());
  CHECK(notes.size() == 2 * k_rounds);
  CHECK(log["entries"].size() == 2 * k_rounds);
}

TEST_CASE("readings that do not agree are asked", "[cli]") {
  const AtBench b;
  const test::Ran asked =
      b.run("log", "reading", {"C1", "--print", "47u", "--old", "22u", "--meter", "21u"});
  REQUIRE(asked.code == 0);
  CHECK_THAT(asked.out, Contains("ASK: value of C1"));
  const test::Ran polarity =
      b.run("log", "reading",
            {"C1", "--polarity", "--print", "none", "--old", "left", "--meter", "left"});
  CHECK_THAT(polarity.out, Contains("agree"));
}

TEST_CASE("wash and drying are logged with their refusals and meet their conditions", "[cli]") {
  const AtBench b;
  const std::vector<std::string> rinse{"rinse", "--bath", "distilled water", "--minutes", "10"};
  const test::Ran refused = b.run("log", "wash", rinse);
  CHECK(refused.code == 2);
  CHECK_THAT(refused.messages, Contains("battery") && Contains("Not logged"));
  CHECK_THAT(
      b.run("log", "wash",
            {"neutralise", "--bath", "citric acid", "--neutraliser", "weak acid", "--minutes", "3"})
          .messages,
      Contains("No neutraliser yet"));
  REQUIRE(run_here({"plan", "tell", b.unit, "--jobbook", b.book, "--battery-fitted", "no",
                    "--alcohol", "no", "--who", "Ada"})
              .code == 0);
  REQUIRE(b.run("log", "weigh", {"81.2", "--limit-g", "0.5"}).code == 0);
  REQUIRE(b.run("log", "wash", rinse, "09:00").code == 0);
  const test::Ran second = b.run("log", "wash", rinse, "09:20");
  CHECK_THAT(second.out, Contains("rinsed 2 times") && Contains("LOCKED"));
  CHECK_THAT(second.messages, Contains("Gloves"));
  CHECK(b.run("log", "dry", {"food oven", "--hours", "2", "--celsius", "54"}, "10:00").code == 2);
  const test::Ran dried =
      b.run("log", "dry", {"circulating oven", "--hours", "4", "--celsius", "54"}, "14:00");
  REQUIRE(dried.code == 0);
  CHECK_THAT(dried.out, Contains("weigh it"));
  const test::Ran weighed = b.run("log", "weigh", {"81.4", "--after"}, "14:10");
  CHECK_THAT(weighed.out, Contains("0.20 g above"));
  const std::string lock = run_here({"lock", "show", b.unit, "--jobbook", b.book}).out;
  CHECK_THAT(lock, Contains("[x] rinsed") && Contains("[x] dry"));
}

TEST_CASE("clocks and shift notes stand for the whole shelf until they are stopped", "[cli]") {
  const AtBench b;
  // Long ago, so that it is due whenever this runs.
  REQUIRE(
      run_here({"log", "clock", b.unit, "weak acid", "--place", "B3", "--minutes", "5", "--then",
                "rinse", "--jobbook", b.book, "--who", "Ada", "--at", "2001-01-01T08:00:00Z"})
          .code == 0);
  REQUIRE(b.run("log", "note", {"rinse 1 of 2 done, in oven until 16:00"}).code == 0);
  const test::Ran clocks = run_here({"log", "clocks", b.book});
  CHECK_THAT(clocks.out, Contains("! K1 logger, board 1: weak acid on B3 since") &&
                             Contains("rinse now") && Contains("in oven until 16:00"));
  REQUIRE(b.run("log", "stop", {"K1"}).code == 0);
  CHECK_THAT(run_here({"log", "clocks", b.book}).out, Contains("No clock runs"));
  CHECK(b.run("log", "stop", {"K1"}).code == 2);
}

TEST_CASE("the bench pages prints what is left", "[cli]") {
  const AtBench b;
  const fs::path pdf = b.t.path() / "work.pdf";
  REQUIRE(b.run("bench", "sheet", {"-o", pdf.string()}).code == 0);
  CHECK(test::text_of(pdf).starts_with("%PDF"));
  CHECK(b.run("bench", "sheet", {"-o", pdf.string()}).code == 2);  // kept unless --replace
  CHECK(b.run("bench", "sheet", {"-o", (b.t.path() / "work.txt").string()}).code == 2);
}

TEST_CASE("a watched folder files its pictures to the place that is worked on", "[cli]") {
  const AtBench b;
  const fs::path camera = b.t.path() / "camera";
  fs::create_directory(camera);
  // The crusts of the board, twice as fine; the bare board is coarser than the photo.
  cv::Mat near;
  cv::resize(test::drawn_board(test::Crusts::some, 5)(cv::Rect(200, 140, 330, 220)), near, {}, 2, 2,
             cv::INTER_CUBIC);
  write_file(camera / "near.png", png_bytes(near));
  test::write_board(camera / "scope.png", test::Crusts::none, 2);
  write_file(camera / "notes.txt", std::as_bytes(std::span("no picture", 10)));
  std::string on_front;
  const Json plan = b.plan();
  for (const Json& item : plan["items"])
    if (item["side"] == "front" && !item["optional"]) on_front = item["id"].get<std::string>();
  REQUIRE(b.run("bench", "next", {"--item", on_front}).code == 0);
  const test::Ran ran = run_here({"bench", "watch", b.unit, camera.string(), "--jobbook", b.book,
                                  "--who", "Ada", "--once", "--detector", "first-method"});
  CAPTURE(ran.messages);
  CHECK(ran.code == 1);  // one was no picture
  CHECK_THAT(ran.out, Contains("scope.png: close-up of W") &&
                          Contains("near.png: placed on board.png, 2.0 times as fine"));
  CHECK_THAT(ran.messages,
             Contains("notes.txt") && Contains("scope.png: stays filed without a place: "));
  const Json log =
      Json::parse(run_here({"log", "show", b.unit, "--jobbook", b.book, "--json"}).out);
  CHECK(log["entries"].back()["kind"] == "close-up");
  CHECK(run_here({"jobbook", "check", b.book}).code == 0);
}

TEST_CASE("the bench beside a survey folder keeps its own file and fits the schema", "[cli]") {
  const test::TemporaryFolder t;
  const std::string folder = (t.path() / "front").string();
  survey_board(t.path(), {"-o", folder});
  CHECK(run_here({"bench", "next", folder, "--who", "Ada"}).code == 2);  // no plan yet
  REQUIRE(run_here({"plan", folder, "--battery-fitted", "no"}).code == 0);
  REQUIRE(run_here({"bench", "next", folder, "--who", "Ada"}).code == 0);
  REQUIRE(run_here({"bench", "done", folder, "--who", "Ada", "--minutes", "2.5"}).code == 0);
  for (const std::vector<std::string>& entry :
       std::vector<std::vector<std::string>>{{"part", folder, "U3", "bagged", "--word", "bag 2"},
                                             {"reading", folder, "C1", "--print", "47u"},
                                             {"wash", folder, "rinse", "--bath", "distilled water",
                                              "--minutes", "5", "--removed", "label"},
                                             {"dry", folder, "open air", "--hours", "24"},
                                             {"weigh", folder, "80", "--limit-g", "0.5"},
                                             {"clock", folder, "oven", "--minutes", "60"},
                                             {"stop", folder, "K1"},
                                             {"note", folder, "tomorrow: weigh"}}) {
    std::vector<std::string> all{"log"};
    all.insert(all.end(), entry.begin(), entry.end());
    all.insert(all.end(), {"--who", "Ada"});
    INFO(entry.front());
    REQUIRE(run_here(all).code == 0);
  }
  const fs::path file = folder + ".bench.json";
  CHECK(test::fits_schema(file, "bench-log"));
  CHECK(test::fits_schema(folder + ".lock.json", "power-lock"));
  CHECK(test::fits_schema(folder + ".plan.json", "plan"));
  CHECK_THAT(run_here({"lock", "show", folder}).out, Contains("[ ] ledger"));
  CHECK(run_here({"bench", "sheet", folder, "-o", (t.path() / "x.pdf").string()}).code == 2);
}

TEST_CASE("two programs that log beside one survey folder lose no entry of each other", "[cli]") {
  const test::TemporaryFolder t;
  const std::string survey = (t.path() / "survey").string();
  survey_board(t.path(), {"-o", survey});
  REQUIRE(run_here({"plan", survey}).code == 0);
  PlanPlace place;
  place.target = survey;
  const size_t items = opened_plan(place).items.size();
  constexpr size_t k_writers = 4, k_entries = 15;
  std::vector<std::thread> writers;
  for (size_t w = 0; w < k_writers; ++w)
    writers.emplace_back([&place, who = "writer " + std::to_string(w)] {
      for (size_t i = 0; i < k_entries; ++i) {
        changed_bench(place, "note", [&who](const OpenBench& b) {
          return OpenBench{b.plan, with_entry(b.log, {who, "2026-03-01T08:00:00Z",
                                                      ShiftNote{"rinse 1 of 2 done"}})};
        });
        changed_plan(place, "add", [](const Plan& plan) {
          WorkItem added;
          added.operation = Operation::photograph;
          return with_item(plan, added);
        });
      }
    });
  for (std::thread& w : writers) w.join();
  CHECK(opened_bench(place).log.entries.size() == k_writers * k_entries);
  CHECK(opened_plan(place).items.size() == items + k_writers * k_entries);
  std::set<fs::path> names;
  for (const auto& entry : fs::directory_iterator(t.path())) names.insert(entry.path().filename());
  CHECK(names ==
        std::set<fs::path>{"board.png", "survey", "survey.bench.json", "survey.plan.json"});
}
