// The job book from the command line, as someone at the receiving desk types it.

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <sstream>

#include "tests/cli/drawn_board.h"
#include "tests/process.h"

using namespace verdigrid;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

// A job book of its own and a settings folder of its own.
struct Desk {
  test::TemporaryFolder t;
  fs::path book = t.path() / "job book";

  test::Outcome run(std::vector<std::string> arguments) const {
    arguments.insert(arguments.begin(), VERDIGRID_PROGRAM);
    return test::run(arguments,
                     [this] { ::setenv("XDG_CONFIG_HOME", (t.path() / "settings").c_str(), 1); });
  }
  test::Outcome jobbook(const std::string& what, std::vector<std::string> arguments = {}) const {
    arguments.insert(arguments.begin(), {"jobbook", what, book.string()});
    return run(arguments);
  }
  std::string received(std::vector<std::string> arguments) const {
    if (!fs::exists(book)) REQUIRE(jobbook("init").code == 0);
    const test::Outcome ran = jobbook("receive", std::move(arguments));
    CAPTURE(ran.err);
    REQUIRE(ran.code == 0);
    return ran.out.substr(0, ran.out.find('\n'));
  }
};

}  // namespace

TEST_CASE("a battery that may keep data cannot be logged as removed before someone signs",
          "[cli]") {
  const Desk desk;
  const std::string unit = desk.received(
      {"--name", "bench oscilloscope", "--battery", "yes", "--keeps-data", "unknown"});

  const test::Outcome blocked =
      desk.jobbook("change", {unit, "--who", "Ada", "--battery-removed-on", "2031-03-04"});
  CHECK(blocked.code == 2);
  CHECK(blocked.err.find("keeps calibration, keys or settings alive") != std::string::npos);
  CHECK(desk.jobbook("show", {unit}).out.find("removed_on") == std::string::npos);

  const test::Outcome unsigned_one = desk.jobbook("change", {unit, "--loss-accepted"});
  CHECK(unsigned_one.code == 2);
  CHECK(unsigned_one.err.find("--who") != std::string::npos);

  // A setting of its own: no job book is named.
  CHECK(desk.run({"jobbook", "sign-as"}).out == "No name is kept yet.\n");
  CHECK(desk.run({"jobbook", "sign-as", desk.book.string()}).code == 2);
  CHECK(desk.run({"jobbook", "sign-as", "Ada Example"}).code == 0);
  CHECK(desk.run({"jobbook", "sign-as"}).out == "Ada Example\n");
  const test::Outcome done =
      desk.jobbook("change", {unit, "--loss-accepted", "--battery-removed-on", "2031-03-04"});
  CAPTURE(done.err);
  CHECK(done.code == 0);
  const std::string shown = desk.jobbook("show", {unit}).out;
  CHECK(shown.find("\"removed_on\": \"2031-03-04\"") != std::string::npos);
  CHECK(shown.find("\"who\": \"Ada Example\"") != std::string::npos);
  CHECK(shown.find("bench oscilloscope") != std::string::npos);  // what was not given stays
}

TEST_CASE("changing a unit leaves every field that was not named, and can be undone", "[cli]") {
  const Desk desk;
  const std::string unit = desk.received(
      {"--name", "synthesiser", "--owner", "O. Example", "--wet", "yes", "--location", "shelf 3"});
  REQUIRE(desk.jobbook("change", {unit, "--location", "oven", "--state", "washed"}).code == 0);
  std::string shown = desk.jobbook("show", {unit}).out;
  CHECK(shown.find("\"location\": \"oven\"") != std::string::npos);
  CHECK(shown.find("\"owner\": \"O. Example\"") != std::string::npos);
  CHECK(shown.find("\"state\": \"washed\"") != std::string::npos);
  REQUIRE(desk.jobbook("undo").code == 0);
  shown = desk.jobbook("show", {unit}).out;
  CHECK(shown.find("\"location\": \"shelf 3\"") != std::string::npos);
  CHECK(shown.find("\"state\": \"received\"") != std::string::npos);

  CHECK(desk.jobbook("change", {unit, "--state", "clean"}).code == 2);
  CHECK(desk.jobbook("change", {"no-such", "--name", "x"}).code == 2);
  CHECK(desk.jobbook("change", {unit, "--wet", "maybe"}).code == 2);
}

TEST_CASE(
    "a photo is kept once, surveyed into the unit, found again and survives export and import",
    "[cli][slow]") {
  const Desk desk;
  const std::string unit = desk.received({"--name", "sequencer", "--leaking", "yes"});
  const fs::path photo = test::write_board(desk.t.path() / "front.png", test::Crusts::some);
  REQUIRE(desk.jobbook("add", {unit, photo.string(), "--board", "main"}).code == 0);
  const test::Outcome surveyed = desk.run(
      {"survey", photo.string(), "--detector", "first-method", "--jobbook", desk.book.string(),
       "--unit", unit, "--board", "main", "-o", (desk.t.path() / "survey").string()});
  CAPTURE(surveyed.err);
  REQUIRE(surveyed.code == 0);
  const test::Outcome found = desk.jobbook("search", {"--class", "copper-salt"});
  CHECK(found.out.find(unit) != std::string::npos);

  const std::string shown = desk.jobbook("show", {unit}).out;
  CHECK(shown.find("front: ") != std::string::npos);
  CHECK(shown.find("back: not photographed, so all of it is unseen") != std::string::npos);

  const Json queue = Json::parse(desk.jobbook("list", {"--json"}).out);
  REQUIRE(queue["units"].size() == 1);
  CHECK(queue["units"][0]["reason"] == "battery leaks");

  const fs::path bundle = desk.t.path() / "hand over";
  REQUIRE(desk.jobbook("export", {unit, bundle.string()}).code == 0);
  Desk other;
  REQUIRE(other.jobbook("init").code == 0);
  const test::Outcome imported = other.jobbook("import", {bundle.string()});
  CAPTURE(imported.err);
  REQUIRE(imported.code == 0);
  CHECK(other.jobbook("check").code == 0);
  CHECK(other.jobbook("search", {"--class", "copper-salt"}).out.find(unit) != std::string::npos);
}
