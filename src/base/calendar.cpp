#include "base/calendar.h"

#include <fmt/format.h>

#include <charconv>
#include <chrono>

#include "base/error.h"

namespace verdigrid {

namespace {

using std::chrono::sys_days;
using std::chrono::year_month_day;

constexpr std::int64_t k_minute_s = 60, k_hour_s = 60 * k_minute_s, k_day_s = 24 * k_hour_s;

// The whole number at this place of the text; negative where something else stands there.
int number_at(std::string_view text, size_t at, size_t length) {
  int value = 0;
  const char* first = text.data() + at;
  for (size_t i = 0; i < length; ++i)
    if (first[i] < '0' || first[i] > '9') return -1;
  std::from_chars(first, first + length, value);
  return value;
}

year_month_day day_of(std::string_view date) {
  const bool is_long_enough = date.size() == 10 && date[4] == '-' && date[7] == '-';
  const int y = is_long_enough ? number_at(date, 0, 4) : -1;
  const int m = is_long_enough ? number_at(date, 5, 2) : -1;
  const int d = is_long_enough ? number_at(date, 8, 2) : -1;
  if (y < 0 || m < 0 || d < 0)
    throw Error(ErrorKind::wrong_use, fmt::format("\"{}\" is no date; write YYYY-MM-DD.", date));
  const year_month_day day{std::chrono::year(y), std::chrono::month(static_cast<unsigned>(m)),
                           std::chrono::day(static_cast<unsigned>(d))};
  if (!day.ok())
    throw Error(ErrorKind::wrong_use, fmt::format("\"{}\" is no day of the calendar.", date));
  return day;
}

std::string date_text(const year_month_day& day) {
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(day.year()),
                     static_cast<unsigned>(day.month()), static_cast<unsigned>(day.day()));
}

}  // namespace

std::int64_t day_number(std::string_view date) {
  return sys_days(day_of(date)).time_since_epoch().count();
}

std::string months_after(std::string_view date, int months) {
  year_month_day day = day_of(date) + std::chrono::months(months);
  if (!day.ok()) day = day.year() / day.month() / std::chrono::last;
  return date_text(day);
}

std::string days_after(std::string_view date, int days) {
  return date_text(sys_days(day_of(date)) + std::chrono::days(days));
}

std::int64_t seconds_of(std::string_view time) {
  const bool has_shape =
      time.size() == 20 && time[10] == 'T' && time[13] == ':' && time[16] == ':' && time[19] == 'Z';
  const int h = has_shape ? number_at(time, 11, 2) : -1;
  const int m = has_shape ? number_at(time, 14, 2) : -1;
  const int s = has_shape ? number_at(time, 17, 2) : -1;
  if (h < 0 || h > 23 || m < 0 || m > 59 || s < 0 || s > 60)
    throw Error(ErrorKind::wrong_use,
                fmt::format("\"{}\" is no time; write YYYY-MM-DDThh:mm:ssZ (UTC).", time));
  return day_number(time.substr(0, 10)) * k_day_s + h * k_hour_s + m * k_minute_s + s;
}

std::string time_text(std::int64_t seconds) {
  const std::int64_t day = seconds >= 0 ? seconds / k_day_s : (seconds - k_day_s + 1) / k_day_s;
  const std::int64_t rest = seconds - day * k_day_s;
  return fmt::format("{}T{:02}:{:02}:{:02}Z", days_after("1970-01-01", static_cast<int>(day)),
                     rest / k_hour_s, rest / k_minute_s % 60, rest % k_minute_s);
}

std::string date_of(std::string_view time) {
  seconds_of(time);
  return std::string(time.substr(0, 10));
}

std::string wall_clock(std::int64_t seconds, int utc_offset_min) {
  return time_text(seconds + std::int64_t{60} * utc_offset_min).substr(11, 5);
}

}  // namespace verdigrid
