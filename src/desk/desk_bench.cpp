// The desk's bench: one place at a time, its timer, the bench log of the open board, clocks of the
// whole job book, and a watched folder whose pictures become close-ups.

#include <fmt/format.h>

#include <algorithm>

#include "base/calendar.h"
#include "base/error.h"
#include "desk/desk.h"
#include "jobbook/bench_record.h"
#include "jobbook/close_up.h"
#include "jobbook/person.h"
#include "plan/wash_log.h"

namespace verdigrid {

namespace {

constexpr double k_settle_s = 1;  // a file that was not changed for this long is whole
constexpr std::chrono::seconds k_between_looks{1};

// Why a bath or drying is not for this board now; empty for every other event.
std::string refusal_of(const BenchEvent& event, const std::optional<Plan>& plan,
                       const BenchLog& log) {
  const Known known = plan ? plan->known : Known{};
  if (const auto* bath = std::get_if<Bath>(&event))
    return refusal_of(*bath, known, plan ? plan->fitted : std::vector<PartKind>{});
  if (const auto* drying = std::get_if<Drying>(&event)) return refusal_of(*drying, known, log);
  return {};
}

}  // namespace

BenchSign Desk::bench_sign() const { return {book_.options().who, book_.options().now()}; }

std::int64_t Desk::now_s() const { return seconds_of(book_.options().now()); }

void Desk::refresh_bench() {
  bench_ = {};
  clocks_ = running_clocks(book_);
  if (intake_.board_id.empty()) return;
  bench_.log = bench_log_of(book_, intake_.board_id);
  if (plan_.plan) bench_.steps = bench_steps(*plan_.plan, bench_.log);
}

template <class Change>
void Desk::change_bench(const std::string& label, Change change) {
  if (!document_) return;
  const BenchLog before = bench_log_of(book_, intake_.board_id);
  const BenchKeep keep = change(before);
  if (keep.log == before) return;
  change_book(bench_edits(book_, intake_.board_id, keep), label);
}

template <class Change>
void Desk::change_work(const std::string& label, Change change) {
  if (document_ && !plan_.plan) return say("There is no plan of this board yet: make one first.");
  change_bench(label, [&](const BenchLog& log) { return change(*plan_.plan, log); });
}

void Desk::run(const BenchNext&) {
  change_work("Next place", [this](const Plan& plan, const BenchLog& log) {
    return BenchKeep{with_next(plan, log, bench_sign()), {}};
  });
}

void Desk::run(const BenchPause&) {
  change_work("Timer", [this](const Plan& plan, const BenchLog& log) {
    return BenchKeep{with_pause(plan, log, bench_sign()), {}};
  });
}

void Desk::run(const BenchDone&) {
  change_work("Done at the bench", [this](const Plan& plan, const BenchLog& log) {
    BenchChange c = with_done(plan, log, bench_sign());
    if (!c.remark.empty()) say(c.remark);
    return BenchKeep{std::move(c.log),
                     c.plan == plan ? std::nullopt : std::optional(std::move(c.plan))};
  });
}

void Desk::run(const BenchProblem& a) {
  change_work("Problem: " + a.word, [&](const Plan& plan, const BenchLog& log) {
    return BenchKeep{with_problem(plan, log, a.word, bench_sign()), {}};
  });
}

void Desk::run(const BenchGoTo& a) {
  change_work("Go to " + a.place.item, [&](const Plan& plan, const BenchLog& log) {
    return BenchKeep{with_place(plan, log, a.place, bench_sign()), {}};
  });
}

void Desk::run(const LogBench& a) {
  change_bench(words(a.event), [&](const BenchLog& log) {
    if (const std::string why = refusal_of(a.event, plan_.plan, log); !why.empty())
      throw Error(ErrorKind::wrong_use, why + " Not logged.");
    const BenchSign sign = bench_sign();
    return BenchKeep{with_entry(log, {sign.who, sign.at, a.event}), {}};
  });
}

void Desk::run(const StopClock& a) {
  const BenchSign sign = bench_sign();
  const BenchKeep keep{
      with_entry(bench_log_of(book_, a.board), {sign.who, sign.at, ClockStop{a.id}}), {}};
  const std::string label = "Stop clock " + a.id;
  if (document_) return change_book(bench_edits(book_, a.board, keep), label);
  keep_bench(book_, a.board, keep, label);
  refresh_intake();
}

void Desk::run(const SignAs& a) {
  keep_person_name(a.who);
  options_.book.who = a.who;
  book_ = JobBook::open(options_.job_book, options_.book);
}

void Desk::run(const WatchFolder& a) {
  watched_ = {a.folder, {}, {}};
  if (a.folder.empty()) return say("No folder is watched any more.");
  watched_.seen = new_pictures(a.folder, {}, 0);
  say(
      fmt::format("{} is watched: each new picture becomes a close-up of the place that is worked "
                  "on.",
                  a.folder.string()));
}

void Desk::look_at_watched_folder() {
  if (watched_.folder.empty() || !document_) return;
  const auto now = std::chrono::steady_clock::now();
  if (now - watched_.looked_at < k_between_looks) return;
  watched_.looked_at = now;
  std::vector<std::filesystem::path> fresh;
  try {
    fresh = new_pictures(watched_.folder, watched_.seen, k_settle_s);
  } catch (const Error& e) {
    watched_ = {};
    return say(e.what(), true);
  }
  if (fresh.empty()) return;
  watched_.seen.insert(watched_.seen.end(), fresh.begin(), fresh.end());
  jobs_.start("close-up", "Reading a close-up",
              [this, fresh, photos = options_.job_book / "photos", decode = options_.decode,
               board = intake_.board_id](const Work& work) -> Apply {
                PhotoStore store(photos);
                std::vector<ReadCloseUp> read;
                for (const auto& path : fresh) {
                  work.check();
                  read.push_back(read_close_up(store, path, decode));
                }
                return [this, read, board] {
                  for (const ReadCloseUp& picture : read) file_close_up(picture, board);
                };
              });
}

void Desk::file_close_up(const ReadCloseUp& picture, const std::string& board) {
  if (!document_ || board != intake_.board_id) {
    say(keep_close_up(book_, board, picture).sentence);
    return;
  }
  CloseUpRow row;
  if (picture.fault.empty()) book_.register_file(picture.sha256, picture.bytes);
  std::vector<Edit> edits = close_up_edits(book_, board, picture, row);
  if (!edits.empty()) change_book(std::move(edits), row.sentence);
  say(row.file + ": " + row.sentence, row.is_refused);
}

}  // namespace verdigrid
