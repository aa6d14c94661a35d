#include "plan/part_reading.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cmath>

#include "layout/words.h"

namespace verdigrid {

namespace {

constexpr Words<ReadingOf, 2> k_readings{
    {{ReadingOf::value, "value"}, {ReadingOf::polarity, "polarity"}}};

struct Prefix {
  std::string_view sign;
  double factor;
};
constexpr Prefix k_prefixes[] = {{"p", 1e-12},     {"n", 1e-9},      {"u", 1e-6},
                                 {"\u00b5", 1e-6}, {"\u03bc", 1e-6}, {"m", 1e-3},
                                 {"k", 1e3},       {"K", 1e3},       {"M", 1e6}};
constexpr std::string_view k_ohms[] = {"ohm", "Ohm", "R", "\u03a9", "\u2126"};

std::string plain(std::string_view text) {
  std::string out;
  for (const char c : text)
    if (c != ' ') out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

bool take(std::string_view& text, std::string_view start) {
  if (!text.starts_with(start)) return false;
  text.remove_prefix(start.size());
  return true;
}

std::optional<double> take_number(std::string_view& text) {
  double value = 0;
  const auto [end, error] =
      std::from_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
  if (error != std::errc() || !std::isdigit(static_cast<unsigned char>(text.front())))
    return std::nullopt;
  text.remove_prefix(static_cast<size_t>(end - text.data()));
  return value;
}

bool is_same_value(const PartValue& a, const PartValue& b) {
  if (a.unit != 0 && b.unit != 0 && a.unit != b.unit) return false;
  return std::abs(a.value - b.value) <= k_value_tolerance * std::max(a.value, b.value);
}

bool is_same(ReadingOf what, const std::string& a, const std::string& b) {
  if (what == ReadingOf::polarity) return plain(a) == plain(b);
  const auto va = part_value(a), vb = part_value(b);
  return va && vb ? is_same_value(*va, *vb) : plain(a) == plain(b);
}

struct Witness {
  const char* name;
  const std::string* says;
};

std::string witness_words(const std::vector<Witness>& witnesses) {
  std::string text;
  for (const Witness& w : witnesses)
    text += fmt::format("{}{} says {}", text.empty() ? "" : ", ", w.name, *w.says);
  return text;
}

}  // namespace

const char* name(ReadingOf what) { return word_of(k_readings, what); }
std::optional<ReadingOf> reading_of_named(std::string_view text) {
  return value_of(k_readings, text);
}

std::optional<PartValue> part_value(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  if (text.empty()) return std::nullopt;
  const auto number = take_number(text);
  if (!number) return std::nullopt;
  PartValue value{*number, 0};
  while (take(text, " ")) {
  }
  double factor = 1;
  for (const Prefix& p : k_prefixes)
    if (take(text, p.sign)) {
      factor = p.factor;
      break;
    }
  for (const std::string_view ohm : k_ohms)
    if (value.unit == 0 && take(text, ohm)) value.unit = 'R';
  if (value.unit == 0 && take(text, "F")) value.unit = 'F';
  if (value.unit == 0 && take(text, "H")) value.unit = 'H';
  // "4k7" and "2R2": the sign stands for the decimal point.
  if (!text.empty() && std::isdigit(static_cast<unsigned char>(text.front()))) {
    const size_t before = text.size();
    const auto rest = take_number(text);
    if (!rest) return std::nullopt;
    value.value += *rest / std::pow(10.0, static_cast<double>(before - text.size()));
  }
  if (!text.empty()) return std::nullopt;
  value.value *= factor;
  return value;
}

PartAgreement agreement_of(const PartReading& r) {
  const Witness all[] = {
      {"the print", &r.print}, {"the old part", &r.old_part}, {"the meter", &r.meter}};
  std::vector<Witness> speaking;
  std::string missing;
  for (const Witness& w : all) {
    if (w.says->empty())
      missing += fmt::format("{}{}", missing.empty() ? "" : " and ", w.name);
    else if (*w.says != k_says_nothing)
      speaking.push_back(w);
  }
  const std::string head = fmt::format("ASK: {} of {}: ", name(r.what), r.designator);
  PartAgreement result;
  const auto differs = [&](const Witness& w) {
    return !is_same(r.what, *speaking.front().says, *w.says);
  };
  if (std::any_of(speaking.begin(), speaking.end(), differs))
    result.ask = head + witness_words(speaking) + ".";
  else if (!missing.empty())
    result.ask = head + missing + (missing.find(" and ") == std::string::npos ? " was" : " were") +
                 " not read yet.";
  else if (speaking.size() < 2)
    result.ask = head + "only one of print, old part and meter says anything.";
  if (!result.ask.empty()) return result;
  result.agrees = true;
  // A meter's figure is no value that is sold.
  result.value = *speaking.front().says;
  for (const Witness& w : speaking)
    if (w.says == &r.old_part) result.value = r.old_part;
  return result;
}

std::vector<PartReading> newest_readings(const std::vector<PartReading>& readings) {
  std::vector<PartReading> newest;
  for (const PartReading& r : readings) {
    const auto at = std::find_if(newest.begin(), newest.end(), [&r](const PartReading& o) {
      return o.designator == r.designator && o.what == r.what;
    });
    if (at == newest.end())
      newest.push_back(r);
    else
      *at = r;
  }
  return newest;
}

OrderValue order_value(const ItemPart& part, const std::string& board_revision,
                       const std::vector<PartReading>& readings) {
  const auto newest = std::find_if(readings.rbegin(), readings.rend(), [&](const PartReading& r) {
    return r.what == ReadingOf::value && r.designator == part.designator;
  });
  if (newest != readings.rend()) {
    const PartAgreement a = agreement_of(*newest);
    if (!a.agrees) return {false, part.value, a.ask};
    return {true, a.value, "Print, old part and meter of this board agree."};
  }
  const std::string none =
      fmt::format("{}: no value is known; read print, old part and meter.", part.designator);
  if (part.value.empty()) return {false, {}, none};
  if (part.revision.empty()) return {true, part.value, "The layout states no revision."};
  if (board_revision.empty())
    return {false, part.value,
            fmt::format("{}: the value is of revision {} and nobody has told this board's "
                        "revision.",
                        part.designator, part.revision)};
  if (board_revision != part.revision)
    return {false, part.value,
            fmt::format("{}: the value is of revision {}, the board is revision {}; read print, "
                        "old part and meter.",
                        part.designator, part.revision, board_revision)};
  return {true, part.value, fmt::format("Of this board's revision, {}.", part.revision)};
}

}  // namespace verdigrid
