#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "compare/comparison.h"

namespace verdigrid {

namespace {

constexpr size_t k_named = 5;  // squares or parts named in a line

std::string number(double v) {
  if (v == 0) return std::to_string(0);
  const double digits = std::floor(std::log10(std::abs(v)));
  return fmt::format("{:.{}f}", v, static_cast<int>(std::clamp(2 - digits, 0.0, 4.0)));
}

std::string amount(const Interval& i, const char* unit) {
  return fmt::format("{} {} ({} to {})", number(i.value), unit, number(i.low), number(i.high));
}

std::string list_of(std::vector<std::string> names) {
  std::string text;
  std::vector<std::string> once;
  for (std::string& n : names)
    if (!n.empty() && std::find(once.begin(), once.end(), n) == once.end())
      once.push_back(std::move(n));
  for (size_t i = 0; i < std::min(once.size(), k_named); ++i)
    text += (i == 0 ? "" : ", ") + once[i];
  if (once.size() > k_named) text += fmt::format(" and {} more", once.size() - k_named);
  return text;
}

std::string alignment_line(const Comparison& c, const char* unit) {
  const Alignment& a = c.alignment;
  return fmt::format(
      "Alignment: {} {} rms, patch by patch (95 %: {} to {}); averaged over each 36th of the board "
      "at most {} {}{}; {:.0f} % of the patches agree",
      number(a.rms_board.value), unit, number(a.rms_board.low), number(a.rms_board.high),
      number(a.worst_board), unit, a.is_by_hand ? ", by hand" : "", 100 * a.agreeing_share);
}

std::string removed_line(const ChangeRow& t, const char* unit) {
  if (!t.removed_percent) return fmt::format("Removed: nothing was found before");
  const Interval& p = *t.removed_percent;
  return fmt::format("Removed: {}, {:.0f} % ({:.0f} to {:.0f} %) of what was there",
                     amount(t.removed, unit), p.value, p.low, p.high);
}

std::string fresh_line(const Comparison& c, const char* unit) {
  std::vector<std::string> squares;
  for (const ChangeItem& change : c.changes)
    if (change.what == ChangeClass::fresh) squares.push_back(change.square);
  const ChangeRow& t = c.table.total;
  std::string line = fmt::format("New: {}", amount(t.fresh, unit));
  if (!squares.empty()) line += fmt::format(", in {}: look there first", list_of(squares));
  return line + fmt::format("; uncertain: {} {} may have gone, {} {} may be new",
                            number(t.uncertain_gone), unit, number(t.uncertain_new), unit);
}

std::string squares_line(const Comparison& c) {
  std::vector<const ChangeRow*> left;
  for (const ChangeRow& row : c.table.squares)
    if (row.after.value > 0) left.push_back(&row);
  std::stable_sort(left.begin(), left.end(), [](const ChangeRow* a, const ChangeRow* b) {
    return a->after.value > b->after.value;
  });
  std::vector<std::string> names;
  for (const ChangeRow* row : left) names.push_back(row->name);
  return left.empty() ? "Squares with residue after: none that these photos show"
                      : "Squares with most residue after: " + list_of(std::move(names));
}

std::string parts_line(const Comparison& c) {
  std::vector<std::string> parts;
  for (const ChangeItem& change : c.changes)
    if (change.what == ChangeClass::part_changed)
      parts.push_back(change.part +
                      (change.square.empty() ? std::string() : " (" + change.square + ")"));
  return parts.empty() ? "Parts: no change seen; small parts escape without a layout"
                       : "Parts changed, kept apart from residue: " + list_of(std::move(parts));
}

}  // namespace

std::vector<std::string> summary_lines(const Comparison& c) {
  const char* unit = c.table.has_mm ? "mm²" : "board px²";
  const ChangeRow& t = c.table.total;
  return {fmt::format("Compared: {} (before) with {} (after), {}", c.before.name, c.after.name,
                      name(c.rectification.side)),
          alignment_line(c, c.table.has_mm ? "mm" : "board px"),
          fmt::format("Before: {}; after: {}", amount(t.before, unit), amount(t.after, unit)),
          removed_line(t, unit),
          fresh_line(c, unit),
          squares_line(c),
          parts_line(c),
          fmt::format("Compared share of the board: {:.0f} %", std::floor(t.compared_percent)),
          fmt::format("Verdict: {}", words(t.verdict)),
          "What photos do not show (under parts, the other side) was not compared; not a "
          "clearance"};
}

}  // namespace verdigrid
