#include "plan/bench_log.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "base/calendar.h"
#include "base/error.h"
#include "layout/words.h"
#include "plan/ledger.h"
#include "plan/plan_words.h"

namespace verdigrid {

namespace {

constexpr double k_most_minutes = 100'000;
constexpr double k_most_grams = 1e6;
constexpr double k_most_c = 300;

constexpr Words<StepKind, 4> k_steps{{{StepKind::start, "start"},
                                      {StepKind::pause, "pause"},
                                      {StepKind::done, "done"},
                                      {StepKind::problem, "problem"}}};
constexpr Words<PartState, 5> k_states{{{PartState::off, "off"},
                                        {PartState::bagged, "bagged"},
                                        {PartState::back_on, "back-on"},
                                        {PartState::lost, "lost"},
                                        {PartState::stays_off, "stays-off"}}};
constexpr Words<BathKind, 4> k_baths{{{BathKind::neutralise, "neutralise"},
                                      {BathKind::wash, "wash"},
                                      {BathKind::rinse, "rinse"},
                                      {BathKind::alcohol, "alcohol"}}};

[[noreturn]] void refuse(const std::string& sentence) {
  throw Error(ErrorKind::wrong_use, sentence);
}

void check_amount(const char* what, double value, double most) {
  if (!(value > 0 && value <= most))
    refuse(fmt::format("{} must be above 0 and {:g} at most.", what, most));
}

void check_heat(const std::optional<double>& celsius) {
  if (celsius && !(*celsius >= 0 && *celsius <= k_most_c))
    refuse(fmt::format("A temperature of {:g} °C cannot be; give 0 to {:g}.", *celsius, k_most_c));
}

bool is_oven(DryingWay way) {
  return way == DryingWay::circulating_oven || way == DryingWay::vacuum_oven;
}

// How an entry fits the log it is added to; clocks get their id.
struct Checker {
  const BenchLog& log;

