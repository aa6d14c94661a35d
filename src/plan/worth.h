// Whether a board is worth its repair: a grade from cost, value, risk and spares, with reasons.
// Never decided from one photo.
//
// Risks: pads that lift (practitioners' report of 2 in about 100, unverified; Jeffreys prior) and
// copper etched beyond published reject limits (US Army TM 11-5820-922-40-1 para 3-15).
#pragma once

#include <string>
#include <vector>

#include "plan/plan.h"

namespace verdigrid {

enum class WorthGrade { repair, repair_if_valued, ask_first, parts_donor };
const char* name(WorthGrade grade);  // "repair", "repair if valued", "ask first", "parts donor"

// Limits beyond which the manual rejects a conductor or pad.
namespace etch_limits {
inline constexpr double k_width_loss_percent = 20;
inline constexpr double k_width_left_mm = 0.254;
inline constexpr double k_pad_loss_percent = 25;
}  // namespace etch_limits

// One sentence per limit that a reading exceeds.
std::vector<std::string> exceeded_limits(const EtchReading& etch);

// P(at least one pad lifts) when `cans` surface-mount electrolytics come off; cans >= 0.
double lifted_pad_probability(int cans);

struct Worth {
  WorthGrade grade = WorthGrade::ask_first;
  std::vector<std::string> reasons;
  bool is_provisional = true;  // until the board is washed and its traces are checked
  double likely_cost = 0, allow_cost = 0;
  bool has_labour = false;  // money per hour is stated
  int unpriced_parts = 0;
};

Worth worth_of(const Plan& plan, const Estimate& estimate);

}  // namespace verdigrid
