#include "jobbook/close_up.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>

#include "base/error.h"
#include "base/files.h"
#include "jobbook/bench_record.h"
#include "jobbook/entities.h"
#include "jobbook/plan_record.h"
#include "plan/bench_work.h"
#include "plan/edit_plan.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

bool is_settled(const fs::path& path, double settle_s) {
  std::error_code code;
  const auto changed = fs::last_write_time(path, code);
  if (code) return false;
  const std::chrono::duration<double> age = fs::file_time_type::clock::now() - changed;
  return age.count() >= settle_s;
}

bool has_photo(const JobBook& book, const std::string& board, const std::string& sha256) {
  const auto photos = book.children(board, "photo");
  return std::any_of(photos.begin(), photos.end(),
                     [&sha256](const Record& r) { return r.body.value("sha256", "") == sha256; });
}

}  // namespace

std::vector<fs::path> new_pictures(const fs::path& folder, const std::vector<fs::path>& seen,
                                   double settle_s) {
  std::vector<fs::path> paths = visible_files(folder);
  std::erase_if(paths, [&](const fs::path& path) {
    return std::find(seen.begin(), seen.end(), path) != seen.end() || !is_settled(path, settle_s);
  });
  return paths;
}

ReadCloseUp read_close_up(PhotoStore& store, const fs::path& path, const DecodeOptions& decode) {
  ReadCloseUp r;
  r.file = path.filename().string();
  try {
    const Bytes bytes = read_file(path, decode.file_limit_bytes);
    const Photo photo = decode_photo(bytes, r.file, decode);
    r.captured_at = photo.meta.captured_at.value_or("");
    r.size_px = photo.size_px();
    r.bytes = bytes.size();
    r.sha256 = store.add(bytes);
  } catch (const Error& e) {
    if (e.kind() != ErrorKind::bad_input) throw;
    r.fault = e.what();
  }
  return r;
}

std::vector<Edit> close_up_edits(const JobBook& book, const std::string& board,
                                 const ReadCloseUp& picture, CloseUpRow& row) {
  row = {picture.file, picture.fault, false, !picture.fault.empty()};
  if (row.is_refused) return {};
  if (has_photo(book, board, picture.sha256)) {
    row.sentence = "was filed before";
    return {};
  }
  const std::string now = book.options().now();
  const auto plan = kept_plan(book, board);
  const BenchLog log = bench_log_of(book, board);
  const auto step = plan ? bench_now(*plan, log, now).step : std::nullopt;
  if (!step) {
    row.sentence = "no place of work is left to file it to";
    row.is_refused = true;
    return {};
  }
  const BenchPlace& place = step->place;
  const std::string words = place.part.empty() ? place.item : place.item + " " + place.part;
  KeptPhoto kept{picture.sha256, picture.file, "close-up"};
  kept.side = item_of(*plan, place.item).side;
  kept.captured_at = picture.captured_at;
  kept.note = words;
  kept.width_px = picture.size_px.width;
  kept.height_px = picture.size_px.height;
  const BenchLog after =
      with_entry(log, {book.options().who, now, CloseUp{place, picture.file, picture.sha256}});
  std::vector<Edit> edits = bench_edits(book, board, {after, {}});
  row.photo = book.new_id("photo");
  row.side = kept.side;
  edits.push_back({row.photo, "photo", board, to_body(kept)});
  row.is_filed = true;
  row.sentence = "close-up of " + words;
  return edits;
}

CloseUpRow keep_close_up(JobBook& book, const std::string& board, const ReadCloseUp& picture) {
  CloseUpRow row;
  if (picture.fault.empty()) book.register_file(picture.sha256, picture.bytes);
  book.change_by("close-up filed", [&] { return close_up_edits(book, board, picture, row); });
  return row;
}

}  // namespace verdigrid
