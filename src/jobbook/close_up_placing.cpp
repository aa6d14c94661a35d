#include "jobbook/close_up_placing.h"

#include <fmt/format.h>

#include <cctype>

#include "base/error.h"
#include "compare/close_up_survey.h"
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

PlacedPicture without_place(const std::string& why) {
  return {{}, fmt::format("stays filed without a place: {}", why)};
}

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

PlacedPicture placed_picture(const JobBook& book, const std::string& close_up_photo,
                             const std::optional<Overview>& overview, const Detector& detector,
                             const DecodeOptions& decode, const Work& work) {
  const KeptPhoto kept = kept_photo_from(book.get(close_up_photo).body);
  if (!overview)
    return without_place(fmt::format("the {} of the board was not surveyed", name(kept.side)));
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
            fmt::format("placed on {}, {:.1f} times as fine", on, answer.place->scale)};
  } catch (const Error& e) {
    if (e.kind() != ErrorKind::bad_input) throw;
    return without_place(reason_of(e.what()));
  }
}

}  // namespace verdigrid
