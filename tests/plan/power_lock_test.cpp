#include "plan/power_lock.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <regex>

#include "plan/edit_plan.h"
#include "tests/plan/facts.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using C = LockCondition;

namespace {

const char* const k_day = "2026-03-01";

// Answers that leave only what is always asked for.
LockFacts plain_facts() {
  LockFacts f;
  f.unseen_percent = 5;
  f.battery_fitted = f.battery_leaking = f.wet = f.picture_tube = f.mains_capacitors =
      f.above_50_v = f.mains_suppression = Told::no;
  return f;
}

LockEntry entry(C condition, const std::string& day = k_day) {
  LockEntry e;
  e.condition = condition;
  e.who = "Ada";
  e.on = day;
  return e;
}

LockEntry photo(C condition, const std::string& day = k_day) {
  LockEntry e = entry(condition, day);
  e.photo = "after.jpg";
  return e;
}

LockEntry reading(C condition, double value, const std::string& unit, const std::string& rail = {},
                  const std::string& day = k_day) {
  LockEntry e = entry(condition, day);
  e.value = value;
  e.unit = unit;
  e.rail = rail;
  return e;
}

LockEntry override_of(C condition, const std::string& reason = "owner's wish") {
  LockEntry e = entry(condition);
  e.kind = LockEntryKind::override_;
  e.note = reason;
  return e;
}

LockEntry supply(const std::string& day = k_day) {
  LockEntry e = entry(C::supply, day);
  e.supply = SupplyCheck{"bench 1", {{"+5 V", 5, 5.03, 1}}};
  return e;
}

LockEntry first_power(Told smell = Told::no, double amps = 0.3) {
  LockEntry e = entry(C::inspection);
  e.kind = LockEntryKind::power;
  e.power = FirstPower{"bench 1", 0.5, {{0, 5, amps}, {10, 5, 0.3}, {600, 5, 0.31}}, smell};
  return e;
}

LockEntry tests(TestVerdict verdict) {
  LockEntry e = entry(C::inspection);
  e.kind = LockEntryKind::test;
  e.tests = {{"starts", verdict}, {"keys", TestVerdict::not_tested}};
  return e;
}

const ConditionView* view(const PowerLock& lock, C condition, const std::string& day = k_day) {
  static LockState state;  // keeps what is pointed at
  state = state_of(lock, day);
  for (const ConditionView& v : state.conditions)
    if (v.condition == condition) return &v;
  return nullptr;
}

bool is_open(const PowerLock& lock, C condition, const std::string& day = k_day) {
  const ConditionView* v = view(lock, condition, day);
  return v && v->state == ConditionState::open;
}

PowerLock with(const PowerLock& lock, const std::vector<LockEntry>& entries) {
  PowerLock out = lock;
  for (const LockEntry& e : entries) out = with_entry(out, e);
  return out;
}

PowerLock cleared() {
  PowerLock lock;
  lock.board = "board 1";
  lock.facts = plain_facts();
  return with(lock, {photo(C::inspection), photo(C::loose_metal), supply(),
                     reading(C::rail_ohms, 120, "ohm", "+5 V")});
}

}  // namespace

TEST_CASE("nothing known means locked") {
  const LockState state = state_of({}, k_day);
  CHECK_FALSE(state.is_cleared);
  CHECK_THAT(state.headline, Contains("LOCKED"));
  for (const C c :
       {C::battery, C::dry, C::unseen, C::picture_tube, C::mains_capacitors, C::above_50_v,
        C::suppression, C::inspection, C::loose_metal, C::rail_ohms, C::supply})
    CHECK(is_open({}, c));
}

TEST_CASE("what a plan found makes the conditions") {
  const PowerLock lock{"b", lock_facts(leaked_plan()), {}};
  for (const C c : {C::findings, C::work, C::unseen, C::rinsed, C::dry, C::strip,
                    C::after_wash_photo, C::eaten_copper, C::rail_parts})
    CHECK(is_open(lock, c));
  CHECK_THAT(view(lock, C::rail_parts)->sentence, Contains("C1, C2"));
  CHECK_THAT(view(lock, C::findings)->sentence, Contains("4 flagged"));
  CHECK(lock.facts.unseen_percent == 100);  // nobody surveyed the back
}

