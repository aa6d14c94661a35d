// Rates and plans by the built program, as a person uses it.

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <regex>

#include "detect/review.h"
#include "measure/survey_file.h"
#include "photo/decode.h"
#include "tests/cli/drawn_board.h"
#include "tests/cli/program.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using test::fits_schema;
using test::verdigrid_run;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

// A drawn board that was surveyed.
struct Surveyed {
  test::TemporaryFolder t;
  fs::path photo = test::write_board(t.path() / "board.png", test::Crusts::some);
  std::string folder = (t.path() / "front").string();
  std::string plan_file = folder + ".plan.json";

  Surveyed() {
    REQUIRE(verdigrid_run({"survey", "--detector", "first-method", photo.string(), "--board-mm",
                           test::k_board_mm, "-o", folder})
                .code == 0);
  }
  test::Outcome plan(std::vector<std::string> more = {}) const {
    std::vector<std::string> all{"plan", folder};
    all.insert(all.end(), more.begin(), more.end());
    return verdigrid_run(all);
  }
  Json kept() const { return Json::parse(test::text_of(plan_file)); }
  std::string first_item(const std::string& operation) const {
    const Json plan = kept();
    for (const Json& item : plan["items"])
      if (item["operation"] == operation) return item["id"];
    return {};
  }
};

}  // namespace

TEST_CASE("a rate table is made, shown, checked and used", "[cli]") {
  const Surveyed s;
  const std::string rates = (s.t.path() / "rates.json").string();
  REQUIRE(verdigrid_run({"rates", "init", "-o", rates, "--currency", "kr"}).code == 0);
  CHECK(fits_schema(rates, "rate-table"));
  CHECK(verdigrid_run({"rates", "init", "-o", rates}).code == 2);
  CHECK_THAT(verdigrid_run({"rates", "show", rates}).out, Contains("IPC-7721 4.2.4"));
  CHECK_THAT(verdigrid_run({"rates", "check", rates}).out, Contains("starting values"));
  Json table = Json::parse(test::text_of(rates));
  table["money_per_hour"] = 600;
  std::ofstream(rates) << table.dump();
  REQUIRE(s.plan({"--rates", rates}).code == 0);
  CHECK(s.kept()["estimate"]["total"]["likely_cost"].get<double>() > 0);
  CHECK(s.kept()["rates"]["currency"] == "kr");
}

TEST_CASE("a plan is kept beside its survey and not overwritten unasked", "[cli]") {
  const Surveyed s;
  const test::Outcome ran = s.plan();
  CAPTURE(ran.err);
  REQUIRE(ran.code == 0);
  CHECK_THAT(ran.out, Contains("No neutraliser yet") && Contains("allow up to"));
  CHECK(fits_schema(s.plan_file, "plan"));
  CHECK(s.plan().code == 2);
  CHECK(s.plan({"--replace"}).code == 0);
  const test::Outcome printed = s.plan({"--json"});
  CHECK(printed.code == 0);
  CHECK(Json::parse(printed.out) == s.kept());
  const std::regex clearance("\\b(safe|ok|okay|fine|all clear)\\b", std::regex::icase);
  CHECK_FALSE(std::regex_search(ran.out + ran.err, clearance));
}

TEST_CASE("findings that people dismissed give no work", "[cli]") {
  const Surveyed s;
  REQUIRE(s.plan().code == 0);
  REQUIRE_FALSE(s.first_item("local-clean").empty());
  const Photo photo = load_photo(s.photo, {});
  const Survey survey = load_survey(s.folder);
  std::vector<MapEdit> edits;
  for (const Finding& f : survey.findings.findings) {
    MapEdit e;
    e.kind = EditKind::dismiss;
    e.region_px = f.regions_px;
    edits.push_back(e);
  }
  const std::string review = (s.t.path() / "mine.json").string();
  save_review(review, review_of(photo, survey.detector_id,
                                look_base(photo, survey.rectification, survey.map), {}, edits));
  const test::Outcome ran = s.plan({"--replace", "--review", review});
  CAPTURE(ran.err);
  REQUIRE(ran.code == 0);
  CHECK_THAT(ran.err, Contains(fmt::format("{} changes by hand are taken in", edits.size())));
  CHECK(s.first_item("local-clean").empty());
  CHECK(fits_schema(s.plan_file, "plan"));
  // In the survey's folder it is found by itself, and its photo is missed with a sentence.
  fs::copy_file(review, fs::path(s.folder) / "review.json");
  REQUIRE(s.plan({"--replace"}).code == 0);
  CHECK(s.first_item("local-clean").empty());
  fs::rename(s.photo, s.t.path() / "elsewhere.png");
  const test::Outcome missed = s.plan({"--replace"});
  CHECK(missed.code == 3);
  CHECK_THAT(missed.err, Contains("name it with --photo"));
  CHECK(s.plan({"--replace", "--photo", (s.t.path() / "elsewhere.png").string()}).code == 0);
}

