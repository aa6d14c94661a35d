// Ways to dry a washed board, and when each is refused.
#pragma once

#include <optional>
#include <string_view>

#include "plan/advice.h"
#include "plan/known.h"

namespace verdigrid {

enum class DryingWay { open_air, blow_off, circulating_oven, vacuum_oven, hot_air, food_oven };
inline constexpr DryingWay k_drying_ways[] = {DryingWay::open_air,         DryingWay::blow_off,
                                              DryingWay::circulating_oven, DryingWay::vacuum_oven,
                                              DryingWay::hot_air,          DryingWay::food_oven};
const char* name(DryingWay way);  // "open air" ...

// refuses: not this way, and why. Heat is refused unless it is said that no alcohol is on the board
// and no battery is fitted.
Advice drying_advice(DryingWay way, const Known& known);

}  // namespace verdigrid