TEST_CASE("evidence of the right kind and range meets a condition, the rest does not") {
  PowerLock lock{"b", lock_facts(leaked_plan()), {}};
  CHECK(is_open(with(lock, {reading(C::strip, 9, "pH")}), C::strip));
  CHECK_THAT(view(with(lock, {reading(C::strip, 9, "pH")}), C::strip)->by, Contains("not enough"));
  CHECK_FALSE(is_open(with(lock, {reading(C::strip, 7.2, "pH")}), C::strip));
  // The newest counts.
  CHECK(is_open(with(lock, {reading(C::strip, 7.2, "pH"), reading(C::strip, 10, "pH")}), C::strip));
  LockEntry comparison = entry(C::findings);
  comparison.comparison = "improved";
  CHECK(is_open(with(lock, {comparison}), C::findings));
  comparison.comparison = "nothing-left";
  CHECK_FALSE(is_open(with(lock, {comparison}), C::findings));
  CHECK(is_open(with(lock, {reading(C::rinsed, 1, "rinses")}), C::rinsed));
  CHECK_FALSE(is_open(with(lock, {reading(C::rinsed, 2, "rinses")}), C::rinsed));
}

TEST_CASE("evidence that cannot be is refused") {
  const PowerLock lock{"b", lock_facts(leaked_plan()), {}};
  for (const LockEntry& e :
       {entry(C::inspection), reading(C::strip, 7, "ohm"), reading(C::strip, -1, "pH"),
        photo(C::strip), reading(C::inspection, 3, "V"), reading(C::rail_ohms, 5, "ohm"),
        photo(C::work), photo(C::supply)})
    CHECK_THROWS_AS(with_entry(lock, e), Error);
  LockEntry unnamed = photo(C::inspection);
  unnamed.who = "nobody";
  CHECK_THROWS_WITH(with_entry(lock, unnamed), Contains("Say who"));
  LockEntry undated = photo(C::inspection);
  undated.on = "yesterday";
  CHECK_THROWS_WITH(with_entry(lock, undated), Contains("no date"));
  undated.on = "2026-02-30";
  CHECK_THROWS_AS(with_entry(lock, undated), Error);
  LockEntry early = photo(C::inspection, "2025-12-31");
  CHECK_THROWS_WITH(with_entry(with(lock, {photo(C::inspection)}), early),
                    Contains("before the last entry"));
}

TEST_CASE("7: some conditions nobody can override") {
  PowerLock lock{"b", plain_facts(), {}};
  lock.facts.battery_fitted = lock.facts.battery_leaking = Told::yes;
  lock.facts.wet = Told::yes;
  lock.facts.picture_tube = lock.facts.mains_capacitors = Told::yes;
  lock = with(lock, {reading(C::rail_ohms, 0.4, "ohm", "+5 V")});
  for (const C c : {C::battery, C::dry, C::picture_tube, C::mains_capacitors, C::rail_ohms}) {
    CAPTURE(name(c));
    CHECK_FALSE(view(lock, c)->may_override);
    CHECK_THROWS_WITH(with_entry(lock, override_of(c)), Contains("cannot be overridden by anyone"));
  }
  // Nor where nobody has said that it is not so.
  lock.facts.battery_leaking = lock.facts.wet = lock.facts.picture_tube = Told::not_known;
  for (const C c : {C::battery, C::dry, C::picture_tube}) CHECK_FALSE(view(lock, c)->may_override);
  // Written into the file by hand, it does not count either.
  lock.log.push_back(override_of(C::picture_tube));
  CHECK(is_open(lock, C::picture_tube));
}

TEST_CASE("7: every other condition is overridden by name and reason only") {
  PowerLock lock{"b", lock_facts(leaked_plan()), {}};
  lock.facts.battery_fitted = Told::yes;
  lock.facts.battery_leaking = lock.facts.wet = Told::no;
  for (const ConditionView& v : state_of(lock, k_day).conditions) {
    CAPTURE(name(v.condition));
    const bool is_never = v.condition == C::picture_tube || v.condition == C::mains_capacitors;
    CHECK(v.may_override == !is_never);
    if (is_never || v.condition == C::supply) continue;
    CHECK_THROWS_WITH(with_entry(lock, override_of(v.condition, "")), Contains("reason"));
    CHECK(view(with_entry(lock, override_of(v.condition)), v.condition)->state ==
          ConditionState::overridden);
  }
  CHECK_THROWS_WITH(with_entry(lock, override_of(C::supply)), Contains("name the supply"));
  CHECK_THROWS_WITH(with_entry(lock, override_of(C::failed_test)),
                    Contains("no condition of this"));
}

TEST_CASE("a battery that was taken off is shown to be off") {
  Known k = agreed();
  k.battery_fitted = k.battery_leaking = Told::yes;
  Plan plan = leaked_plan(k);
  PowerLock lock{"b", lock_facts(plan), {}};
  CHECK(is_open(with(lock, {photo(C::battery)}), C::battery));  // the plan still says it is there
  plan.known.battery_fitted = Told::no;
  lock.facts = lock_facts(plan);
  CHECK(is_open(lock, C::battery));
  CHECK_FALSE(is_open(with(lock, {photo(C::battery)}), C::battery));
}

