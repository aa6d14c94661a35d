#include "report/plan_section.h"

#include <catch2/catch.hpp>
#include <regex>

#include "jobbook/entities.h"
#include "jobbook/survey_record.h"
#include "plan/edit_plan.h"
#include "report/document_html.h"
#include "report/unit_report.h"
#include "tests/jobbook/scratch.h"
#include "tests/measure/sample_survey.h"
#include "tests/plan/facts.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

const char* const k_day = "2026-03-01";

std::string html_of(std::vector<Section> sections) {
  return document_html({"Report", "", std::move(sections)});
}

}  // namespace

TEST_CASE("a plan in a report: figures for the owner, every item for the bench", "[report]") {
  const Plan plan = leaked_plan();
  const std::string owner = html_of({plan_section(plan, ReportVersion::owner, "s1-")});
  const std::string bench = html_of({plan_section(plan, ReportVersion::bench, "s1-")});
  for (const std::string& text : {owner, bench})
    CHECK_THAT(text, Contains("allow up to") && Contains("Worth it: ask first, provisional"));
  for (const WorkItem& w : plan.items) CHECK_THAT(bench, Contains(">" + w.id + "<"));
  CHECK_THAT(bench, Contains("No neutraliser yet") && Contains("Parts to order"));
  CHECK_THAT(owner, !Contains("Parts to order"));
}

TEST_CASE("a lock in a report opens with its headline and clears nothing", "[report]") {
  const PowerLock lock{"board 1", lock_facts(leaked_plan()), {}};
  const std::regex clearance("\\b(safe|ok|okay|fine)\\b", std::regex::icase);
  for (const ReportVersion version : {ReportVersion::owner, ReportVersion::bench}) {
    const Section s = lock_section(lock, k_day, version, "");
    CHECK_THAT(std::get<Paragraph>(s.blocks.front()).text, Contains("LOCKED"));
    CHECK_FALSE(std::regex_search(html_of({s}), clearance));
  }
  CHECK_THAT(html_of({lock_section(lock, k_day, ReportVersion::bench, "")}),
             Contains("open, no override"));
  CHECK_FALSE(tests_section(lock, ""));
}

TEST_CASE("first power and tests stand in a table with what failed", "[report]") {
  PowerLock lock{"board 1", {}, {}};
  LockEntry e;
  e.kind = LockEntryKind::power;
  e.who = "Ada";
  e.on = k_day;
  e.power = FirstPower{"bench 1", 0.5, {{0, 5, 0.5}}, Told::yes};
  lock.log.push_back(e);
  e.kind = LockEntryKind::test;
  e.power.reset();
  e.tests = {{"starts", TestVerdict::fail}, {"keys", TestVerdict::not_tested}};
  lock.log.push_back(e);
  const auto section = tests_section(lock, "");
  REQUIRE(section);
  CHECK_THAT(html_of({*section}), Contains("failed: Smell or heat") && Contains("not tested"));
}

TEST_CASE("the report of a unit shows each board's lock, planned or not", "[report]") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  Unit u;
  u.name = "logger";
  const std::string unit = book.put("received", {"", "unit", {}, to_body(u)});
  book.put("board", {"", "board", unit, to_body(Board{"board 1"})});
  const ReportDocument d = unit_report(book, unit, {});
  CHECK_NOTHROW(d.check());
  CHECK_THAT(document_html(d), Contains("board 1: power lock") && Contains("LOCKED: "));
  ReportOptions only;
  only.sections = {"lock"};
  CHECK(unit_report(book, unit, only).sections.size() == 1);
}

TEST_CASE("the report of a unit does not take the survey of a close-up for its side", "[report]") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const std::string unit = book.put("received", {"", "unit", {}, to_body(Unit{})});
  const std::string board = book.put("board", {"", "board", unit, to_body(Board{"board 1"})});
  KeptPhoto near{book.add_file(bytes_of("no picture")), "scope.jpg", "close-up"};
  Survey survey = sample_survey();
  survey.photo.sha256 = near.sha256;
  keep_survey(book, book.put("photo", {"", "photo", board, to_body(near)}), survey);
  CHECK_THAT(document_html(unit_report(book, unit, {})),
             Contains("board 1, front side") && Contains("Not surveyed"));
}
