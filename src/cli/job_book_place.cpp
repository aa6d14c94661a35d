#include "cli/job_book_place.h"

#include <fmt/format.h>

#include "base/error.h"
#include "jobbook/entities.h"
#include "jobbook/person.h"
#include "jobbook/survey_record.h"
#include "jobbook/unit_record.h"
#include "photo/decode.h"

namespace verdigrid {

void JobBookPlace::check() const {
  if (book.empty() && (!unit.empty() || !board.empty()))
    throw Error(ErrorKind::wrong_use,
                "--unit and --board say where in a job book; name it with --jobbook.");
  if (!book.empty() && unit.empty())
    throw Error(ErrorKind::wrong_use,
                "--jobbook needs --unit: the unit that the photo belongs to. 'verdigrid jobbook "
                "list' shows the units.");
}

JobBook opened_job_book(const std::filesystem::path& folder, const std::string& who, Open how) {
  JobBookOptions options;
  options.who = who.empty() ? person_name().value_or(k_nobody) : who;
  return JobBook::open(folder, options, how);
}

std::string board_named(JobBook& book, const std::string& unit, const std::string& name) {
  unit_record(book, unit);
  const std::string wanted = name.empty() ? "board 1" : name;
  for (const Record& b : book.children(unit, "board"))
    if (board_from(b.body).name == wanted || b.id == wanted) return b.id;
  return book.put("board", {"", "board", unit, to_body(Board{wanted})});
}

std::string keep_in_job_book(const JobBookPlace& place, const std::filesystem::path& photo,
                             const Survey& survey) {
  JobBook book = opened_job_book(place.book, {}, Open::existing);
  return keep_in_job_book(book, place, photo, survey);
}

std::string keep_in_job_book(JobBook& book, const JobBookPlace& place,
                             const std::filesystem::path& photo, const Survey& survey) {
  return keep_survey(book, keep_photo(book, place, photo, survey, KeptPhoto{}.role), survey);
}

std::string keep_photo(JobBook& book, const JobBookPlace& place, const std::filesystem::path& photo,
                       const Survey& survey, const std::string& role) {
  const std::string board = board_named(book, place.unit, place.board);
  for (const Record& p : book.children(board, "photo"))
    if (p.body.value("sha256", "") == survey.photo.sha256) return p.id;
  KeptPhoto kept{book.add_file(read_file(photo, DecodeOptions{}.file_limit_bytes)),
                 survey.photo.name};
  kept.role = role;
  kept.side = survey.rectification.side;
  kept.captured_at = survey.photo.captured_at.value_or("");
  kept.width_px = survey.photo_size_px.width;
  kept.height_px = survey.photo_size_px.height;
  return book.put("photo added", {"", "photo", board, to_body(kept)});
}

}  // namespace verdigrid