TEST_CASE("an override is void when what it excused turns out worse") {
  PowerLock lock{"b", plain_facts(), {}};
  lock.facts.battery_fitted = Told::yes;
  lock = with(lock, {override_of(C::battery)});
  CHECK_FALSE(is_open(lock, C::battery));
  lock.facts.battery_leaking = Told::yes;
  CHECK(is_open(lock, C::battery));
}

TEST_CASE("5: tube and mains capacitors open only by a metered reading of a named person") {
  PowerLock lock{"b", plain_facts(), {}};
  lock.facts.picture_tube = Told::yes;
  CHECK_THAT(view(lock, C::picture_tube)->sentence,
             Contains("named qualified person") && Contains("local codes"));
  CHECK_THROWS_AS(with_entry(lock, photo(C::picture_tube)), Error);
  CHECK(is_open(with(lock, {reading(C::picture_tube, 40, "V")}), C::picture_tube));
  CHECK_FALSE(is_open(with(lock, {reading(C::picture_tube, 0.2, "V")}), C::picture_tube));
}

TEST_CASE("all met gives CLEARED FOR TEST with a named supply, and no more") {
  const LockState state = state_of(cleared(), k_day);
  CHECK(state.is_cleared);
  CHECK(state.headline == "CLEARED FOR TEST with supply bench 1");
  const std::regex clearance("\\b(clean|safe|ok|okay|fine)\\b", std::regex::icase);
  for (const PowerLock& lock :
       {cleared(), PowerLock{}, PowerLock{"b", lock_facts(leaked_plan()), {}}})
    CHECK_FALSE(std::regex_search(power_lock_words(lock, k_day), clearance));
  CHECK_THAT(power_lock_words(cleared(), k_day),
             Contains("current limit") && Contains("local codes"));
}

TEST_CASE("every rail of the supply wants a reading") {
  PowerLock lock{"b", plain_facts(), {}};
  LockEntry two = supply();
  two.supply->rails.push_back({"+12 V", 12, 12.1, 0.5});
  lock = with(lock, {two, reading(C::rail_ohms, 120, "ohm", "+5 V")});
  CHECK_THAT(view(lock, C::rail_ohms)->by, Contains("+12 V"));
  CHECK(is_open(lock, C::rail_ohms));
  CHECK_FALSE(is_open(with(lock, {reading(C::rail_ohms, 80, "ohm", "+12 V")}), C::rail_ohms));
}

TEST_CASE("a rail short locks, also over an override") {
  const PowerLock lock = with(cleared(), {reading(C::rail_ohms, 0.99, "ohm", "+5 V")});
  CHECK_FALSE(state_of(lock, k_day).is_cleared);
  CHECK_THAT(view(lock, C::rail_ohms)->by, Contains("stop"));
  CHECK(state_of(with(lock, {reading(C::rail_ohms, 1, "ohm", "+5 V")}), k_day).is_cleared);
}

TEST_CASE("a supply without load, name or the right volts is refused") {
  const PowerLock lock{"b", plain_facts(), {}};
  LockEntry e = supply();
  e.supply->rails[0].load_a = 0;
  CHECK_THROWS_WITH(with_entry(lock, e), Contains("without a load"));
  e = supply();
  e.supply->rails[0].measured_v = 5.6;
  CHECK_THROWS_WITH(with_entry(lock, e), Contains("more than 10 % off"));
  e = supply();
  e.supply->rails.clear();
  CHECK_THROWS_AS(with_entry(lock, e), Error);
  e = supply();
  e.supply->rails[0] = {"-12 V", -12, -11.8, 0.2};
  CHECK_NOTHROW(with_entry(lock, e));
}

TEST_CASE("first power is refused while locked, and wants its record whole") {
  CHECK_THROWS_WITH(with_entry({"b", plain_facts(), {}}, first_power()), Contains("LOCKED"));
  CHECK_NOTHROW(with_entry(cleared(), first_power()));
  LockEntry e = first_power();
  e.power->supply = "another";
  CHECK_THROWS_WITH(with_entry(cleared(), e), Contains("not with another"));
  e = first_power();
  e.power->points.pop_back();
  CHECK_THROWS_WITH(with_entry(cleared(), e), Contains("600 s is missing"));
  e = first_power(Told::not_known);
  CHECK_THROWS_WITH(with_entry(cleared(), e), Contains("smell or heat"));
  e = first_power();
  e.power->limit_a = 0;
  CHECK_THROWS_WITH(with_entry(cleared(), e), Contains("current limit"));
  // After smoke nobody waits ten minutes.
  e = first_power(Told::yes);
  e.power->points.resize(1);
  CHECK_NOTHROW(with_entry(cleared(), e));
}

