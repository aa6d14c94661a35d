// verdigrid jobbook ...: receive units, keep their photos, find them again. What each subcommand
// takes; what it does is in jobbook_runs.h.

#include <CLI/CLI.hpp>

#include "cli/command.h"
#include "cli/jobbook_runs.h"
#include "cli/nested.h"
#include "jobbook/entities.h"

namespace verdigrid {

namespace {

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
    {"init", "Make a new job book", add_book, jobbook_init},
    {"receive", "Log a unit that came in", in_book<add_receiving>, jobbook_receive},
    {"change", "Correct or sign what was logged of a unit", in_book<add_change>, jobbook_change},
    {"add", "Keep photos of a unit's board", in_book<add_photos>, jobbook_add},
    {"list", "Today's queue, most urgent first", in_book<add_json>, jobbook_list},
    {"show", "One record and what belongs to it", in_book<add_id>, jobbook_show},
    {"kit", "Add a piece of a unit's kit", in_book<add_kit>, jobbook_kit},
    {"intake", "Write the intake sheet of a unit (PDF)", in_book<add_id_and_file>, jobbook_intake},
    {"inbox", "File a folder of photos by the tags photographed before them", in_book<add_folder>,
     jobbook_inbox},
    {"again", "Survey a unit's photos again, keeping the earlier results", in_book<add_id>,
     jobbook_again},
    {"search", "Find records by words, state, class, zone or part", in_book<add_query>,
     jobbook_search},
    {"sign-as", "Keep the name that signs changes", add_name, jobbook_sign_as},
    {"history", "Who changed what and when", in_book<add_id>, jobbook_history},
    {"undo", "Take the last change back", add_book, jobbook_undo},
    {"check", "Read everything and name what is damaged", add_book, jobbook_check},
    {"backup", "Copy the whole job book to a new folder", in_book<add_folder>, jobbook_backup},
    {"export", "Hand over one unit as a folder", in_book<add_export>, jobbook_export},
    {"import", "Take in a unit's folder", in_book<add_folder>, jobbook_import},
    {"forget-owner", "Remove a unit's owner data, measurements stay", in_book<add_id>,
     jobbook_forget},
};

}  // namespace

CommandRun jobbook_command(CLI::App& arguments) {
  return nested_command<JobBookArguments>(arguments, k_table);
}

}  // namespace verdigrid
