#include "report/time_line.h"

#include <catch2/catch.hpp>

#include "jobbook/bench_record.h"
#include "jobbook/entities.h"
#include "jobbook/lock_record.h"
#include "jobbook/plan_record.h"
#include "tests/jobbook/scratch.h"
#include "tests/plan/facts.h"

using namespace verdigrid;

namespace {

std::vector<std::vector<std::string>> rows_of(const JobBook& book, const std::string& unit) {
  const auto section = time_line_section(book, unit);
  REQUIRE(section);
  return std::get<Table>(section->blocks.at(0)).rows;
}

}  // namespace

TEST_CASE("a time line has everything with a date, the oldest first", "[report]") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  Unit u;
  u.name = "logger";
  u.received_on = "2026-02-01";
  const std::string unit = book.put("received", {"", "unit", {}, to_body(u)});
  const std::string board = book.put("board", {"", "board", unit, to_body(Board{"main"})});
  KeptPhoto photo;
  photo.sha256 = book.add_file(bytes_of("a picture"));
  photo.role = "after wash";
  photo.captured_at = "2026-02-20 10:00:00";
  book.put("photo", {"", "photo", board, to_body(photo)});
  photo.role = "arrival";
  photo.captured_at = "2026-02-02 09:00:00";
  book.put("photo", {"", "photo", board, to_body(photo)});
  Plan plan = leaked_plan();
  for (PlanSide& side : plan.sides) side.photo_sha256 = photo.sha256;
  plan.items.at(0).done = true;
  plan.items.at(0).done_on = "2026-02-10";
  plan.items.at(0).done_by = "Ada";
  plan.items.at(0).actual_min = 12;
  keep_plan(book, board, plan, "planned");
  Bath bath;
  bath.kind = BathKind::rinse;
  bath.bath = "distilled water";
  bath.minutes = 10;
  const BenchEntry rinsed{"Cem", "2026-02-15T10:00:00Z", bath};
  book.change("rinse",
              bench_edits(book, board, {with_entry(bench_log_of(book, board), rinsed), {}}));
  LockEntry entry;
  entry.kind = LockEntryKind::evidence;
  entry.who = "Bea";
  entry.on = "2026-02-21";
  entry.condition = LockCondition::strip;
  entry.value = 7.1;
  entry.unit = "pH";
  keep_lock(book, board, with_entry(lock_of(book, board, "Bea", "2026-02-21"), entry), "evidence",
            "2026-02-21");

  const auto rows = rows_of(book, unit);
  // The rinse is also evidence for the power lock.
  REQUIRE(rows.size() == 7);
  const std::vector<std::string> days{"2026-02-01", "2026-02-02", "2026-02-10", "2026-02-15",
                                      "2026-02-15", "2026-02-20", "2026-02-21"};
  for (size_t i = 0; i < days.size(); ++i) CHECK(rows[i][0] == days[i]);
  CHECK(rows[1][1] == "main, front side: photo, arrival");
  CHECK_THAT(rows[2][1], Catch::Contains("12.0 min"));
  CHECK(rows[2][2] == "Ada");
  CHECK_THAT(rows[3][1] + rows[4][1], Catch::Contains("distilled water"));
  CHECK(rows[3][2] == "Cem");
  CHECK(rows[6][2] == "Bea");
}

TEST_CASE("nothing with a date gives no time line", "[report]") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const std::string unit = book.put("received", {"", "unit", {}, to_body(Unit{})});
  CHECK_FALSE(time_line_section(book, unit));
}
