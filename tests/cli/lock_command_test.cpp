// The power lock by the built program, as a person uses it.

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <regex>

#include "tests/cli/drawn_board.h"
#include "tests/cli/program.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using test::verdigrid_run;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

// A board on which nothing was flagged, planned, with every answer given.
struct Planned {
  test::TemporaryFolder t;
  fs::path photo;
  std::string folder = (t.path() / "front").string();

  explicit Planned(test::Crusts crusts = test::Crusts::none)
      : photo(test::write_board(t.path() / "board.png", crusts)) {
    REQUIRE(verdigrid_run({"survey", "--detector", "first-method", "--setting",
                           crusts == test::Crusts::none ? "show-less" : "normal", photo.string(),
                           "--board-mm", test::k_board_mm, "-o", folder})
                .code == 0);
    std::vector<std::string> plan{"plan", folder};
    for (const char* told : {"--battery-fitted", "--battery-leaking", "--wet", "--picture-tube",
                             "--mains-capacitors", "--above-50v", "--suppression"})
      plan.insert(plan.end(), {told, "no"});
    REQUIRE(verdigrid_run(plan).code == 0);
  }
  test::Outcome lock(const std::string& step, std::vector<std::string> more = {}) const {
    std::vector<std::string> all{"lock", step, folder};
    all.insert(all.end(), more.begin(), more.end());
    if (step != "show") all.insert(all.end(), {"--who", "Ada", "--on", "2026-03-01"});
    return verdigrid_run(all);
  }
  void meet_all() const {
    const Json shown = Json::parse(lock("show", {"--json"}).out);
    for (const Json& c : shown["state_then"]["conditions"]) {
      const std::string name = c["condition"];
      if (name == "supply" || name == "rail-ohms") continue;
      const bool by_photo = lock("meet", {name, "--photo", photo.string()}).code == 0;
      if (!by_photo) REQUIRE(lock("override", {name, "--reason", "seen by eye"}).code == 0);
    }
    REQUIRE(lock("meet", {"supply", "--supply", "bench 1", "--rail", "+5V=5/5.03@1"}).code == 0);
    REQUIRE(lock("meet", {"rail-ohms", "--reading", "120 ohm", "--rail", "+5V"}).code == 0);
  }
};

}  // namespace

TEST_CASE("without a plan a board stays locked, and the program says how to go on", "[cli]") {
  const test::TemporaryFolder t;
  fs::create_directory(t.path() / "front");
  const test::Outcome ran = verdigrid_run({"lock", "show", (t.path() / "front").string()});
  CHECK(ran.code == 2);
  CHECK_THAT(ran.err, Contains("LOCKED") && Contains("verdigrid plan"));
}

TEST_CASE("conditions are met one by one until the board is cleared for test", "[cli]") {
  const Planned p;
  CHECK_THAT(p.lock("show").out, Contains("LOCKED"));
  const test::Outcome early = p.lock("power", {"--supply", "bench 1", "--limit", "0.5",
                                               "--smell-or-heat", "no", "--at", "0=5/0.1"});
  CHECK(early.code == 2);
  CHECK_THAT(early.err, Contains("LOCKED"));
  p.meet_all();
  const Json shown = Json::parse(p.lock("show", {"--json", "--on", "2026-03-02"}).out);
  CHECK(shown["state_then"]["headline"] == "CLEARED FOR TEST with supply bench 1");
  CHECK(test::fits_schema(p.folder + ".lock.json", "power-lock"));
  CHECK_THAT(verdigrid_run({"plan", "show", p.folder}).out, Contains("Power: "));
  const test::Outcome power =
      p.lock("power", {"--supply", "bench 1", "--limit", "0.5", "--smell-or-heat", "no", "--at",
                       "0=5/0.1", "--at", "10=5/0.1", "--at", "600=5/0.11"});
  CAPTURE(power.err);
  CHECK(power.code == 0);
  CHECK(p.lock("test", {"--item", "starts=pass"}).code == 0);
  const test::Outcome failed = p.lock("test", {"--item", "keys=fail"});
  CHECK(failed.code == 0);
  CHECK_THAT(failed.out, Contains("LOCKED"));
  const std::regex clearance("\\b(clean|safe|ok|okay|fine)\\b", std::regex::icase);
  CHECK_FALSE(std::regex_search(p.lock("show").out, clearance));
}

