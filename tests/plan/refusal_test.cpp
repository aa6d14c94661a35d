// What the plan refuses, and what it says instead.

#include <catch2/catch.hpp>
#include <regex>

#include "plan/dangers.h"
#include "plan/drying.h"
#include "plan/edit_plan.h"
#include "plan/plan_words.h"
#include "plan/ultrasonic.h"
#include "plan/worth.h"
#include "tests/plan/facts.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

Neutraliser chosen(const Known& k, const std::string& place = "C3") {
  return neutraliser_for(k, place).neutraliser;
}

Known with_strip(BatteryKind battery, double ph) {
  Known k;
  k.leak_from = LeakSource::battery;
  k.battery = battery;
  k.leak_is_fresh = Told::no;
  k.strips = {{"", ph, false, ""}};
  return k;
}

Known with_fluid(CapacitorFluid fluid, double ph) {
  Known k;
  k.leak_from = LeakSource::capacitor;
  k.fluid = fluid;
  k.strips = {{"", ph, false, ""}};
  return k;
}

}  // namespace

TEST_CASE("1: no neutraliser until type and strip reading agree") {
  CHECK(chosen({}) == Neutraliser::none_yet);
  const std::string said = neutraliser_for({}, "C3").advice.sentence;
  CHECK_THAT(said, Contains("looks do not tell acid from alkali"));
  CHECK_THAT(said, Contains("gloves, eye shield, dry pick-up only"));
  Known k = with_strip(BatteryKind::nickel, 11.5);
  CHECK(chosen(k) == Neutraliser::weak_acid);
  k.strips.clear();
  CHECK(chosen(k) == Neutraliser::none_yet);
  k.strips = {{"", 11.5, true, ""}};  // after the rinse: says nothing of the leak
  CHECK(chosen(k) == Neutraliser::none_yet);
  k = with_strip(BatteryKind::not_known, 11.5);
  CHECK(chosen(k) == Neutraliser::none_yet);
  // Nobody says which leaked: every type that is stated must fit.
  k = with_strip(BatteryKind::nickel, 11.5);
  k.leak_from = LeakSource::not_known;
  CHECK(chosen(k) == Neutraliser::weak_acid);
  k.fluid = CapacitorFluid::glycol_borate;
  CHECK(chosen(k) == Neutraliser::none_yet);
  // It was the capacitors, whose fluid is not known: the battery's type says nothing.
  k.fluid = CapacitorFluid::not_known;
  k.leak_from = LeakSource::capacitor;
  CHECK(chosen(k) == Neutraliser::none_yet);
}

TEST_CASE("1: acid leaks that look like alkaline ones never get acid") {
  for (const BatteryKind acid :
       {BatteryKind::lithium_thionyl, BatteryKind::lead_acid, BatteryKind::zinc_carbon}) {
    CHECK(chosen(with_strip(acid, 3)) == Neutraliser::bicarbonate);
    for (double ph = 0; ph <= 14; ph += 0.5)
      CHECK(chosen(with_strip(acid, ph)) != Neutraliser::weak_acid);
  }
  for (const BatteryKind alkaline : {BatteryKind::nickel, BatteryKind::alkaline})
    for (double ph = 0; ph <= 8; ph += 0.5)
      CHECK(chosen(with_strip(alkaline, ph)) == Neutraliser::none_yet);
  CHECK_THAT(neutraliser_for(with_strip(BatteryKind::nickel, 4.5), "C3").advice.sentence,
             Contains("does not fit"));
}

TEST_CASE("1: capacitor fluids need their own reading") {
  CHECK(chosen(with_fluid(CapacitorFluid::quaternary, 10)) == Neutraliser::weak_acid);
  CHECK(chosen(with_fluid(CapacitorFluid::glycol_borate, 7)) == Neutraliser::none_needed);
  CHECK(chosen(with_fluid(CapacitorFluid::glycol_borate, 10)) == Neutraliser::none_yet);
  CHECK(chosen(with_fluid(CapacitorFluid::quaternary, 4)) == Neutraliser::none_yet);
  CHECK(chosen(with_fluid(CapacitorFluid::not_known, 10)) == Neutraliser::none_yet);
  Known both = with_strip(BatteryKind::nickel, 11);
  both.leak_from = LeakSource::both;
  CHECK(chosen(both) == Neutraliser::none_yet);  // fluid not known
  both.fluid = CapacitorFluid::quaternary;
  CHECK(chosen(both) == Neutraliser::weak_acid);
  both.battery = BatteryKind::zinc_carbon;  // one acid, one alkaline
  CHECK(chosen(both) == Neutraliser::none_yet);
}

