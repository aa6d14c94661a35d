// verdigrid jobbook: receive units, keep their photos, correct and undo.

#include <fmt/format.h>

#include "base/data_files.h"
#include "base/error.h"
#include "cli/jobbook_runs.h"
#include "cli/progress_bar.h"
#include "detect/trained_detector.h"
#include "jobbook/job_book.h"
#include "jobbook/person.h"
#include "jobbook/survey_record.h"
#include "jobbook/tags.h"
#include "jobbook/unit_record.h"
#include "photo/decode.h"
#include "rectify/rectify.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

void say_cautions(const Unit& unit, Session& s) {
  for (const std::string& caution : cautions(unit)) s.messages << "Caution: " << caution << '\n';
  const std::string block = battery_removal_block(unit.battery);
  if (!block.empty()) s.messages << "Battery stays in for now: " << block << '\n';
}

}  // namespace

int jobbook_init(const JobBookArguments& a, Session& s) {
  const JobBook book = JobBook::create(a.book, {});
  if (is_network_folder(a.book))
    s.messages << "Warning: this is a network folder, where two programs at once can damage a job "
                  "book. Keep it on a local disk.\n";
  s.out << fmt::format("{}: a new job book.\n", a.book.string());
  return 0;
}

int jobbook_receive(const JobBookArguments& a, Session& s) {
  JobBook book = opened_job_book(a, Open::existing);
  const Unit unit = a.edits.applied_to({});
  s.out << book.put("received", {"", "unit", {}, to_body(unit)}) << '\n';
  say_cautions(unit, s);
  return 0;
}

int jobbook_change(const JobBookArguments& a, Session& s) {
  JobBook book = opened_job_book(a, Open::existing);
  Unit unit = a.edits.applied_to(unit_at(book, a.id));
  if (!a.state.empty()) unit.state = a.state;
  if (a.is_data_saved || a.is_loss_accepted) {
    const std::string& who = book.options().who;
    if (who == k_nobody)
      throw Error(ErrorKind::wrong_use,
                  "Nobody's name is known to sign with: give --who, or keep your name once with "
                  "'verdigrid jobbook sign-as'.");
    const Signature signature{who, book.options().now()};
    if (a.is_data_saved) unit.battery.data_saved = signature;
    if (a.is_loss_accepted) unit.battery.loss_accepted = signature;
  }
  if (!a.battery_removed_on.empty()) {
    const std::string block = battery_removal_block(unit.battery);
    if (!block.empty()) throw Error(ErrorKind::wrong_use, block);
    unit.battery.removed_on = a.battery_removed_on;
  }
  book.put("changed", {a.id, "unit", {}, to_body(unit)});
  say_cautions(unit, s);
  return 0;
}

int jobbook_sign_as(const JobBookArguments& a, Session& s) {
  std::error_code code;
  if (fs::is_directory(a.id, code))
    throw Error(ErrorKind::wrong_use,
                a.id + ": is a folder. Give the name that signs; it counts for every job book.");
  if (!a.id.empty()) keep_person_name(a.id);
  const auto name = person_name();
  s.out << name.value_or("No name is kept yet.") << '\n';
  return 0;
}

int jobbook_add(const JobBookArguments& a, Session& s) {
  JobBook book = opened_job_book(a, Open::existing);
  KeptPhoto photo;
  photo.role = a.role;
  photo.side = a.side == "back" ? Side::back : Side::front;
  const DecodeOptions decode;
  // Everything is read before anything is stored: a bad photo among good ones stores none.
  std::vector<std::pair<Bytes, KeptPhoto>> read;
  for (const fs::path& path : a.photos) {
    Bytes bytes = read_file(path, decode.file_limit_bytes);
    const Photo p = decode_photo(bytes, path.filename().string(), decode);
    photo.name = p.meta.name;
    photo.captured_at = p.meta.captured_at.value_or("");
    photo.width_px = p.size_px().width;
    photo.height_px = p.size_px().height;
    read.emplace_back(std::move(bytes), photo);
  }
  const std::string board = board_named(book, a.id, a.board);
  std::vector<Edit> edits;
  for (auto& [bytes, entry] : read) {
    entry.sha256 = book.add_file(bytes);
    edits.push_back({"", "photo", board, to_body(entry)});
  }
  for (const std::string& id : book.change("photos added", edits)) s.out << id << '\n';
  return 0;
}

int jobbook_kit(const JobBookArguments& a, Session& s) {
  JobBook book = opened_job_book(a, Open::existing);
  unit_at(book, a.id);
  s.out << book.put("kit", {"", "kit", a.id, to_body(a.kit)}) << '\n';
  return 0;
}

int jobbook_inbox(const JobBookArguments& a, Session& s) {
  JobBook book = opened_job_book(a, Open::existing);
  ProgressBar bar(s, "Reading the inbox");
  bool is_whole = true;
  for (const InboxRow& row : file_inbox(book, a.folder, {}, bar.work())) {
    s.out << fmt::format("{}: {}\n", row.file, row.sentence);
    is_whole &= row.fate != InboxRow::refused;
  }
  return is_whole ? 0 : 1;
}

// Surveys every photo of the unit again with the detector of today; the earlier results stay.
int jobbook_again(const JobBookArguments& a, Session& s) {
  JobBook book = opened_job_book(a, Open::existing);
  const ChosenDetector chosen =
      chosen_detector(DataFiles().find("models/residue.json").value_or("models/residue.json"));
  if (!chosen.remark.empty()) s.messages << chosen.remark << '\n';
  ProgressBar bar(s, "Surveying again");
  for (const Record& p : book.of_unit(a.id, "photo")) {
    const KeptPhoto kept = kept_photo_from(p.body);
    const Photo photo = decode_photo(book.file(kept.sha256), kept.name);
    const auto surveys = book.children(p.id, "survey");
    RectifyOptions plain;
    plain.side = kept.side;
    const Rectification r = surveys.empty() ? rectify(photo, plain, bar.work())
                                            : kept_survey(book, surveys.back().id).rectification;
    s.out << keep_survey(book, p.id, survey_of(photo, r, *chosen.detector, {}, bar.work())) << '\n';
  }
  return 0;
}

int jobbook_undo(const JobBookArguments& a, Session& s) {
  JobBook book = opened_job_book(a, Open::existing);
  const auto step = book.last_step();
  if (!step) throw Error(ErrorKind::wrong_use, "There is nothing to undo in this job book.");
  book.undo(*step);
  s.out << fmt::format("Step {} was undone.\n", *step);
  return 0;
}

int jobbook_forget(const JobBookArguments& a, Session& s) {
  JobBook book = opened_job_book(a, Open::existing);
  book.forget_owner(a.id);
  s.out << fmt::format(
      "{}: owner and contact were removed, also from the history. Backups and exports made before "
      "still hold them.\n",
      a.id);
  return 0;
}

}  // namespace verdigrid
