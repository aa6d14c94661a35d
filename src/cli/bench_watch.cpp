#include "cli/bench_watch.h"

#include <fmt/format.h>

#include <chrono>
#include <condition_variable>
#include <mutex>

#include "base/error.h"
#include "cli/job_book_place.h"
#include "jobbook/close_up.h"
#include "jobbook/close_up_placing.h"

namespace verdigrid {

namespace {

constexpr double k_settle_s = 1;  // a file that was not changed for this long is whole
constexpr std::chrono::milliseconds k_between_looks{500};

// Sleeps until the next look or until it is stopped.
void wait_for_next(std::stop_token stop) {
  std::mutex mutex;
  std::condition_variable_any changed;
  std::unique_lock lock(mutex);
  changed.wait_for(lock, stop, k_between_looks, [] { return false; });
}

// It is filed already: what goes wrong here takes nothing back.
void place(JobBook& book, const FiledCloseUp& filed, const Detector& detector, Session& s) {
  const PlacedPicture placed = placed_picture(
      book, filed.photo, overview_of(book, filed.board, filed.side), detector, {}, {s.stop, {}});
  book.change_by(placed.body ? "close-up placed" : "close-up has no place",
                 [&] { return placing_edits(book, filed.photo, placed); });
  (placed.body ? s.out : s.messages) << filed.file << ": " << placed.sentence << std::endl;
}

}  // namespace

int watch_folder(const PlanPlace& at, const std::filesystem::path& folder, bool once,
                 const Detector& detector, Session& s) {
  if (!at.is_in_book())
    throw Error(ErrorKind::wrong_use, "Close-ups are kept in a job book: add --jobbook.");
  JobBook book = opened_job_book(at.book, at.signer(), Open::existing);
  const std::string board = board_of(book, at);
  PhotoStore store(at.book / "photos");
  std::vector<std::filesystem::path> seen;
  // Older pictures belong to other places.
  if (!once) seen = new_pictures(folder, {}, 0);
  for (const FiledCloseUp& left : close_ups_to_place(book, board)) place(book, left, detector, s);
  bool has_refused = false;
  do {
    for (const std::filesystem::path& path : new_pictures(folder, seen, once ? 0 : k_settle_s)) {
      seen.push_back(path);
      const CloseUpRow row = keep_close_up(book, board, read_close_up(store, path));
      (row.is_refused ? s.messages : s.out) << row.file << ": " << row.sentence << std::endl;
      has_refused |= row.is_refused;
      if (row.is_filed) place(book, {row.photo, board, row.file, row.side}, detector, s);
    }
    if (once) break;
    wait_for_next(s.stop);
  } while (!s.stop.stop_requested());
  return has_refused ? 1 : 0;
}

}  // namespace verdigrid
