#include "plan/wash_log.h"

#include <catch2/catch.hpp>

#include "plan/edit_plan.h"
#include "tests/plan/bench.h"
#include "tests/plan/facts.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

Bath bath(BathKind kind, const std::string& place = {}) {
  Bath b;
  b.kind = kind;
  b.place = place;
  b.bath = "distilled water";
  b.minutes = 5;
  if (kind == BathKind::neutralise) b.neutraliser = Neutraliser::weak_acid;
  return b;
}

Drying oven(double hours) { return {DryingWay::circulating_oven, 54, hours}; }

Known without_battery() {
  Known k = agreed();
  k.battery_fitted = Told::no;
  return k;
}

}  // namespace

TEST_CASE("rinses are counted from the last bath that left something") {
  CHECK(wash_state({}).rinses == 0);
  CHECK(wash_state({}).wetness == Wetness::not_known);
  const BenchLog twice = logged({{0, bath(BathKind::wash)},
                                 {1, bath(BathKind::rinse)},
                                 {2, bath(BathKind::rinse)},
                                 {3, bath(BathKind::alcohol)}});
  CHECK(wash_state(twice).rinses == 2);
  CHECK(wash_state(with_entry(twice, {"Ada", minute(4), bath(BathKind::wash)})).rinses == 0);
}

TEST_CASE("a place that was neutralised wants its own rinses or those of the whole board") {
  const BenchLog log = logged({{0, bath(BathKind::neutralise, "B3")},
                               {1, bath(BathKind::neutralise, "D4")},
                               {2, bath(BathKind::rinse, "B3")},
                               {3, bath(BathKind::rinse, "B3")},
                               {4, bath(BathKind::rinse, "D4")}});
  CHECK(wash_state(log).rinses == 1);
  CHECK(wash_state(with_entry(log, {"Ada", minute(5), bath(BathKind::rinse)})).rinses == 2);
}

TEST_CASE("a rinse and a drying are evidence for the lock as they are logged") {
  BenchLog log = logged({{0, bath(BathKind::wash)}});
  CHECK_FALSE(lock_evidence(log));
  log = with_entry(log, {"Ada", minute(10), bath(BathKind::rinse)});
  const auto rinsed = lock_evidence(log);
  REQUIRE(rinsed);
  CHECK(rinsed->condition == LockCondition::rinsed);
  CHECK(*rinsed->value == 1);  // counted, and still below what the condition wants
  CHECK(rinsed->on == "2026-03-01");
  log = with_entry(log, {"Ada", minute(300), oven(4)});
  const auto dried = lock_evidence(log);
  REQUIRE(dried);
  CHECK(dried->condition == LockCondition::dry);
  CHECK(*dried->value == 4);
  CHECK_FALSE(lock_evidence(logged({{0, bath(BathKind::wash)}, {1, oven(0.2)}})));
}

TEST_CASE("a board that was weighed is dry only within the stated limit") {
  const BenchLog log =
      logged({{0, Weighing{true, 80, 0.5}}, {1, bath(BathKind::wash)}, {240, oven(4)}});
  CHECK(wash_state(log).wetness == Wetness::wet);  // nobody has weighed it again
  CHECK_FALSE(lock_evidence(log));
  const BenchLog heavy = with_entry(log, {"Ada", minute(241), Weighing{false, 80.6, {}}});
  CHECK(wash_state(heavy).wetness == Wetness::wet);
  CHECK_THAT(wash_state(heavy).weight_remark, Contains("water is left"));
  CHECK_FALSE(lock_evidence(heavy));
  const BenchLog light = with_entry(log, {"Ada", minute(241), Weighing{false, 79.4, {}}});
  CHECK_THAT(wash_state(light).weight_remark, Contains("came off"));
  const BenchLog dry = with_entry(log, {"Ada", minute(241), Weighing{false, 80.4, {}}});
  CHECK(wash_state(dry).wetness == Wetness::dried);
  REQUIRE(lock_evidence(dry));
  CHECK(lock_evidence(dry)->condition == LockCondition::dry);
  CHECK(*wash_state(dry).weight_off_g == Approx(0.4));
  // The next bath makes it wet again.
  CHECK(wash_state(with_entry(dry, {"Ada", minute(250), bath(BathKind::rinse)})).wetness ==
        Wetness::wet);
}

TEST_CASE("weights with other parts on the board say nothing") {
  const BenchLog log = logged({{0, Weighing{true, 80, 0.5}},
                               {1, PartMove{"U3", PartState::off, ""}},
                               {2, bath(BathKind::wash)},
                               {240, oven(4)},
                               {241, Weighing{false, 80, {}}}});
  CHECK_FALSE(wash_state(log).weight_off_g);
  CHECK_THAT(wash_state(log).weight_remark, Contains("same parts"));
  CHECK(wash_state(log).wetness == Wetness::wet);
  const BenchLog back =
      with_entry(with_entry(log, {"Ada", minute(250), PartMove{"U3", PartState::back_on, ""}}),
                 {"Ada", minute(251), Weighing{false, 80.1, {}}});
  CHECK(wash_state(back).wetness == Wetness::dried);
}

TEST_CASE("baths are refused as the plan refuses them") {
  const Bath acid = bath(BathKind::neutralise, "B2");
  CHECK_THAT(refusal_of(acid, Known{}, {}), Contains("No neutraliser yet"));
  CHECK(refusal_of(acid, agreed(), {}).empty());
  Bath wrong = acid;
  wrong.neutraliser = Neutraliser::bicarbonate;
  CHECK_THAT(refusal_of(wrong, agreed(), {}), Contains("Not bicarbonate here"));
  CHECK_THAT(refusal_of(bath(BathKind::wash), Known{}, {}), Contains("battery"));
  CHECK(refusal_of(bath(BathKind::wash), without_battery(), {}).empty());
  Bath ultrasonic = bath(BathKind::wash);
  ultrasonic.is_ultrasonic = true;
  CHECK_THAT(refusal_of(ultrasonic, without_battery(), {}), Contains("not known: do not"));
  Known fresh;
  fresh.battery = BatteryKind::lithium_thionyl;
  fresh.battery_fitted = Told::no;
  fresh.leak_is_fresh = Told::yes;
  CHECK_THAT(refusal_of(bath(BathKind::rinse), fresh, {}), Contains("no water"));
  fresh.hissing_or_smell = Told::yes;
  CHECK_THAT(refusal_of(bath(BathKind::alcohol), fresh, {}), Contains("leave"));
}

TEST_CASE("heat is refused while the log has alcohol on the board") {
  Known k = without_battery();
  k.alcohol_on_board = Told::no;
  const BenchLog none;
  CHECK(refusal_of(oven(4), k, none).empty());
  const BenchLog alcohol = logged({{0, bath(BathKind::alcohol)}});
  CHECK_THAT(refusal_of(oven(4), k, alcohol), Contains("alcohol"));
  const BenchLog aired =
      with_entry(alcohol, {"Ada", minute(60), Drying{DryingWay::open_air, {}, 1}});
  CHECK(refusal_of(oven(4), k, aired).empty());
  CHECK_THAT(refusal_of(Drying{DryingWay::food_oven, 54, 1}, k, none), Contains("food"));
  CHECK_THAT(refusal_of(oven(4), Known{}, none), Contains("alcohol"));
}
