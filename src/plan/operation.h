// The operations of the bench, in one table: what each is called, when it is done, in what it is
// counted, and its published method.
//
// The texts are those of plans, rate tables and job books. Method numbers are those of
// IPC-7711/7721; skill and conformance as printed in the free guides of the Circuit Technology
// Center that cite these numbers, except where `is_from_memory`. May be called from any thread.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace verdigrid {

// The trade's order of work (merged from restorers' logs, practitioners' reports; frame: USAF TO
// 1-1-700 para 8.6.3). Earlier stages are done first.
enum class Stage {
  look,        // photograph, look beneath, read out data
  take_off,    // battery, leaking parts, chips that cover residue
  pick_up,     // loose salts, dry
  read_strip,  // before any cleaner
  neutralise,
  wash,
  rinse,
  dry,
  read_strip_again,
  photograph_again,
  open_mask,  // over dark traces
  repair,     // pads, traces, joints
  check,      // continuity
  fit,        // new parts
  recoat,
};
const char* name(Stage stage);  // "take-off"
std::optional<Stage> stage_named(std::string_view text);

enum class Operation {
  photograph,
  look_beneath,
  remove_battery,
  replace_smd_can,     // aluminium electrolytic, surface-mount
  replace_leaded_can,  // aluminium electrolytic with leads
  lift_small_chip,     // up to 16 joints
  lift_large_chip,
  lift_socket,  // or a chip with through-hole pins
  dry_pick_up,
  strip_reading,
  neutralise,
  local_clean,
  rinse,
  dry,
  scrape_and_tin,
  strip_coating,
  remake_joint,
  repair_pad,
  trace_by_wire,
  trace_by_foil,
  continuity,
  recoat,
  other,  // needs minutes of its own
};
inline constexpr int k_operation_count = static_cast<int>(Operation::other) + 1;

const char* name(Operation operation);  // "replace-smd-can"
std::optional<Operation> operation_named(std::string_view text);
const std::vector<Operation>& operations();  // all, in the order above

struct OperationFacts {
  Operation operation;
  const char* name;
  const char* words;  // "replace surface-mount electrolytic"
  const char* piece;  // what one of the quantity is: "can", "10 cm2", "pin"
  Stage stage;
  bool by_piece;            // pieces differ from each other; false: one amount, as an area
  const char* method;       // "7721 4.2.4"; empty: none of its own
  const char* skill;        // "Intermediate", "Advanced", "Expert"; empty: not published
  const char* conformance;  // "High", "Medium"; empty: not published
  bool is_from_memory;      // method or skill were not seen in print
};
const OperationFacts& facts(Operation operation);

// "IPC-7721 4.2.4, skill Intermediate, conformance Medium" or "no published method".
std::string method_words(Operation operation);

}  // namespace verdigrid
