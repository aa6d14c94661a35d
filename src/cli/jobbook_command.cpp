// verdigrid jobbook ...: receive units, keep their photos, find them again.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>

#include "base/data_files.h"
#include "base/error.h"
#include "cli/command.h"
#include "cli/job_book_place.h"
#include "cli/progress_bar.h"
#include "detect/trained_detector.h"
#include "jobbook/entities.h"
#include "jobbook/exchange.h"
#include "jobbook/job_book.h"
#include "jobbook/queue.h"
#include "jobbook/search.h"
#include "jobbook/survey_record.h"
#include "jobbook/tags.h"
#include "photo/decode.h"
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
  Unit unit;
  KitItem kit;
  SearchQuery query;
};

using Values = std::shared_ptr<JobBookArguments>;

JobBook opened(const JobBookArguments& a, Open how) { return opened_job_book(a.book, a.who, how); }

int run_init(const JobBookArguments& a, Session& s) {
  const JobBook book = JobBook::create(a.book, {});
  if (is_network_folder(a.book))
    s.messages << "Warning: this is a network folder, where two programs at once can damage a job "
                  "book. Keep it on a local disk.\n";
  s.out << fmt::format("{}: a new job book.\n", a.book.string());
  return 0;
}

int run_receive(const JobBookArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  const std::string id = book.put("received", {"", "unit", {}, to_body(a.unit)});
  s.out << id << '\n';
  for (const std::string& caution : cautions(a.unit)) s.messages << "Caution: " << caution << '\n';
  const std::string block = battery_removal_block(a.unit.battery);
  if (!block.empty()) s.messages << "Battery stays in for now: " << block << '\n';
  return 0;
}

Answer3 answer_from(const std::string& option, const std::string& text) {
  for (const Answer3 a : {Answer3::yes, Answer3::no, Answer3::unknown})
    if (text == name(a) || (a == Answer3::unknown && text == "unknown")) return a;
  throw Error(ErrorKind::wrong_use,
              fmt::format("{}: say yes, no or unknown, not \"{}\".", option, text));
}

