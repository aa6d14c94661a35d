#include "report/unit_change.h"

#include <catch2/catch.hpp>

#include "jobbook/bench_record.h"
#include "jobbook/entities.h"
#include "jobbook/survey_record.h"
#include "photo/encode.h"
#include "report/document_html.h"
#include "report/unit_report.h"
#include "tests/compare/rendered_change.h"
#include "tests/jobbook/scratch.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

BenchLog log_of(const std::vector<std::pair<std::string, BenchEvent>>& entries) {
  BenchLog log{"board", {}};
  for (const auto& [at, event] : entries) log.entries.push_back({"Ada", at, event});
  return log;
}

Bath rinse() {
  Bath bath;
  bath.kind = BathKind::rinse;
  bath.bath = "distilled water";
  bath.minutes = 10;
  return bath;
}

struct Shelf {
  Scratch scratch;
  JobBook book = JobBook::create(scratch.book(), fixed_options());
  std::string unit = book.put("received", {"", "unit", {}, to_body(Unit{.name = "logger"})});
  std::string board = book.put("board", {"", "board", unit, to_body(Board{"main"})});

  std::string add(const synthetic::Shot& shot, const std::string& role, const std::string& taken) {
    KeptPhoto photo;
    photo.sha256 = book.add_file(png_bytes(shot.bgr));
    photo.name = role + ".png";
    photo.role = role;
    photo.captured_at = taken;
    return book.put("photo", {"", "photo", board, to_body(photo)});
  }
  void survey(const std::string& photo, const synthetic::Shot& shot, int seed) {
    Survey s = true_survey(shot, seed);
    s.photo.sha256 = book.get(photo).body.at("sha256").get<std::string>();
    keep_survey(book, photo, s);
  }
  void log(const std::string& at, const BenchEvent& event) {
    change_bench(book, board, "log", [&](const std::optional<Plan>&, const BenchLog& log) {
      return BenchKeep{with_entry(log, {"Ada", at, event}), {}};
    });
  }
};

std::string html_of(const Shelf& s, ReportVersion version) {
  ReportOptions options;
  options.version = version;
  options.sections = {"changes"};
  return document_html(unit_report(s.book, s.unit, options));
}

}  // namespace

TEST_CASE("a board is dry on a day when it was dried before and was in no bath since", "[report]") {
  const Drying dried{DryingWay::open_air, {}, 72};
  CHECK(dryness_on(log_of({}), "2026-02-20") == Dryness::not_logged);
  const BenchLog washed = log_of({{"2026-02-10T10:00:00Z", rinse()}});
  CHECK(dryness_on(washed, "2026-02-20") == Dryness::not_logged);
  const BenchLog dry = log_of({{"2026-02-10T10:00:00Z", rinse()}, {"2026-02-14T10:00:00Z", dried}});
  CHECK(dryness_on(dry, "2026-02-20") == Dryness::dry);
  // On the day itself the order of two clocks is not known.
  CHECK(dryness_on(dry, "2026-02-14") == Dryness::not_logged);
  const BenchLog again = log_of({{"2026-02-10T10:00:00Z", rinse()},
                                 {"2026-02-14T10:00:00Z", dried},
                                 {"2026-02-20T08:00:00Z", rinse()}});
  CHECK(dryness_on(again, "2026-02-20") == Dryness::not_logged);
  CHECK(dryness_on(again, "2026-02-19") == Dryness::dry);
}

TEST_CASE("a unit's report compares before with after, for bench and owner", "[report][slow]") {
  const RenderedChange pair = rendered_change(8, {480, 360});
  Shelf s;
  const std::string before = s.add(pair.before, "arrival", "2026-02-01 10:00:00");
  s.survey(before, pair.before, 1);
  CHECK_THAT(html_of(s, ReportVersion::bench), !Contains("before and after"));
  const std::string after = s.add(pair.after, "after wash", "2026-02-20 10:00:00");
  CHECK_THAT(html_of(s, ReportVersion::bench),
             Contains("Not compared: the photo after was not surveyed."));
  s.survey(after, pair.after, 2);
  const std::string damp = html_of(s, ReportVersion::bench);
  CHECK_THAT(damp, Contains("main, front side: before and after") &&
                       Contains("damp or not logged: no verdict"));
  s.log("2026-02-10T10:00:00Z", rinse());
  s.log("2026-02-14T10:00:00Z", Drying{DryingWay::open_air, {}, 72});
  const std::string bench = html_of(s, ReportVersion::bench),
                    owner = html_of(s, ReportVersion::owner);
  for (const std::string& html : {bench, owner})
    CHECK_THAT(html, Contains("type=\"range\"") && Contains("The board before") &&
                         Contains("Verdict: nothing left that these photos show"));
  CHECK_THAT(bench, Contains("What changed, in the order of the numbers"));
  CHECK_THAT(owner, !Contains("What changed, in the order of the numbers"));
}

TEST_CASE("photos that do not show one board are said not to be compared", "[report][slow]") {
  const RenderedChange one = rendered_change(2, {480, 360}), other = rendered_change(3, {480, 360});
  Shelf s;
  s.survey(s.add(one.before, "arrival", "2026-02-01 10:00:00"), one.before, 1);
  s.survey(s.add(other.after, "after wash", "2026-02-20 10:00:00"), other.after, 2);
  CHECK_THAT(html_of(s, ReportVersion::bench),
             Contains("Not compared: the two photos could not be aligned."));
}
