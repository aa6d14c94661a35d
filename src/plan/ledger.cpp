#include "plan/ledger.h"

#include <fmt/format.h>

#include <algorithm>

namespace verdigrid {

std::vector<LedgerRow> ledger(const BenchLog& log) {
  std::vector<LedgerRow> rows;
  for (const BenchEntry& e : log.entries) {
    const auto* move = std::get_if<PartMove>(&e.event);
    if (!move) continue;
    const auto known = std::find_if(rows.begin(), rows.end(), [move](const LedgerRow& r) {
      return r.designator == move->designator;
    });
    LedgerRow row{move->designator, move->state, move->word, e.who, e.at};
    if (known == rows.end())
      rows.push_back(std::move(row));
    else
      *known = std::move(row);
  }
  return rows;
}

bool is_owed(PartState state) {
  return state == PartState::off || state == PartState::bagged || state == PartState::lost;
}

std::string ledger_words(const std::vector<LedgerRow>& rows) {
  if (rows.empty()) return "no part came off";
  const auto count = [&rows](std::initializer_list<PartState> states) {
    return std::count_if(rows.begin(), rows.end(), [&states](const LedgerRow& r) {
      return std::find(states.begin(), states.end(), r.state) != states.end();
    });
  };
  std::string text =
      fmt::format("{} off or bagged, {} back on", count({PartState::off, PartState::bagged}),
                  count({PartState::back_on}));
  if (const auto n = count({PartState::lost}); n > 0) text += fmt::format(", {} lost", n);
  if (const auto n = count({PartState::stays_off}); n > 0)
    text += fmt::format(", {} stay{} off", n, n == 1 ? "s" : "");
  return text;
}

}  // namespace verdigrid
