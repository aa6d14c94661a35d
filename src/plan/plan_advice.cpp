#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "plan/dangers.h"
#include "plan/drying.h"
#include "plan/plan.h"
#include "plan/ultrasonic.h"

namespace verdigrid {

namespace {

bool is_wet(Operation o) {
  return o == Operation::neutralise || o == Operation::local_clean || o == Operation::rinse;
}

// Places whose residue waits for a neutraliser.
std::set<std::string> leaked_places(const Plan& plan) {
  std::set<std::string> places;
  for (const WorkItem& w : plan.items)
    if (w.operation == Operation::neutralise && !w.done) places.insert(w.place);
  return places;
}

std::string missing_neutraliser(const Plan& plan, const std::string& place) {
  const NeutraliserAdvice a = neutraliser_for(plan.known, place);
  return a.advice.refuses ? a.advice.sentence : std::string();
}

bool makes_dust(Operation o) {
  return o == Operation::scrape_and_tin || o == Operation::strip_coating ||
         o == Operation::dry_pick_up || o == Operation::repair_pad ||
         o == Operation::trace_by_foil || o == Operation::local_clean;
}

void add_method(std::vector<Advice>& list, Operation o) {
  const OperationFacts& f = facts(o);
  if (*f.method == '\0') return;
  list.push_back(
      {"method", method_words(o) + ".",
       f.is_from_memory ? k_memory : "Circuit Technology Center guides, which cite IPC-7711/7721"});
}

void add_parts_advice(std::vector<Advice>& list, Operation o) {
  if (o == Operation::replace_smd_can || o == Operation::replace_leaded_can)
    list.push_back({"replace",
                    "Photograph and note polarity, value and voltage of each before it comes off; "
                    "trust the old part's way round, not the print. Off before the wash, new ones "
                    "after the trace checks.",
                    k_reports});
  if (o == Operation::remove_battery)
    list.push_back({"battery",
                    "Gloves and eye shield. Do not short, heat or cut it; bag it for hazardous "
                    "collection.",
                    k_common_practice});
  if (o == Operation::strip_coating)
    list.push_back(
        {"coating", "Find out what the coating is before taking it off.", "IPC-7721 2.3.1"});
}

Advice not_looked_at(const PlanSide& s) {
  return {"unseen",
          fmt::format("{:.0f} % of the {} is unseen in {}; nothing is planned for what lies there.",
                      s.unseen_percent, name(s.side), s.photo),
          "this survey"};
}

}  // namespace

std::string block_of(const Plan& plan, const WorkItem& w) {
  if (w.done || w.operation == Operation::photograph) return {};
  const Known& k = plan.known;
  if (w.operation == Operation::remove_battery && k.battery_data == BatteryData::kept)
    return "The battery keeps calibration, keys or settings alive: read them out first, or have "
           "the "
           "owner accept the loss, and sign that.";
  if (w.operation == Operation::remove_battery && k.battery_data == BatteryData::maybe)
    return "Nobody knows whether the battery keeps calibration, keys or settings alive: find out "
           "first, or have the owner accept the loss, and sign that.";
  if (k.hissing_or_smell == Told::yes) return neutraliser_for(k, w.place).advice.sentence;
  if ((is_wet(w.operation) || w.operation == Operation::strip_reading) && forbids_water(k))
    return neutraliser_for(k, w.place).advice.sentence;
  if (w.operation == Operation::neutralise) return missing_neutraliser(plan, w.place);
  const std::set<std::string> leaked = leaked_places(plan);
  if (w.operation == Operation::local_clean && leaked.contains(w.place))
    return missing_neutraliser(plan, w.place);
  if (w.operation == Operation::rinse)
    for (const std::string& place : leaked)
      if (std::string why = missing_neutraliser(plan, place); !why.empty()) return why;
  return {};
}

std::vector<Advice> advice_for(const Plan& plan, const WorkItem& w) {
  std::vector<Advice> list;
  if (w.operation == Operation::neutralise)
    list.push_back(neutraliser_for(plan.known, w.place).advice);
  if (w.operation == Operation::strip_reading)
    list.push_back({"strip",
                    w.stage == Stage::read_strip_again
                        ? "Meet the power lock's condition with what it reads."
                        : "Tell what it reads, as what is known: the neutraliser follows from it.",
                    "rule of this program"});
  if (w.operation == Operation::rinse)
    list.push_back({"rinse",
                    "At least two changes of distilled water, never tap water last; then alcohol "
                    "to drive the water out, off in open air before any heat (flash point about "
                    "12 °C).",
                    "practitioners' reports, unverified; flash point: from memory"});
  if (w.operation == Operation::dry)
    for (const DryingWay way : k_drying_ways) list.push_back(drying_advice(way, plan.known));
  add_parts_advice(list, w.operation);
  if (makes_dust(w.operation))
    for (Advice& a : dust_advice(plan.known)) list.push_back(std::move(a));
  add_method(list, w.operation);
  return list;
}

std::vector<Advice> advice_of(const Plan& plan) {
  std::vector<Advice> list;
  for (const std::string& place : leaked_places(plan))
    list.push_back(neutraliser_for(plan.known, place).advice);
  for (Advice& a : high_voltage_advice(plan.known)) list.push_back(std::move(a));
  for (const DryingWay way : k_drying_ways)
    if (Advice a = drying_advice(way, plan.known); a.refuses) list.push_back(std::move(a));
  list.push_back(ultrasonic_advice(plan.known, plan.fitted));
  for (Advice& a : dust_advice(plan.known)) list.push_back(std::move(a));
  list.push_back(no_recipe_advice());
  for (const PlanSide& s : plan.sides) {
    list.push_back(not_looked_at(s));
    if (!s.has_layout)
      list.push_back({"no-layout",
                      fmt::format("No layout of the {}: which parts residue reaches is not known. "
                                  "Look at each place and add cans, chips and sockets by hand.",
                                  name(s.side)),
                      "this survey"});
  }
  list.push_back(no_release_advice());
  std::set<std::string> sentences;
  std::erase_if(list, [&](const Advice& a) { return !sentences.insert(a.sentence).second; });
  std::stable_partition(list.begin(), list.end(), [](const Advice& a) { return a.refuses; });
  return list;
}

}  // namespace verdigrid
