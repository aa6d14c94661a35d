#include "report/work_sheet.h"

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <regex>

#include "tests/layout/sample_layout.h"
#include "tests/measure/sample_survey.h"
#include "tests/plan/facts.h"
#include "tests/process.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

std::string text_of(const Bytes& pdf) {
  const test::TemporaryFolder folder;
  const std::string file = (folder.path() / "sheet.pdf").string();
  write_file(file, pdf);
  CHECK(test::run({"qpdf", "--check", file}).code == 0);
  return test::run({"pdftotext", "-layout", file, "-"}).out;
}

int pages_of(const std::string& text) {
  return static_cast<int>(std::count(text.begin(), text.end(), '\f'));
}

}  // namespace

TEST_CASE("a work sheet opens with the lock and has every open item", "[report]") {
  const Survey survey = sample_survey();
  Plan plan = leaked_plan();
  plan.items.at(0).done = true;
  const std::string text =
      text_of(work_sheet_pdf(plan, {{survey, nullptr}}, "LOCKED: 7 of 12 conditions are open"));
  CHECK_THAT(text, Contains("LOCKED: 7 of 12 conditions are open") && Contains("allow up to"));
  int open = 0;
  for (const WorkItem& item : plan.items) {
    INFO(item.id << " " << name(item.side));
    CHECK(std::regex_search(text, std::regex("\\b" + item.id + "\\b")) ==
          (!item.done && !item.optional));
    open += !item.done;
  }
  CHECK(open > 3);
  // The grid's names stand round the drawing.
  CHECK_THAT(text, Contains("A") && Contains("1"));
}

TEST_CASE("zones and parts of a layout stand in the drawing of their side only", "[report]") {
  const Survey survey = sample_survey();
  const Layout layout = sample_layout();
  const Plan plan = leaked_plan();
  const std::string with = text_of(work_sheet_pdf(plan, {{survey, &layout}}, "LOCKED"));
  CHECK_THAT(with, Contains("Power") && Contains("BT1"));
  CHECK_THAT(with, !Contains("C12"));  // sits on the back, in no work item
}

TEST_CASE("a long list goes on over the next page under its heading", "[report]") {
  const Survey survey = sample_survey();
  Plan plan = leaked_plan();
  const WorkItem one = plan.items.at(0);
  for (int i = 0; i < 40; ++i) {
    plan.items.push_back(one);
    plan.items.back().id = fmt::format("W{}", 1000 + i);
    plan.items.back().side = Side::front;
  }
  const std::string text = text_of(work_sheet_pdf(plan, {{survey, nullptr}}, "LOCKED"));
  CHECK(pages_of(text) >= 2);
  CHECK_THAT(text, Contains("goes on") && Contains("W1039"));
}
