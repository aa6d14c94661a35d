#include "plan/wash_log.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "base/calendar.h"
#include "plan/ledger.h"
#include "plan/ultrasonic.h"

namespace verdigrid {

namespace {

bool leaves_something(BathKind kind) {
  return kind == BathKind::neutralise || kind == BathKind::wash;
}

double least_hours() { return facts(LockCondition::dry).low; }

// Parts that are not on the board after the first `count` entries.
std::set<std::string> parts_away(const BenchLog& log, size_t count) {
  BenchLog until{log.board, {log.entries.begin(), log.entries.begin() + static_cast<long>(count)}};
  std::set<std::string> away;
  for (const LedgerRow& row : ledger(until))
    if (row.state != PartState::back_on) away.insert(row.designator);
  return away;
}

// The log read once, oldest first.
class Reader {
 public:
  explicit Reader(const BenchLog& log) : log_(log) {
    for (at_ = 0; at_ < log.entries.size(); ++at_) std::visit(*this, log.entries[at_].event);
    if (state_.wetness == Wetness::dried && (needs_weight_ || !is_within_limit())) {
      state_.wetness = Wetness::wet;
      if (needs_weight_ && state_.weight_remark.empty())
        state_.weight_remark = "It was weighed before the wash and not after drying: weigh it.";
    }
  }

  const WashState& state() const { return state_; }

  void operator()(const Bath& b) {
    if (leaves_something(b.kind)) rinses_[b.place] = 0;
    if (b.kind == BathKind::rinse) {
      if (rinses_.empty()) rinses_[""] = 0;
      for (auto& [place, rinses] : rinses_) rinses += b.place.empty() || b.place == place;
    }
    state_.rinses = rinses_.empty() ? 0 : rinses_.begin()->second;
    for (const auto& [place, rinses] : rinses_) state_.rinses = std::min(state_.rinses, rinses);
    state_.wetness = Wetness::wet;
    state_.dried_hours = 0;
    state_.weight_off_g.reset();
    state_.weight_remark.clear();
  }

  void operator()(const Drying& d) {
    state_.dried_hours += d.hours;
    if (state_.dried_hours >= least_hours()) state_.wetness = Wetness::dried;
  }

  void operator()(const Weighing& w) {
    if (w.is_before) {
      before_ = w;
      away_before_ = parts_away(log_, at_);
      needs_weight_ = true;
      state_.limit_g = w.limit_g;
      state_.weight_off_g.reset();
      state_.weight_remark.clear();
      return;
    }
    if (!before_) return;
    if (parts_away(log_, at_) != away_before_) {
      state_.weight_remark =
          "The two weights say nothing: not the same parts were on. Weigh with the same parts.";
      return;
    }
    state_.weight_off_g = w.grams - before_->grams;
    state_.weight_remark.clear();
    if (is_within_limit())
      needs_weight_ = false;
    else
      state_.weight_remark =
          *state_.weight_off_g > 0
              ? "It is heavier than before the wash by more than the limit: water is left."
              : "It is lighter than before the wash by more than the limit: find what came off.";
  }

  template <class Other>
  void operator()(const Other&) {}

 private:
  bool is_within_limit() const {
    return !state_.weight_off_g || std::abs(*state_.weight_off_g) <= state_.limit_g.value_or(0);
  }

