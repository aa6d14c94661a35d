#include "jobbook/close_up_placing.h"

#include <fmt/format.h>

#include <cctype>
#include <set>

#include "base/error.h"
#include "compare/close_up_survey.h"
#include "jobbook/bench_record.h"
#include "jobbook/entities.h"
#include "jobbook/survey_record.h"

namespace verdigrid {

namespace {

// The first sentence of a remark, to go on with after a colon.
std::string reason_of(std::string remark) {
  if (const size_t end = remark.find(". "); end != std::string::npos) remark.resize(end);
  if (remark.ends_with('.')) remark.pop_back();
  if (!remark.empty())
    remark[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(remark[0])));
  return remark;
}

constexpr const char* k_stays = "stays filed without a place: ";

PlacedPicture without_place(const std::string& why) { return {{}, why, k_stays + why}; }

}  // namespace

std::optional<Overview> overview_of(const JobBook& book, const std::string& board, Side side,
                                    const DecodeOptions& decode) {
  const auto newest = newest_survey(book, board, side);
  if (!newest) return std::nullopt;
  const KeptPhoto kept = kept_photo_from(book.get(newest->photo).body);
  return Overview{
      std::make_shared<const Photo>(decode_photo(book.file(kept.sha256), kept.name, decode)),
      std::make_shared<const Survey>(kept_survey(book, newest->survey))};
}

std::vector<FiledCloseUp> close_ups_to_place(const JobBook& book, const std::string& board) {
  std::set<std::string> filed;
  for (const CloseUp& c : events<CloseUp>(bench_log_of(book, board))) filed.insert(c.photo_sha256);
  std::vector<FiledCloseUp> open;
  for (const Record& record : book.children(board, "photo")) {
    const KeptPhoto photo = kept_photo_from(record.body);
    if (photo.role == "close-up" && photo.no_place.empty() && filed.contains(photo.sha256) &&
        !was_placed(book, record))
      open.push_back({record.id, board, photo.name, photo.side});
  }
  return open;
}

PlacedPicture placed_picture(const JobBook& book, const std::string& close_up_photo,
                             const std::optional<Overview>& overview, const Detector& detector,
                             const DecodeOptions& decode, const Work& work) {
  const KeptPhoto kept = kept_photo_from(book.get(close_up_photo).body);
  if (!overview)
    return {
        {}, {}, fmt::format("{}the {} of the board was not surveyed", k_stays, name(kept.side))};
  const Photo close_up = decode_photo(book.file(kept.sha256), kept.name, decode);
  const std::string& on = overview->photo->meta.name;
  try {
    const CloseUpAnswer answer =
        placed_close_up(overview->photo->bgr, close_up.bgr, {}, work.part(0, 0.6));
    if (!answer.place)
      return without_place(answer.remarks.empty()
                               ? fmt::format("it was not found on {}", on)
                               : fmt::format("{} ({})", reason_of(answer.remarks.front()), on));
    const SurveyedCloseUp surveyed = surveyed_close_up(
        {*overview->photo, *overview->survey}, close_up, answer, detector, {}, work.part(0.6, 0.9));
    PhotoStore store = book.photos();
    return {close_up_body(store, surveyed.placed, surveyed.survey),
            {},
            fmt::format("placed on {}, {:.1f} times as fine", on, answer.place->scale)};
  } catch (const Error& e) {
    if (e.kind() != ErrorKind::bad_input) throw;
    return without_place(reason_of(e.what()));
  }
}

std::vector<Edit> placing_edits(JobBook& book, const std::string& close_up_photo,
                                const PlacedPicture& placed) {
  const std::optional<Record> record = book.find(close_up_photo);
  if (!record) return {};
  if (placed.body) return placed_close_up_edits(book, close_up_photo, *placed.body);
  if (placed.no_place.empty()) return {};
  KeptPhoto photo = kept_photo_from(record->body);
  photo.no_place = placed.no_place;
  return {{close_up_photo, "photo", {}, to_body(photo)}};
}

}  // namespace verdigrid
