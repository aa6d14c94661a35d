#include "report/bench_pages.h"

#include <catch2/catch.hpp>
#include <regex>

#include "layout/layout.h"
#include "plan/edit_plan.h"
#include "plan/work_region.h"
#include "tests/plan/bench.h"
#include "tests/process.h"
#include "tests/report/made_up_survey.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

// The made-up board lies at 2 px per mm with its corner at 39.5 px.
constexpr double k_px_per_mm = made_up::k_px_per_mm, k_corner_px = 39.5;

WorkItem work(Operation operation, const std::string& place, std::vector<std::string> parts = {}) {
  WorkItem w;
  w.operation = operation;
  w.stage = facts(operation).stage;
  w.what = facts(operation).words;
  w.place = place;
  for (const std::string& d : parts)
    w.parts.push_back({d, PartKind::aluminium_smd, "47u", "16 V", "", ""});
  return w;
}

Plan small_plan() {
  Plan plan;
  plan.board = "board 1";
  plan.rates = starting_rates();
  plan = with_item(plan, work(Operation::dry_pick_up, "B2 to B3"));
  plan = with_item(plan, work(Operation::neutralise, "B2"));
  return with_item(plan, work(Operation::replace_smd_can, "B2", {"C1", "C2"}));
}

Layout layout_with(const std::string& designator, cv::Point2d centre_mm) {
  Layout layout;
  Part p;
  p.designator = designator;
  p.centre = centre_mm;
  p.body = {8, 4};
  p.negative_end = NegativeEnd::left;
  layout.parts.push_back(p);
  return layout;
}

std::string text_of_pdf(const Bytes& pdf) {
  const test::TemporaryFolder t;
  write_file(t.path() / "sheet.pdf", pdf);
  return test::run({"pdftotext", "-layout", (t.path() / "sheet.pdf").string(), "-"}).out;
}

}  // namespace

TEST_CASE("a place lies where its part, its area or its findings lie", "[report]") {
  const Survey s = made_up::survey(2);
  const Layout layout = layout_with("C1", {100, 50});
  const WorkItem w = work(Operation::replace_smd_can, "B2", {"C1"});
  const auto part = work_region_px(s, &layout, w, "C1");
  REQUIRE(part);
  CHECK(part->x == Approx(k_corner_px + 96 * k_px_per_mm));
  CHECK(part->y == Approx(k_corner_px + 48 * k_px_per_mm));
  CHECK(part->width == Approx(8 * k_px_per_mm));
  // Without a layout: the square B2 of 300 x 200 mm in 8 x 6 squares of 37.5 x 33.3 mm.
  const auto square = work_region_px(s, nullptr, w, "C1");
  REQUIRE(square);
  CHECK(square->x == Approx(k_corner_px + 37.5 * k_px_per_mm));
  CHECK(square->y == Approx(k_corner_px + 200.0 / 6 * k_px_per_mm));
  CHECK(square->width == Approx(37.5 * k_px_per_mm));
  const auto two = work_region_px(s, nullptr, work(Operation::rinse, "B2 to B3"), "");
  REQUIRE(two);
  CHECK(two->width == Approx(2 * square->width));
  WorkItem found = work(Operation::rinse, "");
  CHECK_FALSE(work_region_px(s, nullptr, found, ""));
  found.findings = {2};
  CHECK(*work_region_px(s, nullptr, found, "") == cv::Rect2d(s.findings.findings[1].box_px));
}

TEST_CASE("a crop is square, inside the photo and holds its region", "[report]") {
  const Survey s = made_up::survey(1);
  for (const cv::Rect2d region : {cv::Rect2d(0, 0, 10, 6), cv::Rect2d(600, 440, 60, 30),
                                  cv::Rect2d(300, 200, 5, 5), cv::Rect2d(100, 100, 300, 200)}) {
    const cv::Rect crop = work_crop_px(s, region);
    CHECK(crop.width == crop.height);
    CHECK((crop & cv::Rect({0, 0}, s.photo_size_px)) == crop);
    CHECK(crop.contains(cv::Point(region.tl() + cv::Point2d(1, 1))));
    CHECK(crop.contains(cv::Point(region.br() - cv::Point2d(1, 1))));
    CHECK(crop.width >= 20 * k_px_per_mm);
  }
}

TEST_CASE("bench pages have every place in order with what speaks against it", "[report]") {
  const Plan plan = small_plan();
  const BenchLog log = logged({{0, PartMove{"C2", PartState::off, ""}},
                               {1, ShiftNote{"rinse 1 of 2 done"}},
                               {2, PartReading{"C2", ReadingOf::polarity, "left", "up", "up"}}});
  const auto photo = std::make_shared<const Photo>(made_up::photo());
  const auto survey = std::make_shared<const Survey>(made_up::survey(2));
  const auto layout = std::make_shared<const Layout>(layout_with("C1", {100, 50}));
  const std::string text = text_of_pdf(bench_pages_pdf(
      plan, log, {{Side::front, {photo, survey, layout}}},
      {"logger", "board 1", "LOCKED: 7 of 12 conditions are open", "rinse 1 of 2 done"}));
  for (const char* part :
       {"Bench pages: logger, board 1", "LOCKED: 7 of 12", "4 places left", "rinse 1 of 2 done",
        "C1", "C2", "47u", "layout: negative end left", "ASK: polarity of C2",
        "Not yet:", "No neutraliser yet", "done", "problem", "1 off or bagged"})
    CHECK_THAT(text, Contains(part));
  CHECK_FALSE(std::regex_search(text, std::regex("\\b(safe|ok|okay|fine)\\b", std::regex::icase)));
}

TEST_CASE("a sheet without photos and without work says so", "[report]") {
  const std::string no_photo =
      text_of_pdf(bench_pages_pdf(small_plan(), {}, {}, {"logger", "board 1", "LOCKED", ""}));
  CHECK_THAT(no_photo, Contains("not photographed"));
  const std::string no_work =
      text_of_pdf(bench_pages_pdf(Plan{}, {}, {}, {"logger", "board 1", "LOCKED", ""}));
  CHECK_THAT(no_work, Contains("no clearance"));
}
