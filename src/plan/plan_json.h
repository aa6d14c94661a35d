// What reading and writing the JSON files of this folder shares; used inside this folder.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "layout/json_fields.h"
#include "measure/survey_fields.h"
#include "plan/pert.h"

namespace verdigrid {

inline constexpr double k_most_money = 1e9;

// Throws bad_input with the byte of the fault.
nlohmann::json parsed_json(std::string_view text, std::string_view where);

// [low, likely, high], 0 < low <= likely <= high.
Triple triple_from(JsonFields& fields, const std::string& key);

// A number from 0 to `most`; `standard` when missing.
double amount_or(JsonFields& fields, const std::string& key, double standard, double most);

}  // namespace verdigrid
