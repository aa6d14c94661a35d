#include "plan/rate_table.h"

namespace verdigrid {

namespace {

using O = Operation;

constexpr const char* k_start = "starting value: common practice, no source";
constexpr const char* k_print =
    "starting value: common practice, placed to agree with practitioners' reports of single jobs, "
    "unverified";

struct Row {
  Operation operation;
  Triple sound, damaged;
  const char* source;
};

// Where one triple serves both, damage is already what the operation is about.
constexpr Row k_rows[] = {
    {O::photograph, {3, 6, 15}, {3, 6, 15}, k_start},
    {O::look_beneath, {0.5, 1, 3}, {0.5, 1, 3}, k_start},
    {O::remove_battery, {2, 4, 10}, {4, 8, 25}, k_start},  // as an electrolytic with two leads
    {O::replace_smd_can, {2, 4, 10}, {3, 7, 20}, k_print},
    {O::replace_leaded_can, {2, 4, 10}, {4, 8, 25}, k_start},
    {O::lift_small_chip, {4, 8, 20}, {6, 14, 40}, k_print},
    {O::lift_large_chip, {8, 15, 40}, {12, 25, 75}, k_start},
    {O::lift_socket, {0.3, 0.6, 1.5}, {0.5, 1.2, 4}, k_start},
    {O::dry_pick_up, {0.5, 1, 3}, {1, 2, 5}, k_start},
    {O::strip_reading, {1, 2, 4}, {1, 2, 4}, k_start},
    {O::neutralise, {3, 5, 10}, {5, 10, 25}, k_start},
    {O::local_clean, {1, 2, 5}, {3, 6, 15}, k_start},
    {O::rinse, {5, 10, 20}, {5, 10, 20}, k_start},
    {O::dry, {3, 5, 10}, {3, 5, 10}, k_start},
    {O::scrape_and_tin, {1, 2.5, 8}, {1, 2.5, 8}, k_start},
    {O::strip_coating, {0.5, 1.5, 5}, {0.5, 1.5, 5}, k_start},
    {O::remake_joint, {0.3, 0.6, 1.5}, {0.5, 1.2, 4}, k_start},  // as one pin of a socket
    {O::repair_pad, {8, 15, 40}, {8, 15, 40}, k_start},
    {O::trace_by_wire, {4, 8, 20}, {6, 12, 30}, k_start},
    {O::trace_by_foil, {10, 20, 45}, {10, 20, 45}, k_start},
    {O::continuity, {0.3, 0.7, 2}, {0.3, 0.7, 2}, k_start},
    {O::recoat, {3, 6, 15}, {3, 6, 15}, k_start},
};

// 24 h at room temperature: cure of a repair epoxy (Circuit Technology Center guide 4.4.1). Drying
// one day in warm air: practitioners' reports, unverified.
constexpr double k_day_min = 24 * 60;

}  // namespace

RateTable starting_rates() {
  RateTable table;
  for (const Row& row : k_rows) {
    Rate rate;
    rate.operation = row.operation;
    rate.sound = row.sound;
    rate.damaged = row.damaged;
    rate.source = row.source;
    if (row.operation == O::local_clean) rate.set_up = Triple{2, 3, 5};
    if (row.operation == O::repair_pad || row.operation == O::trace_by_foil ||
        row.operation == O::recoat || row.operation == O::dry)
      rate.waiting_min = k_day_min;
    table.rates.push_back(std::move(rate));
  }
  return table;
}

}  // namespace verdigrid
