// verdigrid jobbook ...: receive units, keep their photos, find them again.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>

#include "base/data_files.h"
#include "base/error.h"
#include "cli/command.h"
#include "cli/job_book_place.h"
#include "cli/nested.h"
#include "cli/plan_place.h"
#include "cli/progress_bar.h"
#include "cli/unit_arguments.h"
#include "detect/trained_detector.h"
#include "jobbook/entities.h"
#include "jobbook/exchange.h"
#include "jobbook/job_book.h"
#include "jobbook/lock_record.h"
#include "jobbook/owner_record.h"
#include "jobbook/person.h"
#include "jobbook/plan_record.h"
#include "jobbook/queue.h"
#include "jobbook/search.h"
#include "jobbook/survey_record.h"
#include "jobbook/tags.h"
#include "jobbook/unit_record.h"
#include "photo/decode.h"
#include "plan/plan_words.h"
#include "rectify/rectify.h"
#include "report/tag_sheet.h"

namespace verdigrid {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

struct JobBookArguments {
  fs::path book;
  std::string who;  // signs; empty: the name kept in the settings
  std::string id, board, role = "arrival", side = "front";
  std::vector<fs::path> photos;
  fs::path folder;
  bool with_owner = false, prints_json = false;
  UnitEdits edits;  // of receive and change
  std::string state, battery_removed_on;
  bool is_data_saved = false, is_loss_accepted = false;
  KitItem kit;
  SearchQuery query;
};

JobBook opened(const JobBookArguments& a, Open how) { return opened_job_book(a.book, a.who, how); }

int run_init(const JobBookArguments& a, Session& s) {
  const JobBook book = JobBook::create(a.book, {});
  if (is_network_folder(a.book))
    s.messages << "Warning: this is a network folder, where two programs at once can damage a job "
                  "book. Keep it on a local disk.\n";
  s.out << fmt::format("{}: a new job book.\n", a.book.string());
  return 0;
}

void say_cautions(const Unit& unit, Session& s) {
  for (const std::string& caution : cautions(unit)) s.messages << "Caution: " << caution << '\n';
  const std::string block = battery_removal_block(unit.battery);
  if (!block.empty()) s.messages << "Battery stays in for now: " << block << '\n';
}

int run_receive(const JobBookArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  const Unit unit = a.edits.applied_to({});
  s.out << book.put("received", {"", "unit", {}, to_body(unit)}) << '\n';
  say_cautions(unit, s);
  return 0;
}

int run_change(const JobBookArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
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

int run_sign_as(const JobBookArguments& a, Session& s) {
  std::error_code code;
  if (fs::is_directory(a.id, code))
    throw Error(ErrorKind::wrong_use,
                a.id + ": is a folder. Give the name that signs; it counts for every job book.");
  if (!a.id.empty()) keep_person_name(a.id);
  const auto name = person_name();
  s.out << name.value_or("No name is kept yet.") << '\n';
  return 0;
}

int run_add(const JobBookArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
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

json queue_json(const QueueRow& r) {
  json j{{"unit", r.unit},     {"name", r.name},
         {"state", r.state},   {"received_on", r.received_on},
         {"reason", r.reason}, {"next_step", r.next_step},
         {"power", r.power}};
  if (!r.money.empty()) j["money"] = r.money;
  if (!r.look_again_on.empty()) j["look_again_on"] = r.look_again_on;
  if (!r.plan) return j;
  j["likely_min"] = r.plan->likely_min;
  j["allow_min"] = r.plan->allow_min;
  j["currency"] = r.plan->currency;
  if (r.plan->owner_value) j["owner_value"] = *r.plan->owner_value;
  return j;
}

// "likely 3.2 h, allow up to 5.1 h; worth 250 EUR"
std::string hours_words(const QueueRow& r) {
  if (!r.plan) return "not planned";
  std::string text = r.plan->allow_min > 0
                         ? fmt::format("likely {:.1f} h, allow up to {:.1f} h",
                                       r.plan->likely_min / 60, r.plan->allow_min / 60)
                         : std::string("no planned work is open");
  if (r.plan->owner_value)
    text += fmt::format("; worth {:.0f} {}", *r.plan->owner_value, r.plan->currency);
  return text;
}

int run_list(const JobBookArguments& a, Session& s) {
  const JobBook book = opened(a, Open::read_only);
  json rows = json::array();
  const std::vector<QueueRow> queue = queue_of(book);
  for (const QueueRow& r : queue) {
    if (a.prints_json)
      rows.push_back(queue_json(r));
    else
      s.out << fmt::format("{:<12} {:<10} {:<16} {:<28} {}{}\n{:<23} {}. {}\n", r.unit,
                           r.received_on, r.state, r.name, r.next_step,
                           r.reason.empty() ? "" : " (" + r.reason + ")", "", hours_words(r),
                           r.power);
    if (!a.prints_json && !r.money.empty()) s.out << fmt::format("{:<23} {}\n", "", r.money);
  }
  if (a.prints_json) {
    s.out << json{{"format", "verdigrid-queue"}, {"version", 1}, {"units", rows}}.dump(1) << '\n';
    return 0;
  }
  const Figures all = queue_estimate(book).total;
  if (all.allow_min > 0)
    s.out << fmt::format("All planned work, by one person: {}.\n", figures_words(all));
  return 0;
}

// "front: 3.1 % affected, 12 % unseen", "back: not photographed, so all of it is unseen"
std::string side_words(const SideSeen& side) {
  if (!side.is_photographed)
    return fmt::format("{}: not photographed, so all of it is unseen", name(side.side));
  if (!side.unseen_percent) return fmt::format("{}: not surveyed yet", name(side.side));
  return fmt::format("{}: {:.2g} % affected, {:.0f} % unseen", name(side.side),
                     side.affected_percent.value_or(0), *side.unseen_percent);
}

int run_show(const JobBookArguments& a, Session& s) {
  const JobBook book = opened(a, Open::read_only);
  const Record r = book.get(a.id);
  s.out << fmt::format("{} ({}), made {}\n{}\n", r.id, r.kind, r.made_at, r.body.dump(2));
  if (r.kind == "unit") {
    for (const std::string& caution : cautions(unit_from(r.body)))
      s.messages << "Caution: " << caution << '\n';
    if (const std::string alarm = money_alarm(book, a.id, today()); !alarm.empty())
      s.messages << alarm << '\n';
  }
  for (const Record& child : book.children(a.id)) {
    s.out << fmt::format("  {} ({})\n", child.id, child.kind);
    if (child.kind == "board")
      for (const SideSeen& side : sides_seen(book, child.id))
        s.out << "    " << side_words(side) << '\n';
  }
  return 0;
}

int run_search(const JobBookArguments& a, Session& s) {
  const JobBook book = opened(a, Open::read_only);
  const auto hits = search(book, a.query);
  for (const Hit& h : hits) s.out << fmt::format("{:<16} {:<16} {}\n", h.id, h.unit, h.excerpt);
  if (hits.empty()) s.messages << "Nothing in the job book matches.\n";
  return 0;
}

int run_check(const JobBookArguments& a, Session& s) {
  const JobBook book = opened(a, Open::read_only);
  const auto faults = book.faults();
  for (const Fault& f : faults) s.out << f.what << '\n';
  if (faults.empty())
    s.messages << "The job book is whole: every record and every stored file was read.\n";
  return faults.empty() ? 0 : static_cast<int>(ErrorKind::storage);
}

int run_backup(const JobBookArguments& a, Session&) {
  opened(a, Open::existing).backup(a.folder);
  return 0;
}

int run_export(const JobBookArguments& a, Session&) {
  export_unit(opened(a, Open::existing), a.id, a.folder,
              a.with_owner ? OwnerData::include : OwnerData::leave_out);
  return 0;
}

int run_import(const JobBookArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  const ImportedUnit i = import_unit(book, a.folder);
  s.out << fmt::format("{}: {} new records, {} known already, {} photos\n", i.unit, i.new_records,
                       i.known_records, i.files);
  return 0;
}

int run_kit(const JobBookArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  unit_at(book, a.id);
  s.out << book.put("kit", {"", "kit", a.id, to_body(a.kit)}) << '\n';
  return 0;
}

int run_inbox(const JobBookArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  ProgressBar bar(s, "Reading the inbox");
  bool is_whole = true;
  for (const InboxRow& row : file_inbox(book, a.folder, {}, bar.work())) {
    s.out << fmt::format("{}: {}\n", row.file, row.sentence);
    is_whole &= row.fate != InboxRow::refused;
  }
  return is_whole ? 0 : 1;
}

int run_intake(const JobBookArguments& a, Session&) {
  const JobBook book = opened(a, Open::read_only);
  std::vector<KitItem> kit;
  const Unit unit = unit_at(book, a.id);
  for (const Record& k : book.children(a.id, "kit")) kit.push_back(kit_item_from(k.body));
  write_file(a.folder, intake_sheet_pdf(unit, a.id, kit, unit_power_headline(book, a.id, today())));
  return 0;
}

// Surveys every photo of the unit again with the detector of today; the earlier results stay.
int run_again(const JobBookArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
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

int run_history(const JobBookArguments& a, Session& s) {
  const JobBook book = opened(a, Open::read_only);
  book.get(a.id);
  for (const Change& c : book.history(a.id))
    s.out << fmt::format("{:>6} {} {:<16} {:<16} {}\n", c.step, c.at, c.who, c.record, c.what);
  return 0;
}

int run_undo(const JobBookArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  const auto step = book.last_step();
  if (!step) throw Error(ErrorKind::wrong_use, "There is nothing to undo in this job book.");
  book.undo(*step);
  s.out << fmt::format("Step {} was undone.\n", *step);
  return 0;
}

int run_forget(const JobBookArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  book.forget_owner(a.id);
  s.out << fmt::format(
      "{}: owner and contact were removed, also from the history. Backups and exports made before "
      "still hold them.\n",
      a.id);
  return 0;
}

void add_book(CLI::App& app, JobBookArguments& v) {
  app.add_option("JOBBOOK", v.book, "Folder of the job book")->required();
  app.add_option("--who", v.who, "Name that signs the change (default: the one in the settings)");
}

void add_id(CLI::App& app, JobBookArguments& v) {
  app.add_option("ID", v.id, "Its id, as 'jobbook list' and 'show' give it")->required();
}

void add_folder(CLI::App& app, JobBookArguments& v) {
  app.add_option("FOLDER", v.folder, "The folder to write or read")->required();
}

void add_id_and_folder(CLI::App& app, JobBookArguments& v) {
  add_id(app, v);
  add_folder(app, v);
}

void add_receiving(CLI::App& app, JobBookArguments& v) { add_unit_arguments(app, v.edits, true); }

void add_change(CLI::App& app, JobBookArguments& v) {
  add_id(app, v);
  add_unit_arguments(app, v.edits, false);
  app.add_option("--state", v.state, "How far the job is")
      ->check(CLI::IsMember(
          std::vector<std::string>(std::begin(k_unit_states), std::end(k_unit_states))));
  app.add_flag("--data-saved", v.is_data_saved,
               "Sign that what the battery keeps alive was read out and saved");
  app.add_flag("--loss-accepted", v.is_loss_accepted,
               "Sign that the owner accepts the loss of what the battery keeps alive");
  app.add_option("--battery-removed-on", v.battery_removed_on, "Date it was taken out");
}

void add_name(CLI::App& app, JobBookArguments& v) {
  app.add_option("NAME", v.id,
                 "The name that signs from now on, in every job book; without it, it is shown");
}

void add_photos(CLI::App& app, JobBookArguments& v) {
  app.add_option("UNIT", v.id, "Id of the unit")->required();
  app.add_option("PHOTO", v.photos, "Photo files")->required();
  app.add_option("--board", v.board, "Name of the board (default \"board 1\"; made when new)");
  app.add_option("--side", v.side, "front or back")->check(CLI::IsMember({"front", "back"}));
  app.add_option("--role", v.role, "What the photo is: arrival, close-up, after wash, ...")
      ->check(CLI::IsMember(
          std::vector<std::string>(std::begin(k_photo_roles), std::end(k_photo_roles))));
}

void add_kit(CLI::App& app, JobBookArguments& v) {
  app.add_option("UNIT", v.id, "Id of the unit")->required();
  app.add_option("--what", v.kit.what, "board, card, supply, drive, panel, cable, ...")->required();
  app.add_option("--name", v.kit.name, "Its name");
  app.add_option("--slot", v.kit.slot, "Where it sat");
  app.add_flag("--looked-at", v.kit.looked_at, "It was looked at already");
}

void add_id_and_file(CLI::App& app, JobBookArguments& v) {
  add_id(app, v);
  app.add_option("-o,--out", v.folder, "The PDF to write")->required();
}

void add_json(CLI::App& app, JobBookArguments& v) {
  app.add_flag("--json", v.prints_json, "Print as JSON");
}

void add_query(CLI::App& app, JobBookArguments& v) {
  app.add_option("WORDS", v.query.text, "Beginnings of words, in one argument");
  app.add_option("--state", v.query.state, "State of the unit");
  app.add_option("--class", v.query.residue, "Residue class found");
  app.add_option("--zone", v.query.zone, "Zone or square with a finding");
  app.add_option("--part", v.query.part, "Part reached");
}

void add_export(CLI::App& app, JobBookArguments& v) {
  add_id_and_folder(app, v);
  app.add_flag("--with-owner", v.with_owner,
               "Keep the owner's data and the photos' private metadata in it");
}

template <void (*set_up)(CLI::App&, JobBookArguments&)>
void in_book(CLI::App& app, JobBookArguments& into) {
  add_book(app, into);
  set_up(app, into);
}

constexpr Nested<JobBookArguments> k_table[] = {
    {"init", "Make a new job book", add_book, run_init},
    {"receive", "Log a unit that came in", in_book<add_receiving>, run_receive},
    {"change", "Correct or sign what was logged of a unit", in_book<add_change>, run_change},
    {"add", "Keep photos of a unit's board", in_book<add_photos>, run_add},
    {"list", "Today's queue, most urgent first", in_book<add_json>, run_list},
    {"show", "One record and what belongs to it", in_book<add_id>, run_show},
    {"kit", "Add a piece of a unit's kit", in_book<add_kit>, run_kit},
    {"intake", "Write the intake sheet of a unit (PDF)", in_book<add_id_and_file>, run_intake},
    {"inbox", "File a folder of photos by the tags photographed before them", in_book<add_folder>,
     run_inbox},
    {"again", "Survey a unit's photos again, keeping the earlier results", in_book<add_id>,
     run_again},
    {"search", "Find records by words, state, class, zone or part", in_book<add_query>, run_search},
    {"sign-as", "Keep the name that signs changes", add_name, run_sign_as},
    {"history", "Who changed what and when", in_book<add_id>, run_history},
    {"undo", "Take the last change back", add_book, run_undo},
    {"check", "Read everything and name what is damaged", add_book, run_check},
    {"backup", "Copy the whole job book to a new folder", in_book<add_folder>, run_backup},
    {"export", "Hand over one unit as a folder", in_book<add_export>, run_export},
    {"import", "Take in a unit's folder", in_book<add_folder>, run_import},
    {"forget-owner", "Remove a unit's owner data, measurements stay", in_book<add_id>, run_forget},
};

}  // namespace

CommandRun jobbook_command(CLI::App& arguments) {
  return nested_command<JobBookArguments>(arguments, k_table);
}

}  // namespace verdigrid
