#include "base/calendar.h"

#include <catch2/catch.hpp>

#include "base/error.h"

using namespace verdigrid;

TEST_CASE("times go to seconds and back") {
  CHECK(seconds_of("1970-01-01T00:00:00Z") == 0);
  CHECK(seconds_of("2001-09-09T01:46:40Z") == 1'000'000'000);  // a thousand million seconds
  for (const std::int64_t s : {-1LL, 0LL, 951'782'399LL, 1'000'000'000LL, 4'102'444'800LL})
    CHECK(seconds_of(time_text(s)) == s);
}

TEST_CASE("months end where a month ends") {
  CHECK(months_after("2025-01-31", 1) == "2025-02-28");
  CHECK(months_after("2024-01-31", 1) == "2024-02-29");
  CHECK(months_after("2025-11-15", 3) == "2026-02-15");
  CHECK(months_after("2025-03-31", 12) == "2026-03-31");
  CHECK(days_after("2024-02-28", 2) == "2024-03-01");
  CHECK(day_number("1970-01-02") == 1);
}

TEST_CASE("a wall clock stands where its time zone is") {
  const std::int64_t at = seconds_of("2026-03-01T23:30:59Z");
  CHECK(wall_clock(at, 0) == "23:30");
  CHECK(wall_clock(at, 60) == "00:30");
  CHECK(wall_clock(at, -210) == "20:00");
  CHECK(date_of("2026-03-01T23:30:59Z") == "2026-03-01");
}

TEST_CASE("what is no date or time is refused") {
  for (const char* text : {"", "2026-3-1", "2026-13-01", "2025-02-29", "20x6-01-01", "2026-01-01 "})
    CHECK_THROWS_AS(day_number(text), Error);
  for (const char* text : {"", "2026-01-01", "2026-01-01T24:00:00Z", "2026-01-01T12:60:00Z",
                           "2026-01-01T12:00:00", "2026-01-01 12:00:00Z"})
    CHECK_THROWS_AS(seconds_of(text), Error);
}
