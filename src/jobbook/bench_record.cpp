#include "jobbook/bench_record.h"

#include <algorithm>

#include "base/calendar.h"
#include "base/error.h"
#include "jobbook/entities.h"
#include "jobbook/lock_record.h"
#include "jobbook/plan_record.h"
#include "plan/wash_log.h"

namespace verdigrid {

using nlohmann::json;

namespace {

constexpr const char* k_kind = "bench-log";

std::optional<Record> log_record(const JobBook& book, const std::string& board) {
  const auto logs = book.children(board, k_kind);
  return logs.empty() ? std::nullopt : std::optional(logs.back());
}

size_t place_of(const std::string& state) {
  const auto at = std::find(std::begin(k_unit_states), std::end(k_unit_states), state);
  return static_cast<size_t>(at - std::begin(k_unit_states));
}

// What the unit's state becomes; empty: it stays.
std::string state_after(const std::string& before, const BenchEvent& event) {
  const auto* bath = std::get_if<Bath>(&event);
  const std::string next = bath && bath->kind != BathKind::neutralise        ? "washed"
                           : bath || std::holds_alternative<WorkStep>(event) ? "at the bench"
                                                                             : "";
  return !next.empty() && place_of(before) < place_of(next) ? next : "";
}

bool is_unit(const Edit& e) { return e.kind == "unit"; }

std::string name_of(const JobBook& book, const std::optional<std::string>& id) {
  if (!id) return {};
  const auto record = book.find(*id);
  return record ? record->body.value("name", "") : std::string();
}

}  // namespace

BenchLog bench_log_of(const JobBook& book, const std::string& board) {
  if (const auto record = log_record(book, board))
    return bench_log_from_json(record->body.dump(), record->id);
  return {board_from(book.get(board).body).name, {}};
}

std::vector<Edit> bench_edits(const JobBook& book, const std::string& board,
                              const BenchKeep& keep) {
  const Record record = book.get(board);
  if (record.kind != "board")
    throw Error(ErrorKind::wrong_use, board + ": is no board. Name a board of the unit.");
  require(!keep.log.entries.empty(), "a bench log that is kept has entries");
  const BenchEntry& last = keep.log.entries.back();
  const json body = json::parse(bench_log_json(keep.log));
  const auto old = log_record(book, board);
  std::vector<Edit> edits{old ? Edit{old->id, k_kind, {}, body} : Edit{"", k_kind, board, body}};
  const std::optional<Plan> plan = keep.plan ? keep.plan : kept_plan(book, board);
  if (keep.plan)
    if (const auto plans = book.children(board, "plan"); !plans.empty())
      edits.push_back({plans.back().id, "plan", {}, to_body(*keep.plan)});
  const std::string date = date_of(last.at);
  const auto evidence = lock_evidence(keep.log);
  if (evidence || !book.children(board, "power-lock").empty()) {
    PowerLock lock = lock_with(book, board, plan, keep.log, last.who, date);
    if (evidence) lock = with_entry(lock, *evidence);
    for (Edit& e : lock_edits(book, board, lock, date)) edits.push_back(std::move(e));
  }
  if (record.unit && std::none_of(edits.begin(), edits.end(), is_unit)) {
    Unit unit = unit_from(book.get(*record.unit).body);
    bool is_changed = keep.plan && follow_battery(book, board, unit, *keep.plan);
    if (const std::string next = state_after(unit.state, last.event); !next.empty()) {
      unit.state = next;
      is_changed = true;
    }
    if (is_changed) edits.push_back({*record.unit, "unit", {}, to_body(unit)});
  }
  return edits;
}

std::vector<Edit> bench_edits_by(const JobBook& book, const std::string& board,
                                 const BenchUpdate& change) {
  const BenchLog before = bench_log_of(book, board);
  const BenchKeep keep = change(kept_plan(book, board), before);
  return keep.log == before ? std::vector<Edit>{} : bench_edits(book, board, keep);
}

void change_bench(JobBook& book, const std::string& board, const std::string& what,
                  const BenchUpdate& change) {
  book.change_by(what, [&] { return bench_edits_by(book, board, change); });
}

std::vector<BoardClock> running_clocks(const JobBook& book) {
  std::vector<BoardClock> clocks;
  for (const Record& r : book.of_kind(k_kind)) {
    const BenchLog log = bench_log_from_json(r.body.dump(), r.id);
    for (RunningClock& c : running_clocks(log))
      clocks.push_back({r.unit.value_or(""), r.parent.value_or(""), name_of(book, r.unit),
                        name_of(book, r.parent), std::move(c)});
  }
  std::stable_sort(clocks.begin(), clocks.end(), [](const BoardClock& a, const BoardClock& b) {
    return a.clock.due_s < b.clock.due_s;
  });
  return clocks;
}

std::vector<BoardNote> shift_notes(const JobBook& book) {
  std::vector<BoardNote> notes;
  for (const Record& r : book.of_kind(k_kind)) {
    const BenchLog log = bench_log_from_json(r.body.dump(), r.id);
    if (const BenchEntry* note = shift_note(log))
      notes.push_back({r.unit.value_or(""), r.parent.value_or(""), name_of(book, r.unit),
                       name_of(book, r.parent), std::get<ShiftNote>(note->event).text, note->who,
                       note->at});
  }
  std::stable_sort(notes.begin(), notes.end(),
                   [](const BoardNote& a, const BoardNote& b) { return a.at > b.at; });
  return notes;
}

}  // namespace verdigrid
