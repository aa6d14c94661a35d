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
#include "jobbook/survey_record.h"
#include "plan/wash_log.h"

namespace verdigrid {

namespace {

constexpr double k_settle_s = 1;  // a file that was not changed for this long is whole
constexpr std::chrono::seconds k_between_looks{1};
constexpr const char *k_reading = "close-up", *k_placing = "close-up place";

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
  if (document_) bench_.close_ups = close_ups_on(book_, intake_.board_id, document_->photo_sha256);
}

template <class Change>
void Desk::change_bench(const std::string& label, Change change) {
  if (!document_) return;
  change_book_by([&] { return bench_edits_by(book_, intake_.board_id, change); }, label);
}

template <class Change>
void Desk::change_work(const std::string& label, Change change) {
  if (document_ && !plan_.plan) return say("There is no plan of this board yet: make one first.");
  change_bench(label, [&](const std::optional<Plan>& plan, const BenchLog& log) {
    return plan ? change(*plan, log) : BenchKeep{log, {}};
  });
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
  change_bench(words(a.event), [&](const std::optional<Plan>& plan, const BenchLog& log) {
    if (const std::string why = refusal_of(a.event, plan, log); !why.empty())
      throw Error(ErrorKind::wrong_use, why + " Not logged.");
    const BenchSign sign = bench_sign();
    return BenchKeep{with_entry(log, {sign.who, sign.at, a.event}), {}};
  });
}

void Desk::run(const StopClock& a) {
  const std::string label = "Stop clock " + a.id;
  const auto edits = [this, a] {
    return bench_edits_by(book_, a.board, [&](const std::optional<Plan>&, const BenchLog& log) {
      const BenchSign sign = bench_sign();
      return BenchKeep{with_entry(log, {sign.who, sign.at, ClockStop{a.id}}), {}};
    });
  };
  if (document_) return change_book_by(edits, label);
  book_.change_by(label, edits);
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
  for (const std::filesystem::path& path : fresh) to_read_.push_back({path, intake_.board_id});
}

void Desk::go_on_with_close_ups() {
  if (!to_read_.empty() && !jobs_.is_pending(k_reading)) read_next_picture();
  if (to_place_.empty() || jobs_.is_pending(k_placing)) return;
  // The survey of the open photo comes first: what lies on it is placed by it.
  if (document_ && to_place_.front().board == intake_.board_id && !derived_.automatic &&
      jobs_.is_pending("survey"))
    return;
  place_next_close_up();
}

void Desk::resume_close_ups() {
  const Intake::PhotoRow* open = document_ ? intake_.open_photo() : nullptr;
  if (!open) return;
  for (FiledCloseUp& filed : close_ups_to_place(book_, intake_.board_id)) {
    const bool is_known =
        (filed.photo == placing_ && jobs_.is_pending(k_placing)) ||
        std::any_of(to_place_.begin(), to_place_.end(),
                    [&filed](const FiledCloseUp& other) { return other.photo == filed.photo; });
    const bool has_overview = (shows_side(open->photo) && filed.side == document_->scale.side) ||
                              newest_survey(book_, filed.board, filed.side).has_value();
    if (!is_known && has_overview) to_place_.push_back(std::move(filed));
  }
}

void Desk::read_next_picture() {
  const auto [path, board] = to_read_.front();
  to_read_.pop_front();
  jobs_.start(k_reading, "Reading a close-up",
              [this, path = path, board = board, photos = options_.job_book / "photos",
               decode = options_.decode](const Work& work) -> Apply {
                work.check();
                PhotoStore store(photos);
                return [this, read = read_close_up(store, path, decode), board] {
                  file_close_up(read, board);
                };
              });
}

void Desk::file_close_up(const ReadCloseUp& picture, const std::string& board) {
  CloseUpRow row;
  if (!document_ || board != intake_.board_id) {
    row = keep_close_up(book_, board, picture);
  } else {
    if (picture.fault.empty()) book_.register_file(picture.sha256, picture.bytes);
    change_book_by([&] { return close_up_edits(book_, board, picture, row); }, "Close-up filed");
  }
  say(row.file + ": " + row.sentence, row.is_refused);
  if (row.is_filed) to_place_.push_back({row.photo, board, row.file, row.side});
}

void Desk::place_next_close_up() {
  const FiledCloseUp filed = to_place_.front();
  to_place_.pop_front();
  placing_ = filed.photo;
  if (!book_.find(filed.photo)) return;  // its filing was taken back
  // The open photo is at hand; the other side is read from the job book.
  std::optional<Overview> open;
  const Intake::PhotoRow* row = document_ ? intake_.open_photo() : nullptr;
  if (row && shows_side(row->photo) && filed.board == intake_.board_id &&
      filed.side == document_->scale.side && derived_.photo && derived_.automatic)
    open = Overview{derived_.photo, derived_.automatic};
  jobs_.start(k_placing, "Placing " + filed.file,
              [this, filed, open, decode = options_.decode, detector = options_.detector,
               folder = options_.job_book, options = options_.book](const Work& work) -> Apply {
                const JobBook own = JobBook::open(folder, options, Open::read_only);
                const PlacedPicture placed =
                    placed_picture(own, filed.photo,
                                   open ? open : overview_of(own, filed.board, filed.side, decode),
                                   *detector, decode, work);
                return [this, filed, placed] { keep_place(filed, placed); };
              });
}

void Desk::keep_place(const FiledCloseUp& filed, const PlacedPicture& placed) {
  if (!book_.find(filed.photo)) return;
  const auto edits = [&] { return placing_edits(book_, filed.photo, placed); };
  const bool is_open = document_ && filed.board == intake_.board_id;
  // That it has no place is no step of the person: nothing to take back.
  if (placed.body && is_open)
    change_book_by(edits, "Close-up placed");
  else
    book_.change_by(placed.body ? "close-up placed" : "close-up has no place", edits);
  if (is_open) refresh_intake();
  say(filed.file + ": " + placed.sentence);
}

}  // namespace verdigrid
