#include "cli/lock_place.h"

#include <fmt/format.h>

#include "base/error.h"
#include "base/files.h"
#include "base/folder_hold.h"
#include "cli/job_book_place.h"
#include "jobbook/lock_record.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

PowerLock lock_beside(const PlanPlace& place, const std::string& date) {
  const fs::path file = file_beside(place, k_lock_ending);
  const fs::path plan = file_beside(place, k_plan_ending);
  const bool has_plan = plan != file && fs::exists(plan);
  if (!has_plan && !fs::exists(file))
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: has no plan, so it stays LOCKED: nobody has said what is on the "
                            "board. Make one: verdigrid plan {}.",
                            place.target, place.target));
  PowerLock lock;
  if (fs::exists(file)) lock = load_power_lock(file);
  LockFacts facts = lock.facts;
  if (has_plan) {
    const Plan p = load_plan(plan);
    lock.board = p.board;
    facts = lock_facts(p);
  }
  if (const fs::path log = file_beside(place, k_bench_ending); log != file && fs::exists(log))
    facts = with_bench_log(facts, load_bench_log(log));
  return with_facts(lock, facts, place.signer(), date);
}

}  // namespace

PowerLock opened_lock(const PlanPlace& place, const std::string& date) {
  if (!place.is_in_book()) return lock_beside(place, date);
  const JobBook book = opened_job_book(place.book, place.who, Open::read_only);
  return lock_of(book, board_of(book, place), place.signer(), date);
}

PowerLock changed_lock_beside(const PlanPlace& place, const std::string& date,
                              const std::function<PowerLock(const PowerLock&)>& change) {
  const PowerLock lock = change(lock_beside(place, date));
  write_file(file_beside(place, k_lock_ending), power_lock_json(lock, date));
  return lock;
}

PowerLock changed_lock(const PlanPlace& place, const std::string& what, const std::string& date,
                       const std::function<PowerLock(const PowerLock&)>& change) {
  if (!place.is_in_book()) {
    const FolderHold hold(file_beside(place, k_lock_ending));
    return changed_lock_beside(place, date, change);
  }
  JobBook book = opened_job_book(place.book, place.who, Open::existing);
  const std::string board = board_of(book, place);
  PowerLock lock;
  book.change_by(what, [&] {
    lock = change(lock_of(book, board, place.signer(), date));
    return lock_edits(book, board, lock, date);
  });
  return lock;
}

}  // namespace verdigrid
