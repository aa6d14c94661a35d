#include "cli/bench_place.h"

#include <fmt/format.h>

#include <ctime>

#include "base/calendar.h"
#include "base/error.h"
#include "base/files.h"
#include "base/folder_hold.h"
#include "cli/job_book_place.h"
#include "cli/lock_place.h"
#include "jobbook/bench_record.h"
#include "jobbook/plan_record.h"
#include "plan/wash_log.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

OpenBench bench_in(const JobBook& book, const std::string& board) {
  return {kept_plan(book, board), bench_log_of(book, board)};
}

OpenBench bench_beside(const PlanPlace& place) {
  OpenBench bench;
  const fs::path file = file_beside(place, k_bench_ending);
  const fs::path plan = file_beside(place, k_plan_ending);
  if (plan != file && fs::exists(plan)) bench.plan = load_plan(plan);
  if (fs::exists(file))
    bench.log = load_bench_log(file);
  else if (!bench.plan)
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: has no plan, so there is no bench log either. Make one: verdigrid "
                            "plan {}.",
                            place.target, place.target));
  if (bench.plan) bench.log.board = bench.plan->board;
  return bench;
}

// The log first: what follows from it is written anew with its next entry.
void keep_beside(const PlanPlace& place, const OpenBench& before, const OpenBench& after) {
  write_file(file_beside(place, k_bench_ending), bench_log_json(after.log));
  if (after.plan && after.plan != before.plan)
    write_file(file_beside(place, k_plan_ending), plan_json(*after.plan));
  if (const auto evidence = lock_evidence(after.log))
    changed_lock_beside(place, evidence->on,
                        [&evidence](const PowerLock& l) { return with_entry(l, *evidence); });
}

}  // namespace

OpenBench opened_bench(const PlanPlace& place) {
  if (!place.is_in_book()) return bench_beside(place);
  const JobBook book = opened_job_book(place.book, place.who, Open::read_only);
  return bench_in(book, board_of(book, place));
}

OpenBench changed_bench(const PlanPlace& place, const std::string& what,
                        const std::function<OpenBench(const OpenBench&)>& change) {
  if (!place.is_in_book()) {
    const FolderHold hold(file_beside(place, k_bench_ending));
    const OpenBench before = bench_beside(place);
    const OpenBench after = change(before);
    keep_beside(place, before, after);
    return after;
  }
  JobBook book = opened_job_book(place.book, place.who, Open::existing);
  const std::string board = board_of(book, place);
  OpenBench after;
  change_bench(book, board, what, [&](const std::optional<Plan>& plan, const BenchLog& log) {
    after = change({plan, log});
    return BenchKeep{after.log, after.plan == plan ? std::nullopt : after.plan};
  });
  return after;
}

std::string now_text() { return time_text(std::time(nullptr)); }

int utc_offset_min() {
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  localtime_r(&now, &local);
  return static_cast<int>(local.tm_gmtoff / 60);
}

}  // namespace verdigrid