TEST_CASE("1: a reading of the place counts before one of the board, and all there must agree") {
  Known k = with_strip(BatteryKind::nickel, 11.5);
  k.strips.push_back({"C3", 7, false, ""});
  CHECK(chosen(k, "C3") == Neutraliser::none_yet);
  CHECK(chosen(k, "D4") == Neutraliser::weak_acid);
  k.strips.push_back({"D4", 11, false, ""});
  k.strips.push_back({"D4", 5, false, ""});
  CHECK(chosen(k, "D4") == Neutraliser::none_yet);
}

TEST_CASE("1: a fresh lithium leak gets no water, and hissing or smell is left alone") {
  Known k = with_strip(BatteryKind::lithium_thionyl, 2);
  k.leak_is_fresh = Told::not_known;
  CHECK(forbids_water(k));
  CHECK(chosen(k) == Neutraliser::keep_away);
  CHECK_THAT(neutraliser_for(k, "").advice.sentence, Contains("no water"));
  CHECK_THAT(neutraliser_for(k, "").advice.sentence, Contains("Ventilate"));
  k.leak_is_fresh = Told::no;
  CHECK_FALSE(forbids_water(k));
  k.hissing_or_smell = Told::yes;
  CHECK_THAT(neutraliser_for(k, "").advice.sentence, Contains("leave"));
  const Plan plan = leaked_plan(k);
  for (const WorkItem& w : plan.items)
    if (w.operation != Operation::photograph) CHECK_FALSE(block_of(plan, w).empty());
}

TEST_CASE("1: wet work waits for the neutraliser, dry pick-up does not") {
  const Plan plan = leaked_plan();
  for (const Operation wet : {Operation::neutralise, Operation::local_clean, Operation::rinse}) {
    const WorkItem& w = item_with(plan, wet);
    CHECK_FALSE(block_of(plan, w).empty());
    CHECK_THROWS_WITH(ticked(plan, w.id, {"Ada", "", {}}), Contains("cannot be ticked off"));
  }
  CHECK(block_of(plan, item_with(plan, Operation::strip_reading)).empty());
  CHECK(block_of(plan, item_with(plan, Operation::replace_smd_can)).empty());
  const Plan told = with_known(plan, agreed());
  for (const WorkItem& w : told.items) CHECK(block_of(told, w).empty());
}

TEST_CASE("2: nothing said about a board is a clearance") {
  const std::regex clearance("\\b(clean|cleaned|safe|ok|okay|fine|all clear)\\b",
                             std::regex::icase);
  // "clean" as a verb is work, not a verdict.
  const std::regex work("clean locally");
  for (const Known& k : {Known{}, agreed(), with_strip(BatteryKind::lithium_thionyl, 2)}) {
    const std::string text = std::regex_replace(plan_words(leaked_plan(k)), work, "");
    std::smatch match;
    const bool is_found = std::regex_search(text, match, clearance);
    CAPTURE(is_found
                ? match.prefix().str().substr(match.prefix().str().size() -
                                              std::min<size_t>(60, match.prefix().str().size())) +
                      match.str()
                : "");
    CHECK_FALSE(is_found);
  }
  CHECK_THAT(plan_words(leaked_plan()), Contains("no clearance"));
}

TEST_CASE("2: nobody declines a board or makes it a donor from one photo") {
  Known k = agreed();
  k.owner_value = 1;
  Plan plan = leaked_plan(k);
  plan.rates.money_per_hour = 60;
  Worth w = worth_of(plan, estimate_of(plan));
  CHECK(w.grade == WorthGrade::ask_first);
  CHECK(w.is_provisional);
  CHECK_THAT(w.reasons.back(), Contains("Decide after wash and trace checks"));
  plan.known.washed = Told::yes;
  CHECK(worth_of(plan, estimate_of(plan)).grade == WorthGrade::ask_first);
  plan.known.traces_checked = Told::yes;
  CHECK(worth_of(plan, estimate_of(plan)).grade == WorthGrade::parts_donor);
}

