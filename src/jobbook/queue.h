// The queue: which unit to look at first. Leaking batteries, then harm of waiting (wet, white
// salts), then age.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "jobbook/job_book.h"
#include "jobbook/plan_record.h"

namespace verdigrid {

enum class Harm { none, white_salts, wet, leaking_battery };  // later is worse

struct QueueRow {
  std::string unit, name, state, received_on;
  Harm harm = Harm::none;
  std::string reason;               // "battery leaks", "wet", "white salts found", ""
  std::string next_step;            // in words
  std::string thumbnail_sha256;     // newest front arrival photo; empty: none
  std::optional<PlanFigures> plan;  // open work of its boards together; empty: not planned
  std::string power;                // "LOCKED: ..." or "CLEARED FOR TEST with supply NAME"
  std::string money;                // what the owner must be told; empty: nothing
  std::string look_again_on;        // due day of a unit that was handed over; empty: it was not
};

// Units not handed over, and those with a day to look again that is due; most urgent first.
std::vector<QueueRow> queue_of(const JobBook& book);

}  // namespace verdigrid
