#include "jobbook/lock_record.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "base/error.h"
#include "jobbook/bench_record.h"
#include "jobbook/board_type.h"
#include "jobbook/entities.h"
#include "jobbook/plan_record.h"

namespace verdigrid {

using nlohmann::json;

namespace {

constexpr const char* k_kind = "power-lock";
constexpr const char* k_supply_kind = "supply-check";

std::optional<Record> lock_record(const JobBook& book, const std::string& board) {
  const auto locks = book.children(board, k_kind);
  return locks.empty() ? std::nullopt : std::optional(locks.back());
}

bool is_tested(const PowerLock& lock) {
  return !lock.log.empty() && lock.log.back().kind == LockEntryKind::test;
}

// What the unit's state becomes; empty: it stays.
std::string state_after(const std::string& before, const PowerLock& lock, const LockState& state) {
  const bool was_past_lock = before == "cleared for test" || before == "tested";
  if (!state.is_cleared) return was_past_lock ? "rechecked" : "";
  if (before == "handed over") return "";
  return is_tested(lock) ? "tested" : before == "tested" ? "" : "cleared for test";
}

// A unit is locked while one of its boards is: the first that is locked speaks for it.
void keep_worse(std::optional<LockState>& worst, const LockState& state) {
  if (!worst || worst->is_cleared) worst = state;
}

json supply_body(const SupplyRecord& r) {
  json rails = json::array();
  for (const SupplyRail& rail : r.check.rails)
    rails.push_back({{"name", rail.name},
                     {"nominal_v", rail.nominal_v},
                     {"measured_v", rail.measured_v},
                     {"load_a", rail.load_a}});
  return {{"name", r.check.name}, {"rails", rails}, {"who", r.who}, {"on", r.on}};
}

SupplyRecord supply_from(const Record& record) {
  try {
    SupplyRecord r;
    r.check.name = record.body.at("name").get<std::string>();
    r.who = record.body.at("who").get<std::string>();
    r.on = record.body.at("on").get<std::string>();
    for (const json& rail : record.body.at("rails"))
      r.check.rails.push_back(
          {rail.at("name").get<std::string>(), rail.at("nominal_v").get<double>(),
           rail.at("measured_v").get<double>(), rail.at("load_a").get<double>()});
    return r;
  } catch (const json::exception&) {
    throw Error(ErrorKind::bad_input,
                record.id + ": is no whole check of a supply. Measure it again and record it.");
  }
}

}  // namespace

PowerLock lock_of(const JobBook& book, const std::string& board, const std::string& who,
                  const std::string& date) {
  return lock_with(book, board, kept_plan(book, board), bench_log_of(book, board), who, date);
}

PowerLock lock_with(const JobBook& book, const std::string& board, const std::optional<Plan>& plan,
                    const BenchLog& log, const std::string& who, const std::string& date) {
  PowerLock lock;
  lock.board = board_from(book.get(board).body).name;
  if (const auto record = lock_record(book, board))
    lock = power_lock_from_json(record->body.dump(), record->id);
  const LockFacts facts = plan ? lock_facts(*plan) : lock.facts;
  return with_facts(lock, with_bench_log(facts, log), who, date);
}

std::vector<Edit> lock_edits(const JobBook& book, const std::string& board, const PowerLock& lock,
                             const std::string& date) {
  const Record record = book.get(board);
  if (record.kind != "board")
    throw Error(ErrorKind::wrong_use, board + ": is no board. Name a board of the unit.");
  const json body = json::parse(power_lock_json(lock, date));
  const auto old = lock_record(book, board);
  std::vector<Edit> edits{old ? Edit{old->id, k_kind, {}, body} : Edit{"", k_kind, board, body}};
  if (record.unit) {
    Unit unit = unit_from(book.get(*record.unit).body);
    const std::string next = state_after(unit.state, lock, state_of(lock, date));
    if (!next.empty() && next != unit.state) {
      unit.state = next;
      edits.push_back({*record.unit, "unit", {}, to_body(unit)});
    }
  }
  return edits;
}

std::string keep_lock(JobBook& book, const std::string& board, const PowerLock& lock,
                      const std::string& what, const std::string& date) {
  return book.change(what, lock_edits(book, board, lock, date)).front();
}

std::string power_headline(const JobBook& book, const std::string& board, const std::string& date) {
  return state_of(lock_of(book, board, k_nobody, date), date).headline;
}

std::string unit_power_headline(const JobBook& book, const std::string& unit,
                                const std::string& date) {
  std::optional<LockState> worst;
  for (const Record& board : book.children(unit, "board"))
    keep_worse(worst, state_of(lock_of(book, board.id, k_nobody, date), date));
  return worst ? worst->headline : k_no_board_headline;
}

std::map<std::string, std::string> unit_power_headlines(const JobBook& book,
                                                        const std::string& date) {
  const LockState untouched = state_of({}, date);  // of every board without plan and lock
  std::set<std::string> touched;
  Statement parents(
      book.database(),
      "SELECT DISTINCT parent FROM record WHERE kind IN ('plan', 'power-lock', 'bench-log')");
  while (parents.step()) touched.insert(parents.text(0));
  std::map<std::string, std::optional<LockState>> worst;
  Statement boards(book.database(),
                   "SELECT id, unit FROM record WHERE kind = 'board' AND unit IS NOT NULL "
                   "ORDER BY made_at, id");
  while (boards.step()) {
    const std::string board = boards.text(0);
    keep_worse(worst[boards.text(1)], touched.contains(board)
                                          ? state_of(lock_of(book, board, k_nobody, date), date)
                                          : untouched);
  }
  std::map<std::string, std::string> headlines;
  for (const auto& [unit, state] : worst) headlines[unit] = state->headline;
  return headlines;
}

std::string keep_supply_check(JobBook& book, const std::string& unit, const SupplyRecord& r) {
  const Record record = book.get(unit);
  if (record.kind != "unit" || !unit_from(record.body).is_supply)
    throw Error(ErrorKind::wrong_use,
                unit +
                    ": is no supply. Receive the supply as a unit of its own: 'verdigrid jobbook "
                    "receive --supply'.");
  if (const std::string fault = fault_of(r.check); !fault.empty())
    throw Error(ErrorKind::wrong_use, fault);
  return book.put("supply checked under dummy load", {"", k_supply_kind, unit, supply_body(r)});
}

std::vector<SupplyRecord> supply_checks(const JobBook& book, const std::string& unit) {
  std::vector<SupplyRecord> list;
  for (const Record& r : book.children(unit, k_supply_kind)) list.push_back(supply_from(r));
  return list;
}

std::vector<std::string> test_list(const JobBook& book, const std::string& board) {
  const Board b = board_from(book.get(board).body);
  return b.type.empty() ? std::vector<std::string>() : board_type_from(book.get(b.type).body).tests;
}

}  // namespace verdigrid