TEST_CASE("3: no heat while alcohol or a battery may be there, and never a food oven") {
  const DryingWay heat[] = {DryingWay::circulating_oven, DryingWay::vacuum_oven,
                            DryingWay::hot_air};
  Known k;
  for (const DryingWay way : heat) CHECK(drying_advice(way, k).refuses);
  k.alcohol_on_board = Told::no;
  for (const DryingWay way : heat) CHECK_THAT(drying_advice(way, k).sentence, Contains("battery"));
  k.battery_fitted = Told::no;
  for (const DryingWay way : heat) {
    CHECK_FALSE(drying_advice(way, k).refuses);
    CHECK_THAT(drying_advice(way, k).sentence, Contains("54 °C"));
  }
  CHECK(drying_advice(DryingWay::food_oven, k).refuses);
  k.alcohol_on_board = Told::yes;
  for (const DryingWay way : heat)
    CHECK_THAT(drying_advice(way, k).sentence, Contains("while alcohol is on the board"));
  CHECK_FALSE(drying_advice(DryingWay::open_air, k).refuses);
  CHECK_THAT(drying_advice(DryingWay::blow_off, k).source, Contains("2-6.8.1"));
}

TEST_CASE("4: ultrasonic bath, not known: do not") {
  Known k;
  k.battery_fitted = Told::no;
  CHECK(ultrasonic_advice(k, {}).refuses);
  CHECK_THAT(ultrasonic_advice(k, {}).sentence, Contains("not known: do not"));
  for (Told& t : k.bath_harms) t = Told::no;
  CHECK_FALSE(ultrasonic_advice(k, {}).refuses);
  for (int i = 0; i < k_bath_harm_count; ++i) {
    Known one = k;
    one.bath_harms[static_cast<size_t>(i)] = Told::not_known;
    CHECK(ultrasonic_advice(one, {}).refuses);
    CHECK_THAT(ultrasonic_advice(one, {}).sentence, Contains(words(static_cast<BathHarm>(i))));
    one.bath_harms[static_cast<size_t>(i)] = Told::yes;
    CHECK_THAT(ultrasonic_advice(one, {}).sentence, Contains("do not. Fitted"));
  }
  Known crystal = k;
  crystal.bath_harms[0] = Told::not_known;
  CHECK_THAT(ultrasonic_advice(crystal, {PartKind::crystal}).sentence, Contains("Fitted"));
  k.battery_fitted = Told::not_known;
  CHECK(ultrasonic_advice(k, {}).refuses);
}

TEST_CASE("5: no recipe for reforming, and high voltage waits for a qualified person") {
  CHECK_THAT(no_recipe_advice().sentence, Contains("no recipe for reforming"));
  const auto list = high_voltage_advice({});
  CHECK(list.size() == 3);
  for (const Advice& a : list) {
    CHECK_THAT(a.sentence, Contains("LOCKED until a named qualified person"));
    CHECK_THAT(a.sentence, Contains("through a resistor"));
    CHECK_THAT(a.sentence, Contains("local codes"));
  }
  Known none;
  none.above_50_v = none.picture_tube = none.mains_capacitors = Told::no;
  CHECK(high_voltage_advice(none).empty());
}

TEST_CASE("6: rail ohms prove nothing") {
  CHECK(rail_advice(0.9).refuses);
  CHECK_THAT(rail_advice(0.9).sentence, Contains("stop"));
  for (const double ohm : {1.0, 10.0, 1e6}) {
    CHECK_FALSE(rail_advice(ohm).refuses);
    CHECK_THAT(rail_advice(ohm).sentence, Contains("proves nothing"));
    CHECK_THAT(rail_advice(ohm).sentence, Contains("current limit"));
  }
  CHECK_THROWS_AS(rail_advice(-1), Error);
}

TEST_CASE("8: dust that must not be made is named until it is ruled out") {
  Known k;
  k.battery = BatteryKind::nickel;
  std::string all;
  for (const Advice& a : dust_advice(k)) {
    CHECK(a.refuses);
    CHECK_THAT(a.sentence, Contains("do not"));
    all += a.sentence;
  }
  for (const char* word : {"Cadmium", "lead", "droppings", "beryllia", "PCB", "radium", "ask"})
    CHECK_THAT(all, Contains(word));
  k.nests = k.white_ceramic = k.oil_cans = k.glowing_dials = Told::no;
  CHECK(dust_advice(k).size() == 2);  // cadmium of the battery, lead of every joint
}

TEST_CASE("every refusal says how sure it is") {
  for (const Advice& a : advice_of(leaked_plan())) {
    CAPTURE(a.sentence);
    CHECK_FALSE(a.source.empty());
    CHECK_FALSE(a.sentence.empty());
  }
}