TEST_CASE("what is told opens the treatment, and ticks are logged", "[cli]") {
  const Surveyed s;
  REQUIRE(s.plan().code == 0);
  const std::string neutralise = s.first_item("neutralise");
  REQUIRE_FALSE(neutralise.empty());
  const test::Outcome early =
      verdigrid_run({"plan", "tick", s.folder, neutralise, "--who", "Ada", "--minutes", "6"});
  CHECK(early.code == 2);
  CHECK_THAT(early.err, Contains("cannot be ticked off"));
  REQUIRE(
      verdigrid_run({"plan", "tell", s.folder, "--battery", "nickel", "--strip", "11.5"}).code ==
      0);
  const test::Outcome ticked =
      verdigrid_run({"plan", "tick", s.folder, neutralise, "--who", "Ada", "--minutes", "6"});
  CAPTURE(ticked.err);
  REQUIRE(ticked.code == 0);
  CHECK_THAT(ticked.err, Contains("before its turn"));
  CHECK(verdigrid_run({"plan", "actual", s.folder, neutralise, "7.5"}).code == 0);
  const Json plan = s.kept();
  for (const Json& item : plan["items"])
    if (item["id"] == neutralise) CHECK(item["actual_min"] == 7.5);
  CHECK(fits_schema(s.plan_file, "plan"));
  const std::string rates = (s.t.path() / "rates.json").string();
  const std::string learned = (s.t.path() / "learned.json").string();
  REQUIRE(verdigrid_run({"rates", "init", "-o", rates}).code == 0);
  const test::Outcome learn = verdigrid_run(
      {"rates", "learn", rates, "--plan", s.plan_file, "--person", "Ada", "-o", learned});
  CAPTURE(learn.err);
  CHECK(learn.code == 0);
  CHECK_THAT(learn.out, Contains("neutralise"));
  CHECK(fits_schema(learned, "rate-table"));
  CHECK_THAT(test::text_of(learned), Contains("1 logged jobs of Ada"));
  CHECK(verdigrid_run({"plan", "untick", s.folder, neutralise}).code == 0);
  CHECK(verdigrid_run({"rates", "learn", rates, "--plan", s.plan_file, "--replace", "-o", learned})
            .code == 5);
}

TEST_CASE("work items are added, edited, split, merged and removed", "[cli]") {
  const Surveyed s;
  REQUIRE(s.plan().code == 0);
  const auto next = [&s] { return fmt::format("W{}", s.kept()["next_id"].get<int>()); };
  const std::string added = next();
  REQUIRE(verdigrid_run({"plan", "add", s.folder, "--operation", "replace-leaded-can", "--part",
                         "C1", "--part", "C2", "--damaged", "yes"})
              .code == 0);
  const std::string half = next();
  REQUIRE(verdigrid_run({"plan", "split", s.folder, added, "--part", "C2"}).code == 0);
  REQUIRE(verdigrid_run({"plan", "merge", s.folder, added, half}).code == 0);
  REQUIRE(verdigrid_run({"plan", "edit", s.folder, added, "--minutes", "3/5/9"}).code == 0);
  REQUIRE(verdigrid_run({"plan", "remove", s.folder, added}).code == 0);
  for (const std::vector<std::string>& wrong : std::vector<std::vector<std::string>>{
           {"plan", "remove", s.folder, "W999"},
           {"plan", "add", s.folder, "--operation", "polish"},
           {"plan", "edit", s.folder, s.first_item("dry")},
           {"plan", "edit", s.folder, s.first_item("dry"), "--minutes", "5"},
           {"plan", "show", (s.t.path() / "nowhere").string()},
           {"plan"},
           {"plan", "tell", s.folder, "--strip", "15"},
           {"plan", "tell", s.folder, "--battery", "potato"}}) {
    const test::Outcome ran = verdigrid_run(wrong);
    CAPTURE(wrong, ran.err);
    CHECK(ran.code == 2);
    CHECK(ran.err.starts_with("verdigrid: "));
  }
}

TEST_CASE("a unit's plan lies in its job book", "[cli]") {
  const Surveyed s;
  const std::string book = (s.t.path() / "shelf").string();
  REQUIRE(verdigrid_run({"jobbook", "init", book}).code == 0);
  std::string unit =
      verdigrid_run({"jobbook", "receive", book, "--name", "Logger", "--battery", "yes",
                     "--battery-kind", "NiCd barrel", "--leaking", "yes", "--strip-reading", "11"})
          .out;
  unit.pop_back();
  const std::vector<std::string> plan{"plan", unit, "--jobbook", book};
  CHECK(verdigrid_run(plan).code == 2);
  REQUIRE(verdigrid_run({"survey", "--detector", "first-method", s.photo.string(), "--board-mm",
                         test::k_board_mm, "--jobbook", book, "--unit", unit})
              .code == 0);
  const test::Outcome made = verdigrid_run(plan);
  CAPTURE(made.err);
  REQUIRE(made.code == 0);
  CHECK_THAT(made.out, !Contains("No neutraliser yet"));
  CHECK(verdigrid_run(plan).code == 2);
  const test::Outcome shown = verdigrid_run({"plan", "show", unit, "--jobbook", book, "--json"});
  REQUIRE(shown.code == 0);
  std::string photograph;
  const Json kept = Json::parse(shown.out);
  for (const Json& item : kept["items"])
    if (item["operation"] == "photograph") photograph = item["id"];
  REQUIRE(
      verdigrid_run({"plan", "tick", unit, photograph, "--jobbook", book, "--who", "Ada"}).code ==
      0);
  CHECK_THAT(verdigrid_run({"jobbook", "history", book, unit}).out, Contains("ticked off"));
  CHECK_THAT(verdigrid_run({"jobbook", "list", book}).out,
             Contains("allow up to") && Contains("LOCKED") && Contains("by one person"));
  const fs::path queue = s.t.path() / "queue.json";
  std::ofstream(queue) << verdigrid_run({"jobbook", "list", book, "--json"}).out;
  CHECK(fits_schema(queue, "queue"));
  CHECK(verdigrid_run({"jobbook", "undo", book}).code == 0);
  CHECK(Json::parse(verdigrid_run({"plan", "show", unit, "--jobbook", book, "--json"}).out) ==
        Json::parse(shown.out));
}
