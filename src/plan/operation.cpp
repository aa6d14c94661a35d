#include "plan/operation.h"

#include <fmt/format.h>

#include <array>

#include "base/error.h"

namespace verdigrid {

namespace {

using O = Operation;
using S = Stage;

constexpr std::array<OperationFacts, k_operation_count> k_facts{{
    {O::photograph, "photograph", "photograph a side with scale and log", "side", S::look, true, "",
     "", "", false},
    {O::look_beneath, "look-beneath", "look beneath and beside a part", "place", S::look, true, "",
     "", "", false},
    {O::remove_battery, "remove-battery", "take the battery off", "battery", S::take_off, true, "",
     "", "", false},
    {O::replace_smd_can, "replace-smd-can", "replace a surface-mount electrolytic", "can",
     S::take_off, true, "", "", "", false},
    {O::replace_leaded_can, "replace-leaded-can", "replace an electrolytic with leads", "can",
     S::take_off, true, "7711 3.1.1", "Intermediate", "High", false},
    {O::lift_small_chip, "lift-small-chip", "lift a chip of up to 16 joints and fit it again",
     "chip", S::take_off, true, "7711 3.7.1", "Advanced", "High", false},
    {O::lift_large_chip, "lift-large-chip", "lift a large chip and fit it again", "chip",
     S::take_off, true, "7711 3.8.5", "Advanced", "High", false},
    {O::lift_socket, "lift-socket", "lift a socket or through-hole chip and fit it again", "pin",
     S::take_off, false, "7711 3.1.1", "Intermediate", "High", false},
    {O::dry_pick_up, "dry-pick-up", "pick up loose salts dry", "10 cm2", S::pick_up, false, "", "",
     "", false},
    {O::strip_reading, "strip-reading", "read a wetted pH strip", "reading", S::read_strip, true,
     "", "", "", false},
    {O::neutralise, "neutralise", "neutralise and rinse", "cycle", S::neutralise, true, "", "", "",
     false},
    {O::local_clean, "local-clean", "clean locally with swab and soft brush", "10 cm2", S::wash,
     false, "7721 2.2", "Intermediate", "High", false},
    {O::rinse, "rinse", "rinse twice in distilled water, then alcohol", "board", S::rinse, true, "",
     "", "", false},
    {O::dry, "dry", "blow off and dry", "board", S::dry, true, "", "", "", false},
    {O::scrape_and_tin, "scrape-and-tin", "open the solder mask over a dark trace and tin it",
     "10 mm", S::open_mask, false, "", "", "", false},
    {O::strip_coating, "strip-coating", "take the coating off", "cm2", S::look, false, "7721 2.3.3",
     "Advanced", "High", false},
    {O::remake_joint, "remake-joint", "remake an attacked joint with new solder", "joint",
     S::repair, true, "", "", "", false},
    {O::repair_pad, "repair-pad", "repair a pad", "pad", S::repair, true, "7721 4.7", "Expert",
     "Medium", true},
    {O::trace_by_wire, "trace-by-wire", "bridge a broken trace with wire", "break", S::repair, true,
     "7721 4.2.4", "Intermediate", "Medium", false},
    {O::trace_by_foil, "trace-by-foil", "bridge a broken trace with foil and epoxy", "break",
     S::repair, true, "7721 4.2.1", "Advanced", "High", false},
    {O::continuity, "continuity", "check continuity", "pair of ends", S::check, false, "", "", "",
     false},
    {O::recoat, "recoat", "recoat what was opened", "10 cm2", S::recoat, false, "7721 2.4.2", "",
     "", true},
    {O::other, "other", "other work", "piece", S::repair, true, "", "", "", false},
}};

constexpr std::array<const char*, static_cast<size_t>(S::recoat) + 1> k_stages{
    "look",  "take-off",         "pick-up",          "read-strip", "neutralise", "wash",  "rinse",
    "dry",   "read-strip-again", "photograph-again", "open-mask",  "repair",     "check", "fit",
    "recoat"};

}  // namespace

const char* name(Stage stage) { return k_stages.at(static_cast<size_t>(stage)); }

std::optional<Stage> stage_named(std::string_view text) {
  for (size_t i = 0; i < k_stages.size(); ++i)
    if (text == k_stages[i]) return static_cast<Stage>(i);
  return std::nullopt;
}

const OperationFacts& facts(Operation operation) {
  const OperationFacts& f = k_facts.at(static_cast<size_t>(operation));
  require(f.operation == operation, "the operation's row stands at its place");
  return f;
}

const char* name(Operation operation) { return facts(operation).name; }

std::optional<Operation> operation_named(std::string_view text) {
  for (const OperationFacts& f : k_facts)
    if (text == f.name) return f.operation;
  return std::nullopt;
}

const std::vector<Operation>& operations() {
  static const std::vector<Operation> all = [] {
    std::vector<Operation> list;
    for (const OperationFacts& f : k_facts) list.push_back(f.operation);
    return list;
  }();
  return all;
}

std::string method_words(Operation operation) {
  const OperationFacts& f = facts(operation);
  if (*f.method == '\0') return "no published method";
  std::string words = fmt::format("IPC-{}", f.method);
  if (*f.skill != '\0') words += fmt::format(", skill {}", f.skill);
  if (*f.conformance != '\0') words += fmt::format(", conformance {}", f.conformance);
  return f.is_from_memory ? words + " (from memory)" : words;
}

}  // namespace verdigrid
