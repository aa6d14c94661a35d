#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <optional>

#include "layout/package_table.h"

namespace verdigrid {

namespace {

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

bool is_digit(char c) { return c >= '0' && c <= '9'; }

// The number right after `word` ("_d" in "cp_radial_d10.0mm"): 10.0.
std::optional<double> number_after(const std::string& text, std::string_view word) {
  const size_t at = text.find(word);
  if (at == std::string::npos) return std::nullopt;
  const char* first = text.data() + at + word.size();
  double value = 0;
  const auto [end, code] =
      std::from_chars(first, text.data() + text.size(), value, std::chars_format::fixed);
  if (code != std::errc() || end == first) return std::nullopt;
  return value;
}

// `digits` as a number of its own: "0805" in "r_0805_2012metric", not in "10805".
bool holds_number(const std::string& text, std::string_view digits) {
  for (size_t at = text.find(digits); at != std::string::npos; at = text.find(digits, at + 1)) {
    const size_t end = at + digits.size();
    const bool starts = at == 0 || (!is_digit(text[at - 1]) && text[at - 1] != '.');
    const bool ends = end == text.size() || (!is_digit(text[end]) && text[end] != '.');
    if (starts && ends) return true;
  }
  return false;
}

// Pins after a family name: "soic-14", "soic14", "soic_14".
std::optional<int> pins_after(const std::string& text, std::string_view family) {
  const size_t at = text.find(family);
  if (at == std::string::npos) return std::nullopt;
  size_t i = at + family.size();
  if (i < text.size() && (text[i] == '-' || text[i] == '_')) ++i;
  int pins = 0;
  const auto [end, code] = std::from_chars(text.data() + i, text.data() + text.size(), pins);
  if (code != std::errc() || pins < 1 || pins > 1000) return std::nullopt;
  return pins;
}

const Package* nearest_can(std::string_view prefix, double diameter_mm) {
  for (const Package& p : package_table()) {
    if (p.name.rfind(prefix, 0) != 0) continue;
    const auto d = number_after(p.name, prefix);
    if (d && std::abs(*d - diameter_mm) < 0.05) return &p;
  }
  return nullptr;
}

const Package* dual_row(const std::string& text) {
  struct Family {
    std::string_view word, table, wide;
  };
  for (const Family& f : {Family{"tssop", "tssop", ""}, Family{"soic", "soic", "-wide"},
                          Family{"pdip", "dip", "-600"}, Family{"cerdip", "dip", "-600"},
                          Family{"dip", "dip", "-600"}, Family{"dil", "dip", "-600"}}) {
    const auto pins = pins_after(text, f.word);
    if (!pins) continue;
    const std::string name = std::string(f.table) + "-" + std::to_string(*pins);
    const bool is_wide = text.find("15.24") != std::string::npos ||
                         text.find("600") != std::string::npos ||
                         text.find("7.5x") != std::string::npos;
    if (const Package* p = is_wide ? package_named(name + std::string(f.wide)) : nullptr) return p;
    if (const Package* p = package_named(name)) return p;
    return package_named(name + std::string(f.wide));
  }
  return nullptr;
}

const Package* four_sides(const std::string& text) {
  for (std::string_view family : {"plcc", "lqfp", "pqfp"})
    if (const auto pins = pins_after(text, family))
      return package_named(std::string(family) + "-" + std::to_string(*pins));
  if (const auto pins = pins_after(text, "tqfp"))
    return package_named("lqfp-" + std::to_string(*pins));  // same bodies, JEDEC MS-026
  return nullptr;
}

const Package* capacitor(const std::string& text) {
  if (text.find("cp_radial") != std::string::npos)
    if (const auto d = number_after(text, "_d")) return nearest_can("radial-", *d);
  if (const auto d = number_after(text, "cp_elec_")) return nearest_can("smd-can-", *d);
  struct Case {
    std::string_view code, name;
  };
  for (const Case& c : {Case{"3216-18", "tantalum-A"}, Case{"3528-21", "tantalum-B"},
                        Case{"6032-28", "tantalum-C"}, Case{"7343-31", "tantalum-D"},
                        Case{"7343-43", "tantalum-X"}, Case{"7360-38", "tantalum-E"}})
    if (text.find(c.code) != std::string::npos) return package_named(c.name);
  return nullptr;
}

const Package* by_word(const std::string& text) {
  for (std::string_view name : {"sot-223", "sot-23", "to-252", "to-263", "to-220", "to-92", "do-35",
                                "do-41", "minimelf", "melf", "hc-49u"}) {
    std::string joined(name);
    joined.erase(std::remove(joined.begin(), joined.end(), '-'), joined.end());
    for (std::string_view form : {name, std::string_view(joined)}) {
      const size_t at = text.find(form);
      if (at == std::string::npos) continue;
      const size_t end = at + form.size();
      if (end < text.size() && is_digit(text[end])) continue;  // "sot-23" in "sot-235"
      return package_named(name);
    }
  }
  return nullptr;
}

}  // namespace

const Package* package_like(std::string_view footprint) {
  const std::string text = lower(footprint);
  if (const Package* p = package_named(text)) return p;
  if (const Package* p = capacitor(text)) return p;
  if (const Package* p = dual_row(text)) return p;
  if (const Package* p = four_sides(text)) return p;
  if (const Package* p = by_word(text)) return p;
  for (std::string_view chip : {"0402", "0603", "0805", "1206", "1210", "1812", "2010", "2512"})
    if (holds_number(text, chip)) {
      // "0603Metric" is the 0201 chip, which is not in the table.
      if (text.find(std::string(chip) + "metric") != std::string::npos) continue;
      return package_named(chip);
    }
  return nullptr;
}

}  // namespace verdigrid