TEST_CASE("the strip that was told to the plan is read by the lock", "[cli]") {
  const Planned p(test::Crusts::some);
  const test::Outcome none = p.lock("meet", {"strip"});
  CHECK(none.code == 2);
  CHECK_THAT(none.err, Contains("--strip-after"));
  // The newest of each place, and of those the one farthest from 7.
  REQUIRE(verdigrid_run({"plan", "tell", p.folder, "--strip-after", "9", "--strip-after", "7",
                         "--strip-after", "B2=6.4"})
              .code == 0);
  const test::Outcome met = p.lock("meet", {"strip"});
  CAPTURE(met.err);
  REQUIRE(met.code == 0);
  CHECK_THAT(met.out, Contains("strip: met") && Contains("6.4 pH"));
  REQUIRE(verdigrid_run({"plan", "tell", p.folder, "--strip-after", "B2=9.5"}).code == 0);
  CHECK_THAT(p.lock("meet", {"strip"}).out, Contains("strip: open"));
}

TEST_CASE("six months later and after a new finding it is locked again", "[cli]") {
  const Planned p;
  p.meet_all();
  CHECK_THAT(p.lock("show", {"--on", "2026-08-31"}).out, Contains("CLEARED FOR TEST"));
  CHECK_THAT(p.lock("show", {"--on", "2026-09-01"}).out, Contains("six months on the shelf"));
  CHECK_THAT(p.lock("found", {"--note", "green under J3"}).out, Contains("LOCKED"));
}

TEST_CASE("wrong entries of a lock are refused in one sentence", "[cli]") {
  const Planned p;
  for (const std::vector<std::string>& wrong : std::vector<std::vector<std::string>>{
           {"meet", "polish", "--photo", p.photo.string()},
           {"meet", "inspection"},
           {"meet", "rail-ohms", "--reading", "120"},
           {"meet", "rail-ohms", "--reading", "120 V", "--rail", "+5V"},
           {"meet", "supply", "--supply", "bench 1", "--rail", "+5V=5"},
           {"override", "inspection", "--reason", ""},
           {"override", "picture-tube", "--reason", "trust me"}}) {
    const test::Outcome ran =
        p.lock(wrong.front(), std::vector<std::string>(wrong.begin() + 1, wrong.end()));
    CAPTURE(wrong, ran.err);
    CHECK(ran.code == 2);
    CHECK(ran.err.starts_with("verdigrid: "));
  }
  const test::Outcome no_photo = p.lock("meet", {"inspection", "--photo", p.folder + ".plan.json"});
  CHECK(no_photo.code == 3);
  CHECK_FALSE(fs::exists(p.folder + ".lock.json"));
}

TEST_CASE("a unit's lock and its supply lie in the job book", "[cli]") {
  const Planned p;
  const std::string book = (p.t.path() / "shelf").string();
  REQUIRE(verdigrid_run({"jobbook", "init", book}).code == 0);
  const auto received = [&book](std::vector<std::string> more) {
    std::vector<std::string> all{"jobbook", "receive", book};
    all.insert(all.end(), more.begin(), more.end());
    std::string id = verdigrid_run(all).out;
    id.pop_back();
    return id;
  };
  const std::string unit = received({"--name", "Logger"});
  const std::string supply = received({"--name", "bench 1", "--supply"});
  REQUIRE(verdigrid_run({"survey", "--detector", "first-method", p.photo.string(), "--board-mm",
                         test::k_board_mm, "--jobbook", book, "--unit", unit})
              .code == 0);
  REQUIRE(verdigrid_run({"lock", "supply", supply, "--jobbook", book, "--rail", "+5V=5/5.01@1",
                         "--who", "Ada"})
              .code == 0);
  CHECK(verdigrid_run(
            {"lock", "supply", unit, "--jobbook", book, "--rail", "+5V=5/5.01@1", "--who", "Ada"})
            .code == 2);
  const test::Outcome met = verdigrid_run(
      {"lock", "meet", unit, "supply", "--supply", supply, "--jobbook", book, "--who", "Ada"});
  CAPTURE(met.err);
  REQUIRE(met.code == 0);
  CHECK_THAT(met.out, Contains("record of supply bench 1"));
  REQUIRE(verdigrid_run({"lock", "meet", unit, "inspection", "--photo", p.photo.string(),
                         "--jobbook", book, "--who", "Ada"})
              .code == 0);
  CHECK_THAT(verdigrid_run({"jobbook", "history", book, unit}).out,
             Contains("evidence of inspection"));
  CHECK(verdigrid_run({"jobbook", "check", book}).code == 0);
  CHECK(verdigrid_run({"jobbook", "undo", book}).code == 0);
  CHECK_THAT(verdigrid_run({"lock", "show", unit, "--jobbook", book}).out,
             Contains("[ ] inspection"));
}
