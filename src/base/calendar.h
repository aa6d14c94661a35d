// Dates and times as text: "YYYY-MM-DD" and, always UTC, "YYYY-MM-DDThh:mm:ssZ".
//
// Text that is no such date or time, or no day of the calendar, throws Error{wrong_use} with a
// sentence. Pure: nothing here reads the clock. May be called from any thread.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace verdigrid {

// Days since 1970-01-01, for comparing and counting.
std::int64_t day_number(std::string_view date);

// The same day of the month, or the month's last day where that is missing: a month after 31
// January is 28 or 29 February.
std::string months_after(std::string_view date, int months);
std::string days_after(std::string_view date, int days);

// Seconds since 1970-01-01T00:00:00Z, and back.
std::int64_t seconds_of(std::string_view time);
std::string time_text(std::int64_t seconds);

std::string date_of(std::string_view time);  // "2026-03-01T14:05:00Z" -> "2026-03-01"

// "14:05" as a clock on the wall shows it `utc_offset_min` east of Greenwich.
std::string wall_clock(std::int64_t seconds, int utc_offset_min);

}  // namespace verdigrid
