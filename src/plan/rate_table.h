// What work and parts cost a person: minutes per operation as low / likely / high, money, and where
// each figure comes from. The user's own; the starting values are only a place to begin.
//
// File: format "verdigrid-rate-table", version 1, assets/schema/rate-table.schema.json. Money is in
// `currency`, minutes are hands-on; waiting (cure, drying) is elapsed time and never labour.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "plan/operation.h"
#include "plan/pert.h"

namespace verdigrid {

inline constexpr int k_rate_table_version = 1;

// What low and high mean: the points that one job in ten stays below or goes beyond (a lognormal),
// or hard bounds (beta-PERT).
enum class SpreadKind { p10_p90, bounds };
const char* name(SpreadKind kind);  // "p10-p90", "bounds"

struct Rate {
  Operation operation = Operation::other;
  Triple sound;                  // per piece, on a board without damage; minutes
  Triple damaged;                // joints corroded or black
  std::optional<Triple> set_up;  // once per work item
  double waiting_min = 0;        // elapsed: cure, drying
  double consumables = 0;        // money per piece
  double learning_slope = 1;     // the n-th piece of one item takes n^log2(slope) of the first
  std::string source;            // "starting value: common practice, no source"
  bool operator==(const Rate&) const = default;
};

// The first entry that fits a part is its price.
struct PartPrice {
  std::string part;  // a designator, a value ("100 uF"), a package or a kind of part
  double price = 0;  // money, each
  bool operator==(const PartPrice&) const = default;
};

struct RateTable {
  std::string currency = "EUR";
  double money_per_hour = 0;  // 0: not stated; then no cost of labour is shown
  SpreadKind spread = SpreadKind::p10_p90;
  double worker_log_sd = 0.25;   // one factor for the whole estimate, median 1
  std::vector<Rate> rates;       // one per operation, but for Operation::other
  std::vector<PartPrice> parts;  // the user's own
  bool operator==(const RateTable&) const = default;
};

// Minutes to begin with. "damaged": corroded or black joints.
RateTable starting_rates();
bool is_starting_value(const Rate& rate);  // by its source

const Rate& rate_of(const RateTable& table, Operation operation);  // throws Error{bad_input}

std::string rate_table_json(const RateTable& table);
// Throws bad_input naming the JSON path, storage for a newer version.
RateTable rate_table_from_json(std::string_view text, std::string_view where);
RateTable load_rate_table(const std::filesystem::path& path);

// What looks wrong without being refused, as sentences: a likely figure far from the middle that
// low and high give, damage that costs less than none, figures that nobody has changed yet.
std::vector<std::string> remarks(const RateTable& table);

}  // namespace verdigrid
