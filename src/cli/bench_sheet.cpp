#include "cli/bench_sheet.h"

#include <fmt/format.h>

#include "base/error.h"
#include "cli/job_book_place.h"
#include "jobbook/bench_record.h"
#include "jobbook/board_type.h"
#include "jobbook/entities.h"
#include "jobbook/lock_record.h"
#include "jobbook/plan_record.h"
#include "jobbook/survey_record.h"
#include "layout/layout.h"
#include "photo/decode.h"
#include "report/bench_pages.h"

namespace verdigrid {

namespace {

BenchPageSide sheet_side(const JobBook& book, const KeptSide& kept) {
  BenchPageSide side;
  const KeptPhoto photo = kept_photo_from(book.get(kept.photo).body);
  side.photo = std::make_shared<const Photo>(decode_photo(book.file(photo.sha256), photo.name, {}));
  side.survey = std::make_shared<const Survey>(kept_survey(book, kept.survey));
  return side;
}

}  // namespace

Bytes bench_pages_of(const PlanPlace& place, const std::string& date) {
  if (!place.is_in_book())
    throw Error(ErrorKind::wrong_use,
                "Bench pages show the arrival photos of a unit in a job book: add --jobbook.");
  const JobBook book = opened_job_book(place.book, place.who, Open::read_only);
  const std::string board = board_of(book, place);
  const auto plan = kept_plan(book, board);
  if (!plan)
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: has no plan yet; make one: verdigrid plan {} --jobbook {}.",
                            place.target, place.target, place.book.string()));
  std::map<Side, BenchPageSide> sides;
  const auto layout = layout_of(book, board);
  for (const KeptSide& kept : surveys_on_arrival(book, board)) {
    BenchPageSide side = sheet_side(book, kept);
    // A layout lies on this photo only where the survey was made with it.
    if (layout && side.survey->layout && layout->has_mm == side.survey->zones.has_mm)
      side.layout = std::make_shared<const Layout>(*layout);
    sides[kept.side] = std::move(side);
  }
  const BenchLog log = bench_log_of(book, board);
  BenchPageFacts facts;
  facts.unit = unit_from(book.get(place.target).body).name;
  facts.board = board_from(book.get(board).body).name;
  facts.power = power_headline(book, board, date);
  if (const BenchEntry* note = shift_note(log)) facts.note = std::get<ShiftNote>(note->event).text;
  return bench_pages_pdf(*plan, log, sides, facts);
}

}  // namespace verdigrid
