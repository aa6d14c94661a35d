#include "report/area_time_line.h"

#include <fmt/format.h>

#include <catch2/catch.hpp>

#include "jobbook/entities.h"
#include "jobbook/survey_record.h"
#include "tests/jobbook/scratch.h"
#include "tests/measure/sample_survey.h"

using namespace verdigrid;

namespace {

struct Shelf {
  Scratch scratch;
  JobBook book = JobBook::create(scratch.book(), fixed_options());
  std::string unit = book.put("received", {"", "unit", {}, to_body(Unit{.name = "logger"})});
  std::string board = book.put("board", {"", "board", unit, to_body(Board{"main"})});

  // A photo with a survey that says so many mm2 in the first zone and on the whole side.
  void add(const std::string& role, const std::string& taken, double mm2) {
    Survey survey = sample_survey();
    const auto set = [mm2](ZoneRow& row) {
      row.affected.area = {mm2, 0.9 * mm2, 1.1 * mm2};
      row.affected.px = mm2 > 0 ? 100 : 0;
    };
    REQUIRE(survey.zones.has_mm);
    set(survey.zones.total);
    set(survey.zones.zones.at(0));
    KeptPhoto photo;
    photo.sha256 = survey.photo.sha256 = book.add_file(bytes_of("picture " + role + taken));
    photo.role = role;
    photo.captured_at = taken;
    keep_survey(book, book.put("photo", {"", "photo", board, to_body(photo)}), survey);
  }
};

const Table& table(const Section& s, const std::string& caption) {
  for (const Block& block : s.blocks)
    if (const auto* t = std::get_if<Table>(&block); t && t->caption == caption) return *t;
  FAIL("no table " << caption);
  throw 0;
}

}  // namespace

TEST_CASE("three looks at a side stand in the order of time, zone by zone", "[report]") {
  Shelf s;
  s.add("handed over", "2026-03-15 10:00:00", 0.5);  // kept before the older ones
  s.add("arrival", "2026-02-02 09:00:00", 12);
  s.add("after wash", "2026-02-20 10:00:00", 3);
  const auto section = area_time_line(s.book, s.board, "main", Side::front);
  REQUIRE(section);
  CHECK(section->heading == "main, front side: residue over time");
  const std::vector<std::string> heads{"place", "arrival, 2026-02-02", "after wash, 2026-02-20",
                                       "handed over, 2026-03-15"};
  const std::vector<std::string> areas{"12.0 mm² (10.8 to 13.2)", "3.00 mm² (2.70 to 3.30)",
                                       "0.500 mm² (0.450 to 0.550)"};
  for (const char* caption : {"The whole side", "Zones"}) {
    const Table& t = table(*section, caption);
    CHECK(t.head == heads);
    for (size_t i = 0; i < areas.size(); ++i)
      CHECK_THAT(t.rows.at(0).at(i + 1), Catch::StartsWith(areas[i]));
  }
  CHECK(table(*section, "Zones").rows.at(0).at(0) == sample_survey().zones.zones.at(0).name);
}

TEST_CASE("one look is no time line, nor are close-ups or the other side", "[report]") {
  Shelf s;
  s.add("arrival", "2026-02-02 09:00:00", 12);
  s.add("close-up", "2026-02-03 09:00:00", 1);
  CHECK_FALSE(area_time_line(s.book, s.board, "main", Side::front));
  s.add("after wash", "2026-02-20 10:00:00", 3);
  CHECK(area_time_line(s.book, s.board, "main", Side::front));
  CHECK_FALSE(area_time_line(s.book, s.board, "main", Side::back));
}

TEST_CASE("a survey without a zone that another one has says so", "[report]") {
  Shelf s;
  s.add("arrival", "2026-02-02 09:00:00", 12);
  Survey plain = empty_survey();
  KeptPhoto photo;
  photo.sha256 = plain.photo.sha256 = s.book.add_file(bytes_of("plain picture"));
  photo.role = "after wash";
  photo.captured_at = "2026-02-20 10:00:00";
  keep_survey(s.book, s.book.put("photo", {"", "photo", s.board, to_body(photo)}), plain);
  const auto section = area_time_line(s.book, s.board, "main", Side::front);
  REQUIRE(section);
  CHECK(table(*section, "Zones").rows.at(0).at(2) == "not measured");
}