  const BenchLog& log_;
  size_t at_ = 0;
  WashState state_;
  std::map<std::string, int> rinses_;  // by place, since something was left there
  std::optional<Weighing> before_;
  std::set<std::string> away_before_;
  bool needs_weight_ = false;
};

// An alcohol bath that nobody has let off in open air since.
bool has_alcohol(const BenchLog& log) {
  bool has = false;
  for (const BenchEntry& e : log.entries) {
    if (const auto* bath = std::get_if<Bath>(&e.event)) has |= bath->kind == BathKind::alcohol;
    if (const auto* drying = std::get_if<Drying>(&e.event))
      has &= drying->way != DryingWay::open_air;
  }
  return has;
}

std::string refusal_of_neutraliser(const Bath& b, const Known& known) {
  const NeutraliserAdvice a = neutraliser_for(known, b.place);
  if (a.advice.refuses) return words(a.advice);
  if (a.neutraliser == b.neutraliser) return {};
  return fmt::format("Not {} here: what leaked and the strip reading say {}. {}",
                     name(*b.neutraliser), name(a.neutraliser), words(a.advice));
}

}  // namespace

WashState wash_state(const BenchLog& log) { return Reader(log).state(); }

std::string words(const WashState& s) {
  if (s.wetness == Wetness::not_known && s.rinses == 0 && !s.limit_g) return "no bath is logged";
  std::string text = fmt::format(
      "rinsed {} time{}, {}", s.rinses, s.rinses == 1 ? "" : "s",
      s.dried_hours > 0 ? fmt::format("dried {:g} h", s.dried_hours) : "not dried since");
  if (s.weight_off_g)
    text +=
        fmt::format(", weight {:.2f} g {} the one before (limit {:g} g)", std::abs(*s.weight_off_g),
                    *s.weight_off_g >= 0 ? "above" : "below", s.limit_g.value_or(0));
  if (!s.weight_remark.empty()) text += ". " + s.weight_remark;
  return text;
}

std::optional<LockEntry> lock_evidence(const BenchLog& log) {
  if (log.entries.empty()) return std::nullopt;
  const BenchEntry& last = log.entries.back();
  const WashState state = wash_state(log);
  LockEntry e;
  e.who = last.who;
  e.on = date_of(last.at);
  e.note = "wash log: " + words(state);
  const auto* bath = std::get_if<Bath>(&last.event);
  if (bath && bath->kind == BathKind::rinse && state.rinses > 0) {
    e.condition = LockCondition::rinsed;
    e.value = state.rinses;
  } else if ((std::holds_alternative<Drying>(last.event) ||
              std::holds_alternative<Weighing>(last.event)) &&
             state.wetness == Wetness::dried) {
    e.condition = LockCondition::dry;
    e.value = state.dried_hours;
  } else {
    return std::nullopt;
  }
  e.unit = facts(e.condition).unit;
  return e;
}

std::string refusal_of(const Bath& b, const Known& known, const std::vector<PartKind>& fitted) {
  const bool is_watery = b.kind != BathKind::alcohol;
  if (known.hissing_or_smell == Told::yes || (is_watery && forbids_water(known)))
    return words(neutraliser_for(known, b.place).advice);
  if (b.kind == BathKind::neutralise) {
    if (std::string why = refusal_of_neutraliser(b, known); !why.empty()) return why;
  } else if (b.place.empty() && known.battery_fitted != Told::no) {
    return words(Advice{"bath",
                        known.battery_fitted == Told::yes
                            ? "No bath with a battery fitted: take it off first."
                            : "No bath until someone says that no battery is fitted.",
                        k_common_practice, true});
  }
  if (!b.is_ultrasonic) return {};
  const Advice a = ultrasonic_advice(known, fitted);
  return a.refuses ? words(a) : std::string();
}

std::string refusal_of(const Drying& d, const Known& known, const BenchLog& log) {
  Known now = known;
  if (has_alcohol(log)) now.alcohol_on_board = Told::yes;
  const Advice a = drying_advice(d.way, now);
  return a.refuses ? words(a) : std::string();
}

std::vector<Advice> cautions_of(const Bath& b, const Known& known,
                                const std::vector<PartKind>& fitted) {
  std::vector<Advice> list{
      {"bath",
       "Unplugged, charged capacitors discharged by a qualified person. Gloves, eye shield, "
       "ventilate; acid or alkali in an eye: water for 15 minutes, then a doctor.",
       k_common_practice}};
  if (b.kind == BathKind::neutralise) list.push_back(neutraliser_for(known, b.place).advice);
  if (b.kind == BathKind::alcohol)
    list.push_back({"bath",
                    "Alcohol catches fire (flash point about 12 °C): no sparks, no heat, let it "
                    "off in open air before any oven.",
                    k_common_practice});
  if (b.is_ultrasonic) list.push_back(ultrasonic_advice(known, fitted));
  return list;
}

}  // namespace verdigrid
