#include "layout/number_text.h"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cmath>

namespace verdigrid {

namespace {

std::optional<LengthUnit> unit_named(std::string_view word, bool& is_known) {
  is_known = true;
  if (word == "mm") return LengthUnit::mm;
  if (word == "mil" || word == "mils" || word == "th" || word == "thou") return LengthUnit::mil;
  if (word == "in" || word == "inch" || word == "\"") return LengthUnit::inch;
  is_known = word.empty() || word == "deg" || word == "\xC2\xB0";
  return std::nullopt;
}

}  // namespace

std::optional<Measured> measured(std::string_view text) {
  std::string plain;
  for (char c : text)
    if (c != ' ' && c != '\t')
      plain += c == ',' ? '.' : static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  if (plain.size() > 64) return std::nullopt;
  const char* first = plain.data();
  if (*first == '+') ++first;
  Measured out;
  const auto [end, code] = std::from_chars(first, plain.data() + plain.size(), out.value);
  if (code != std::errc() || !std::isfinite(out.value)) return std::nullopt;
  bool is_known = false;
  out.unit = unit_named({end, static_cast<size_t>(plain.data() + plain.size() - end)}, is_known);
  if (!is_known) return std::nullopt;
  return out;
}

double in_mm(double value, LengthUnit unit) {
  switch (unit) {
    case LengthUnit::mm:
      return value;
    case LengthUnit::mil:
      return value * 0.0254;
    case LengthUnit::inch:
      return value * 25.4;
  }
  return value;
}

}  // namespace verdigrid