TEST_CASE("a failed first power or test locks again until its cause is shown") {
  LockEntry cause = photo(C::failed_test);
  for (const LockEntry& failure :
       {first_power(Told::yes), first_power(Told::no, 0.5), tests(TestVerdict::fail)}) {
    const PowerLock lock = with(cleared(), {failure});
    CHECK_FALSE(state_of(lock, k_day).is_cleared);
    for (const C c : {C::failed_test, C::inspection, C::rail_ohms}) CHECK(is_open(lock, c));
    cause.note.clear();
    CHECK_THROWS_WITH(with_entry(lock, cause), Contains("cause"));
    cause.note = "tantalum C7 shorted";
    CHECK(state_of(
              with(lock, {cause, photo(C::inspection), reading(C::rail_ohms, 120, "ohm", "+5 V")}),
              k_day)
              .is_cleared);
  }
  CHECK(state_of(with(cleared(), {first_power(), tests(TestVerdict::pass)}), k_day).is_cleared);
}

TEST_CASE("a new finding locks again, by hand and by a new plan") {
  LockEntry found = entry(C::inspection);
  found.kind = LockEntryKind::finding;
  CHECK_THROWS_WITH(with_entry(cleared(), found), Contains("what was found"));
  found.note = "green under J3";
  CHECK_FALSE(state_of(with(cleared(), {found}), k_day).is_cleared);
  LockFacts more = plain_facts();
  more.findings = 2;
  const PowerLock lock = with_facts(cleared(), more, "Ada", k_day);
  CHECK(lock.log.back().kind == LockEntryKind::finding);
  CHECK_FALSE(state_of(lock, k_day).is_cleared);
  CHECK(with_facts(cleared(), plain_facts(), "Ada", k_day) == cleared());
}

TEST_CASE("six months on the shelf lock again") {
  const PowerLock lock = cleared();
  CHECK(state_of(lock, "2026-08-31").is_cleared);
  CHECK_FALSE(state_of(lock, "2026-09-01").is_cleared);
  for (const C c : {C::shelf, C::inspection, C::rail_ohms, C::supply})
    CHECK(is_open(lock, c, "2026-09-01"));
  CHECK_FALSE(is_open(lock, C::loose_metal, "2026-09-01"));
  const std::string later = "2026-10-01";
  const PowerLock again =
      with(lock, {photo(C::shelf, later), photo(C::inspection, later), supply(later),
                  reading(C::rail_ohms, 120, "ohm", "+5 V", later)});
  CHECK(state_of(again, later).is_cleared);
  CHECK_FALSE(state_of(again, "2027-04-01").is_cleared);
  // The end of a short month.
  PowerLock august{"b", plain_facts(), {photo(C::inspection, "2025-08-31")}};
  CHECK_FALSE(is_open(august, C::inspection, "2026-02-27"));
  CHECK(is_open(august, C::inspection, "2026-02-28"));
}

TEST_CASE("a lock written and read again is the same") {
  PowerLock lock = with(cleared(), {first_power(), tests(TestVerdict::fail)});
  LockEntry found = entry(C::inspection);
  found.kind = LockEntryKind::finding;
  found.note = "a \"green\" place";
  lock = with(lock, {found, override_of(C::loose_metal)});
  lock.facts.rail_parts = {"C1"};
  const std::string text = power_lock_json(lock, k_day);
  CHECK(power_lock_from_json(text, "x.lock.json") == lock);
  CHECK(power_lock_json(power_lock_from_json(text, "x"), k_day) == text);
}

TEST_CASE("a lock file that cannot be is refused by field") {
  const std::string text = power_lock_json(cleared(), k_day);
  const auto with_text = [&text](const std::string& from, const std::string& to) {
    std::string changed = text;
    const size_t at = changed.find(from);
    REQUIRE(at != std::string::npos);
    return power_lock_from_json(changed.replace(at, from.size(), to), "x.lock.json");
  };
  CHECK_THROWS_WITH(with_text("\"on\": \"2026", "\"on\": \"x026"), Contains("log[0].on"));
  CHECK_THROWS_WITH(with_text("\"inspection\"", "\"inspect\""), Contains("log[0].condition"));
  CHECK_THROWS_WITH(with_text("\"wet\": \"no\"", "\"wet\": \"maybe\""), Contains("facts.wet"));
  CHECK_THROWS_WITH(with_text("\"version\": 3", "\"version\": 9"), Contains("newer"));
}

TEST_CASE("every condition says what it wants and how sure the program is") {
  for (const LockConditionFacts& f : lock_conditions()) {
    CAPTURE(f.name);
    CHECK(lock_condition_named(f.name) == f.condition);
    CHECK_FALSE(evidence_words(f.condition).empty());
    CHECK_FALSE(std::string(f.source).empty());
  }
}