int run_add(const JobBookArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  BoardPhoto photo;
  photo.role = a.role;
  photo.side = a.side == "back" ? Side::back : Side::front;
  const DecodeOptions decode;
  // Everything is read before anything is stored: a bad photo among good ones stores none.
  std::vector<std::pair<Bytes, BoardPhoto>> read;
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

int run_list(const JobBookArguments& a, Session& s) {
  const JobBook book = opened(a, Open::read_only);
  json rows = json::array();
  for (const QueueRow& r : queue_of(book)) {
    if (a.prints_json)
      rows.push_back({{"unit", r.unit},
                      {"name", r.name},
                      {"state", r.state},
                      {"received_on", r.received_on},
                      {"reason", r.reason},
                      {"next_step", r.next_step}});
    else
      s.out << fmt::format("{:<12} {:<10} {:<16} {:<28} {}{}\n", r.unit, r.received_on, r.state,
                           r.name, r.next_step, r.reason.empty() ? "" : " (" + r.reason + ")");
  }
  if (a.prints_json)
    s.out << json{{"format", "verdigrid-queue"}, {"version", 1}, {"units", rows}}.dump(1) << '\n';
  return 0;
}

int run_show(const JobBookArguments& a, Session& s) {
  const JobBook book = opened(a, Open::read_only);
  const Record r = book.get(a.id);
  s.out << fmt::format("{} ({}), made {}\n{}\n", r.id, r.kind, r.made_at, r.body.dump(2));
  if (r.kind == "unit")
    for (const std::string& caution : cautions(unit_from(r.body)))
      s.messages << "Caution: " << caution << '\n';
  for (const Record& child : book.children(a.id))
    s.out << fmt::format("  {} ({})\n", child.id, child.kind);
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
  const Imported i = import_unit(book, a.folder);
  s.out << fmt::format("{}: {} new records, {} known already, {} photos\n", i.unit, i.new_records,
                       i.known_records, i.files);
  return 0;
}

int run_kit(const JobBookArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  if (book.get(a.id).kind != "unit")
    throw Error(ErrorKind::wrong_use, fmt::format("{}: is no unit. Name a unit.", a.id));
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
  const Unit unit = unit_from(book.get(a.id).body);
  for (const Record& k : book.children(a.id, "kit")) kit.push_back(kit_item_from(k.body));
  write_file(a.folder, intake_sheet_pdf(unit, a.id, kit));
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
    const BoardPhoto kept = board_photo_from(p.body);
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

using Run = int (*)(const JobBookArguments&, Session&);

struct Part {
  const char* name;
  const char* summary;
  void (*set_up)(CLI::App&, const Values&);
  Run run;
};

void add_nothing(CLI::App&, const Values&) {}

void add_id(CLI::App& app, const Values& v) {
  app.add_option("ID", v->id, "Its id, as 'jobbook list' and 'show' give it")->required();
}

void add_folder(CLI::App& app, const Values& v) {
  app.add_option("FOLDER", v->folder, "The folder to write or read")->required();
}

void add_id_and_folder(CLI::App& app, const Values& v) {
  add_id(app, v);
  add_folder(app, v);
}

void add_answer(CLI::App& app, const Values& v, const char* option, Answer3 Unit::*field,
                const char* what) {
  app.add_option_function<std::string>(
         option,
         [v, option, field](const std::string& text) {
           v->unit.*field = answer_from(option, text);
         },
         what)
      ->type_name("yes|no|unknown");
}

void add_battery_answer(CLI::App& app, const Values& v, const char* option, Answer3 Battery::*field,
                        const char* what) {
  app.add_option_function<std::string>(
         option,
         [v, option, field](const std::string& text) {
           v->unit.battery.*field = answer_from(option, text);
         },
         what)
      ->type_name("yes|no|unknown");
}

void add_receiving(CLI::App& app, const Values& v) {
  Unit& u = v->unit;
  add_battery_answer(app, v, "--battery", &Battery::fitted, "Is a battery fitted? (asked first)");
  app.add_option("--battery-kind", u.battery.kind, "Its kind, as printed");
  add_battery_answer(app, v, "--leaking", &Battery::leaking, "Does it leak?");
  add_battery_answer(app, v, "--keeps-data", &Battery::keeps_data,
                     "Does it keep calibration, keys or settings alive?");
  app.add_option("--name", u.name, "What the unit is, in words")->required();
  app.add_option("--entry-number", u.entry_number, "Number of the entry record");
  app.add_option("--received-on", u.received_on, "Date, YYYY-MM-DD");
  app.add_option("--owner", u.owner, "Name of the owner");
  app.add_option("--owner-contact", u.owner_contact, "How to reach the owner");
  app.add_option("--condition", u.condition, "Condition in short");
  app.add_option("--completeness", u.completeness, "What is there and what is missing");
  app.add_option("--description", u.description, "Short description");
  app.add_option("--reason", u.reason, "Why it came");
  app.add_option("--requirements", u.requirements, "What the owner wants");
  app.add_option("--return-on", u.return_on, "Agreed return date");
  app.add_option("--location", u.location, "Where it stands");
  app.add_option("--make", u.make, "Maker");
  app.add_option("--model", u.model, "Model");
  app.add_option("--serial", u.serial, "Serial number");
  app.add_option("--revision", u.revision, "Board revision");
  app.add_option("--missing-parts", u.missing_parts, "Missing or loose parts");
  app.add_option("--previous-repair", u.previous_repair, "Signs of an earlier repair");
  app.add_option("--smell", u.smell, "What it smells of");
  app.add_option("--mains-voltage", u.mains_voltage, "Mains voltage it is set for");
  app.add_option("--last-known-to-work", u.last_known_to_work, "When it last worked");
  app.add_option("--strip-reading", u.strip_reading, "pH strip reading, where one was taken");
  add_answer(app, v, "--wet", &Unit::wet, "Is it wet?");
  add_answer(app, v, "--picture-tube", &Unit::picture_tube, "Is there a picture tube?");
  add_answer(app, v, "--mains-capacitors", &Unit::mains_capacitors, "Are there mains capacitors?");
  add_answer(app, v, "--nests", &Unit::nests, "Nests or droppings inside?");
  app.add_flag("--supply", u.is_supply, "It is a power supply: a unit of its own");
}

void add_photos(CLI::App& app, const Values& v) {
  app.add_option("UNIT", v->id, "Id of the unit")->required();
  app.add_option("PHOTO", v->photos, "Photo files")->required();
  app.add_option("--board", v->board, "Name of the board (default \"board 1\"; made when new)");
  app.add_option("--side", v->side, "front or back")->check(CLI::IsMember({"front", "back"}));
  app.add_option("--role", v->role, "What the photo is: arrival, close-up, after wash, ...")
      ->check(CLI::IsMember(
          std::vector<std::string>(std::begin(k_photo_roles), std::end(k_photo_roles))));
}

void add_kit(CLI::App& app, const Values& v) {
  app.add_option("UNIT", v->id, "Id of the unit")->required();
  app.add_option("--what", v->kit.what, "board, card, supply, drive, panel, cable, ...")
      ->required();
  app.add_option("--name", v->kit.name, "Its name");
  app.add_option("--slot", v->kit.slot, "Where it sat");
  app.add_flag("--looked-at", v->kit.looked_at, "It was looked at already");
}

void add_id_and_file(CLI::App& app, const Values& v) {
  add_id(app, v);
  app.add_option("-o,--out", v->folder, "The PDF to write")->required();
}

void add_json(CLI::App& app, const Values& v) {
  app.add_flag("--json", v->prints_json, "Print as JSON");
}

void add_query(CLI::App& app, const Values& v) {
  app.add_option("WORDS", v->query.text, "Beginnings of words, in one argument");
  app.add_option("--state", v->query.state, "State of the unit");
  app.add_option("--class", v->query.residue, "Residue class found");
  app.add_option("--zone", v->query.zone, "Zone or square with a finding");
  app.add_option("--part", v->query.part, "Part reached");
}

void add_export(CLI::App& app, const Values& v) {
  add_id_and_folder(app, v);
  app.add_flag("--with-owner", v->with_owner,
               "Keep the owner's data and the photos' private metadata in it");
}

constexpr Part k_parts[] = {
    {"init", "Make a new job book", add_nothing, run_init},
    {"receive", "Log a unit that came in", add_receiving, run_receive},
    {"add", "Keep photos of a unit's board", add_photos, run_add},
    {"list", "Today's queue, most urgent first", add_json, run_list},
    {"show", "One record and what belongs to it", add_id, run_show},
    {"kit", "Add a piece of a unit's kit", add_kit, run_kit},
    {"intake", "Write the intake sheet of a unit (PDF)", add_id_and_file, run_intake},
    {"inbox", "File a folder of photos by the tags photographed before them", add_folder,
     run_inbox},
    {"again", "Survey a unit's photos again, keeping the earlier results", add_id, run_again},
    {"search", "Find records by words, state, class, zone or part", add_query, run_search},
    {"history", "Who changed what and when", add_id, run_history},
    {"undo", "Take the last change back", add_nothing, run_undo},
    {"check", "Read everything and name what is damaged", add_nothing, run_check},
    {"backup", "Copy the whole job book to a new folder", add_folder, run_backup},
    {"export", "Hand over one unit as a folder", add_export, run_export},
    {"import", "Take in a unit's folder", add_folder, run_import},
    {"forget-owner", "Remove a unit's owner data, measurements stay", add_id, run_forget},
};

}  // namespace

CommandRun jobbook_command(CLI::App& arguments) {
  const auto values = std::make_shared<JobBookArguments>();
  const auto chosen = std::make_shared<Run>(nullptr);
  arguments.require_subcommand(1);
  for (const Part& part : k_parts) {
    CLI::App* app = arguments.add_subcommand(part.name, part.summary);
    app->add_option("JOBBOOK", values->book, "Folder of the job book")->required();
    app->add_option("--who", values->who,
                    "Name that signs the change (default: the one in the settings)");
    part.set_up(*app, values);
    app->callback([chosen, run = part.run] { *chosen = run; });
  }
  return [values, chosen](Session& session) { return (*chosen)(*values, session); };
}

}  // namespace verdigrid