  void operator()(WorkStep& s) const {
    if (s.place.item.empty()) refuse("Say at which work item.");
    if (s.kind == StepKind::problem && s.word.empty()) refuse("Say in a word what the problem is.");
    if (s.minutes && s.kind != StepKind::done) refuse("Minutes are told of work that is done.");
    if (s.minutes) check_amount("Minutes", *s.minutes, k_most_minutes);
  }
  void operator()(CloseUp& c) const {
    if (c.photo.empty()) refuse("A close-up needs its photo.");
  }
  void operator()(ShiftNote&) const {}
  void operator()(PartMove& m) const {
    if (m.designator.empty()) refuse("Say which part.");
    if (m.state == PartState::lost && m.word.empty())
      refuse(fmt::format("{}: lost needs a word: where and how.", m.designator));
    if (m.state == PartState::stays_off && m.word.empty())
      refuse(fmt::format("{}: say why it stays off.", m.designator));
    const auto rows = ledger(log);
    const bool came_off = std::any_of(rows.begin(), rows.end(), [&m](const LedgerRow& r) {
      return r.designator == m.designator && r.state != PartState::back_on;
    });
    if (m.state == PartState::back_on && !came_off)
      refuse(fmt::format("{}: the ledger does not have it off.", m.designator));
  }
  void operator()(PartReading& r) const {
    if (r.designator.empty()) refuse("Say which part was read.");
    if (r.print.empty() && r.old_part.empty() && r.meter.empty())
      refuse(fmt::format("{}: say what the print, the old part or the meter tells.", r.designator));
    if (r.what == ReadingOf::value) return;
    for (const std::string& end : {r.print, r.old_part, r.meter})
      if (!end.empty() && end != k_says_nothing && end != "up" && end != "down" && end != "left" &&
          end != "right")
        refuse(
            fmt::format("{}: \"{}\" is no end; where its negative end or pin 1 lies is up, "
                        "down, left, right or none.",
                        r.designator, end));
  }
  void operator()(Bath& b) const {
    check_amount("Minutes", b.minutes, k_most_minutes);
    check_heat(b.temperature_c);
    if (b.bath.empty()) refuse("Say what the bath is.");
    const bool is_named =
        b.neutraliser == Neutraliser::weak_acid || b.neutraliser == Neutraliser::bicarbonate;
    if (b.kind == BathKind::neutralise && !is_named)
      refuse("Say which neutraliser: weak acid or bicarbonate.");
    if (b.kind != BathKind::neutralise && b.neutraliser)
      refuse("A neutraliser belongs to the bath neutralise.");
    if (b.kind == BathKind::alcohol && b.is_ultrasonic)
      refuse("Never alcohol straight in an ultrasonic tank: it catches fire.");
  }
  void operator()(Drying& d) const {
    check_amount("Hours", d.hours, k_most_minutes);
    check_heat(d.temperature_c);
    if (is_oven(d.way) && !d.temperature_c) refuse("Say at how many °C the oven stands.");
  }
  void operator()(Weighing& w) const {
    check_amount("The weight in grams", w.grams, k_most_grams);
    if (!w.is_before) {
      if (w.limit_g) refuse("The limit is stated with the weight before the wash.");
      const auto all = events<Weighing>(log);
      if (std::none_of(all.begin(), all.end(), [](const Weighing& o) { return o.is_before; }))
        refuse("There is no weight before the wash to compare with.");
      return;
    }
    if (!w.limit_g) refuse("State with it how far in grams the weight after drying may be off.");
    check_amount("The limit in grams", *w.limit_g, k_most_grams);
  }
  void operator()(ClockStart& c) const {
    if (c.what.empty()) refuse("Say what the clock is for.");
    check_amount("Minutes", c.minutes, k_most_minutes);
    c.id = fmt::format("K{}", events<ClockStart>(log).size() + 1);
  }
  void operator()(ClockStop& c) const {
    const auto starts = events<ClockStart>(log);
    const auto stops = events<ClockStop>(log);
    if (std::none_of(starts.begin(), starts.end(),
                     [&c](const ClockStart& s) { return s.id == c.id; }))
      refuse(fmt::format("{}: there is no such clock.", c.id));
    if (std::find(stops.begin(), stops.end(), c) != stops.end())
      refuse(fmt::format("{}: this clock was stopped already.", c.id));
  }
};

struct Worder {
  std::string operator()(const WorkStep& s) const {
    std::string text = fmt::format("{} {}{}", name(s.kind), s.place.item,
                                   s.place.part.empty() ? "" : " " + s.place.part);
    if (!s.word.empty()) text += ": " + s.word;
    if (s.minutes) text += fmt::format(", {:g} min", *s.minutes);
    return text;
  }
  std::string operator()(const CloseUp& c) const {
    return fmt::format("close-up of {}{}: {}", c.place.item,
                       c.place.part.empty() ? "" : " " + c.place.part, c.photo);
  }
  std::string operator()(const ShiftNote& n) const {
    return n.text.empty() ? "shift note taken down" : "shift note: " + n.text;
  }
  std::string operator()(const PartMove& m) const {
    return fmt::format("{} {}{}", m.designator, name(m.state), m.word.empty() ? "" : ": " + m.word);
  }
  std::string operator()(const PartReading& r) const {
    const PartAgreement a = agreement_of(r);
    return a.agrees ? fmt::format("{} of {}: {}, print, old part and meter agree", name(r.what),
                                  r.designator, a.value)
                    : a.ask;
  }
  std::string operator()(const Bath& b) const {
    std::string text =
        fmt::format("{}{}: {}{}, {:g} min", name(b.kind), b.place.empty() ? "" : " " + b.place,
                    b.bath, b.detergent.empty() ? "" : ", " + b.detergent, b.minutes);
    if (b.temperature_c) text += fmt::format(" at {:g} °C", *b.temperature_c);
    if (b.is_ultrasonic) text += ", ultrasonic";
    if (!b.removed_first.empty())
      text += fmt::format(", removed first: {}", fmt::join(b.removed_first, ", "));
    return text;
  }
  std::string operator()(const Drying& d) const {
    return fmt::format("dried in {}{}, {:g} h", name(d.way),
                       d.temperature_c ? fmt::format(" at {:g} °C", *d.temperature_c) : "",
                       d.hours);
  }
  std::string operator()(const Weighing& w) const {
    return w.is_before ? fmt::format("weight before the wash {:g} g, limit {:g} g", w.grams,
                                     w.limit_g.value_or(0))
                       : fmt::format("weight after drying {:g} g", w.grams);
  }
  std::string operator()(const ClockStart& c) const {
    return fmt::format("clock {}: {}{}, {}{}", c.id, c.what,
                       c.place.empty() ? "" : " on " + c.place, minutes_words(c.minutes),
                       c.then.empty() ? "" : ", then " + c.then);
  }
  std::string operator()(const ClockStop& c) const { return "clock " + c.id + " stopped"; }
};

}  // namespace

const char* name(StepKind kind) { return word_of(k_steps, kind); }
const char* name(PartState state) { return word_of(k_states, state); }
std::optional<PartState> part_state_named(std::string_view text) {
  return value_of(k_states, text);
}
const char* name(BathKind kind) { return word_of(k_baths, kind); }
std::optional<BathKind> bath_kind_named(std::string_view text) { return value_of(k_baths, text); }

BenchLog with_entry(const BenchLog& log, const BenchEntry& entry) {
  if (entry.who.empty() || entry.who == "nobody")
    refuse("Say who: give a name with --who, or keep yours with 'verdigrid jobbook sign-as'.");
  const std::int64_t at = seconds_of(entry.at);
  if (!log.entries.empty() && at < seconds_of(log.entries.back().at))
    refuse(fmt::format("{} lies before the last entry of the log, {}; entries only follow.",
                       entry.at, log.entries.back().at));
  BenchEntry checked = entry;
  std::visit(Checker{log}, checked.event);
  BenchLog out = log;
  out.entries.push_back(std::move(checked));
  return out;
}

const BenchEntry* shift_note(const BenchLog& log) {
  for (auto e = log.entries.rbegin(); e != log.entries.rend(); ++e)
    if (const auto* note = std::get_if<ShiftNote>(&e->event))
      return note->text.empty() ? nullptr : &*e;
  return nullptr;
}

std::string words(const BenchEvent& event) { return std::visit(Worder{}, event); }

}  // namespace verdigrid
