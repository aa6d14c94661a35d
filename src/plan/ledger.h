// The ledger of parts: which are off, bagged, back on, lost or stay off. Where off and on differ
// the power lock has an open condition.
#pragma once

#include <string>
#include <vector>

#include "plan/bench_log.h"

namespace verdigrid {

struct LedgerRow {
  std::string designator;
  PartState state = PartState::off;
  std::string word, who, at;  // of the newest move
};

// Every part that was ever moved, in the order in which it first came off.
std::vector<LedgerRow> ledger(const BenchLog& log);

// Neither back on nor staying off.
bool is_owed(PartState state);

// "2 off or bagged, 5 back on, 1 lost"; "no part came off" where none did.
std::string ledger_words(const std::vector<LedgerRow>& rows);

}  // namespace verdigrid
