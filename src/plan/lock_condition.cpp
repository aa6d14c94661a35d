#include "plan/lock_condition.h"

#include <fmt/format.h>

#include <array>
#include <limits>

#include "base/error.h"
#include "plan/advice.h"
#include "plan/dangers.h"

namespace verdigrid {

namespace {

using C = LockCondition;
namespace limits = lock_limits;

constexpr double k_any = std::numeric_limits<double>::infinity();
constexpr const char* k_gate = "practitioners' reports, unverified";

constexpr std::array<LockConditionFacts, k_lock_condition_count> k_rows{{
    {C::battery, "battery", "No battery is fitted.", true, false, "", 0, 0, k_common_practice},
    {C::findings, "findings", "What the survey flagged is shown to be gone.", true, true, "", 0, 0,
     k_common_practice},
    {C::work, "work", "The plan's work items are ticked off.", false, false, "", 0, 0,
     k_common_practice},
    {C::ledger, "ledger",
     "Every part that came off is back on, or stays off with a word in the ledger.", false, false,
     "", 0, 0, k_common_practice},
    {C::readings, "readings",
     "Print, old part and meter agree on each value and polarity that was read.", false, false, "",
     0, 0, k_common_practice},
    {C::unseen, "unseen", "At most 10 % of the board is unseen, both sides counted.", false, false,
     "%", 0, limits::k_unseen_percent, k_common_practice},
    {C::rinsed, "rinsed", "Rinsed in two changes of distilled water or more.", true, false,
     "rinses", 2, k_any, k_gate},
    {C::dry, "dry", "The board is dry, also beneath parts.", true, false, "h", 0.5, k_any,
     k_common_practice},
    {C::strip, "strip", "A wetted strip reads near 7 (6 to 8) after the rinse.", false, false, "pH",
     6, 8, k_gate},
    {C::after_wash_photo, "after-wash-photo", "A photo shows the board after the wash.", true,
     false, "", 0, 0, k_common_practice},
    {C::eaten_copper, "eaten-copper", "Every trace with eaten copper is bridged and conducts.",
     true, false, "ohm", 0, limits::k_continuous_ohm, k_common_practice},
    {C::rail_parts, "rail-parts",
     "Parts of the rails that residue reached are replaced or checked.", true, false, "", 0, 0,
     k_common_practice},
    {C::suppression, "suppression", "Old mains suppression capacitors are replaced or taken out.",
     true, false, "", 0, 0, k_common_practice},
    {C::picture_tube, "picture-tube",
     "A named qualified person has discharged the picture tube and metered it; follow local codes.",
     false, false, "V", 0, limits::k_discharged_v, k_common_practice},
    {C::mains_capacitors, "mains-capacitors",
     "A named qualified person has discharged the mains capacitors through a resistor and metered "
     "them; follow local codes.",
     false, false, "V", 0, limits::k_discharged_v, k_common_practice},
    {C::above_50_v, "above-50v",
     "A named qualified person has discharged and metered what goes above 50 V; follow local "
     "codes.",
     false, false, "V", 0, limits::k_discharged_v, k_common_practice},
    {C::earth_bond, "earth-bond",
     "A qualified person has tested earth bond and insulation by local codes.", true, false, "ohm",
     0, limits::k_bond_ohm,
     "practitioners' reports, unverified; limit: common practice, local codes decide"},
    {C::inspection, "inspection",
     "Looked over under magnification: no bulge, leak, burn or crack, and no smell.", true, false,
     "", 0, 0, k_gate},
    {C::loose_metal, "loose-metal", "No loose metal, no bridges, plugged parts sit.", true, false,
     "", 0, 0, k_gate},
    {C::rail_ohms, "rail-ohms",
     "Each rail to ground reads 1 ohm or more, without power. It proves nothing more.", false,
     false, "ohm", k_rail_short_ohm, k_any, "common practice, no published limit found"},
    {C::supply, "supply",
     "The supply was looked over and its rails measured under dummy load, before it is joined.",
     false, false, "", 0, 0, k_gate},
    {C::failed_test, "failed-test", "The cause of the failed test is found and shown.", true, false,
     "", 0, 0, k_common_practice},
    {C::shelf, "shelf", "Looked over again after six months on the shelf.", true, false, "", 0, 0,
     k_common_practice},
}};

}  // namespace

const LockConditionFacts& facts(LockCondition condition) {
  const LockConditionFacts& f = k_rows.at(static_cast<size_t>(condition));
  require(f.condition == condition, "the condition's row stands at its place");
  return f;
}

std::span<const LockConditionFacts> lock_conditions() { return k_rows; }

const char* name(LockCondition condition) { return facts(condition).name; }

std::optional<LockCondition> lock_condition_named(std::string_view text) {
  for (const LockConditionFacts& f : k_rows)
    if (text == f.name) return f.condition;
  return std::nullopt;
}

std::string evidence_words(LockCondition condition) {
  const LockConditionFacts& f = facts(condition);
  std::string words;
  const auto add = [&words](const std::string& way) {
    words += (words.empty() ? "" : ", or ") + way;
  };
  if (f.takes_photo) add("a photo");
  if (*f.unit != '\0') {
    const std::string unit = f.unit;
    add(f.high == k_any ? fmt::format("a reading of {:g} {} or more", f.low, unit)
        : f.low == 0    ? fmt::format("a reading of {:g} {} at most", f.high, unit)
                        : fmt::format("a reading from {:g} to {:g} {}", f.low, f.high, unit));
  }
  if (f.takes_comparison) add("a comparison with the verdict nothing-left");
  if (condition == LockCondition::supply) add("the supply's record of rails under dummy load");
  if (condition == LockCondition::work) add("ticks on the plan");
  if (condition == LockCondition::ledger) add("the ledger of parts");
  if (condition == LockCondition::readings) add("readings of the part that agree");
  return words;
}

}  // namespace verdigrid
