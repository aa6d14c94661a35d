#include "cli/plan_arguments.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/error.h"
#include "cli/values.h"

namespace verdigrid {

namespace {

// "2/4/10": low, likely, high.
Triple triple_from(const std::string& option, const std::string& text) {
  const size_t a = text.find('/'), b = text.find('/', a == std::string::npos ? a : a + 1);
  if (a == std::string::npos || b == std::string::npos)
    throw Error(
        ErrorKind::wrong_use,
        fmt::format("{}: write low, likely and high minutes as 2/4/10, not \"{}\".", option, text));
  return {number_from(option, text.substr(0, a)),
          number_from(option, text.substr(a + 1, b - a - 1)),
          number_from(option, text.substr(b + 1))};
}

void add_number(CLI::App& app, const char* option, std::optional<double>& into, const char* help) {
  app.add_option_function<std::string>(
         option, [&into, option](const std::string& text) { into = number_from(option, text); },
         help)
      ->type_name("NUMBER");
}

void add_yes_or_no(CLI::App& app, const char* option, std::optional<bool>& into, const char* help) {
  app.add_option_function<std::string>(
         option, [&into](const std::string& text) { into = text == "yes"; }, help)
      ->check(CLI::IsMember({"yes", "no"}))
      ->type_name("yes|no");
}

void add_text(CLI::App& app, const char* option, std::optional<std::string>& into,
              const char* help) {
  app.add_option_function<std::string>(
         option, [&into](const std::string& text) { into = text; }, help)
      ->type_name("TEXT");
}

void add_json(CLI::App& app, PlanArguments& into) {
  app.add_flag("--json", into.prints_json, "Print as JSON");
}

void add_rates(CLI::App& app, PlanArguments& into) {
  app.add_option("--rates", into.rates,
                 "Your rate table ('verdigrid rates init'); default: the starting values")
      ->type_name("FILE");
}

// What both adding and editing may say of an item.
void add_item_values(CLI::App& app, PlanArguments& into) {
  add_text(app, "--what", into.change.what, "What is to be done, in words");
  add_text(app, "--place", into.change.place, "Work area or square; empty: the whole board");
  add_text(app, "--reason", into.change.reason, "Why");
  add_number(app, "--quantity", into.change.quantity, "How many pieces");
  add_yes_or_no(app, "--damaged", into.change.damaged, "Corroded or black joints?");
  add_yes_or_no(app, "--offered", into.change.optional, "Only offered, not counted?");
  app.add_option_function<std::string>(
         "--minutes",
         [&into](const std::string& text) { into.change.minutes = triple_from("--minutes", text); },
         "Minutes per piece of its own: low/likely/high")
      ->type_name("L/M/H");
  add_number(app, "--waiting", into.change.waiting_min, "Elapsed minutes of waiting");
}

}  // namespace

std::vector<std::filesystem::path> PlanArguments::folders() const {
  std::vector<std::filesystem::path> all{place.target};
  if (!back.empty()) all.push_back(back);
  return all;
}

WorkItem PlanArguments::new_item() const {
  const auto o = operation_named(operation);
  if (!o)
    throw Error(ErrorKind::wrong_use,
                fmt::format("--operation: \"{}\" is none; 'verdigrid rates show' lists them, "
                            "\"other\" takes minutes of its own.",
                            operation));
  WorkItem w;
  w.operation = *o;
  w.stage = facts(*o).stage;
  w.what = change.what.value_or(*o == Operation::other ? "" : facts(*o).words);
  w.place = change.place.value_or("");
  w.reason = change.reason.value_or("added by hand");
  w.side = side == "back" ? Side::back : Side::front;
  for (const std::string& p : parts) w.parts.push_back({p, PartKind::unknown, "", "", "", ""});
  w.quantity = change.quantity.value_or(parts.empty() ? 1.0 : static_cast<double>(parts.size()));
  w.damaged = change.damaged.value_or(false);
  w.optional = change.optional.value_or(false);
  w.minutes = change.minutes;
  w.waiting_min = change.waiting_min;
  return w;
}

ItemEdit PlanArguments::edit() const {
  const ItemEdit& e = change;
  if (!e.what && !e.place && !e.reason && !e.quantity && !e.damaged && !e.optional && !e.minutes &&
      !e.waiting_min)
    throw Error(ErrorKind::wrong_use,
                "Say what to change: --what, --place, --quantity, --damaged, --offered, --minutes, "
                "--waiting or --reason.");
  return e;
}

void add_make_arguments(CLI::App& app, PlanArguments& into) {
  add_plan_place(app, into.place, false);
  app.add_option("--back", into.back, "Survey folder of the other side")->type_name("FOLDER");
  add_rates(app, into);
  app.add_option("--layout", into.layout,
                 "Layout the survey was made with: adds values, ratings and neighbours")
      ->type_name("FILE");
  app.add_option(
         "--review,--answers", into.review,
         "What people answered and changed (default: review.json of the survey folder; with "
         "--jobbook the work kept with the photo)")
      ->type_name("FILE");
  app.add_option("--photo", into.photo,
                 "The surveyed photo, when a review is taken in and it does not lie beside the "
                 "survey")
      ->type_name("FILE");
  app.add_option_function<std::string>(
         "--least-confidence",
         [&into](const std::string& text) {
           into.least_confidence = number_from("--least-confidence", text);
         },
         "Leave findings below this confidence out, 0 to 1 (default 0)")
      ->type_name("SHARE");
  app.add_option("-o,--out", into.out, "Write the plan here (default: beside the survey folder)")
      ->type_name("FILE");
  app.add_flag("--replace", into.may_replace, "Replace a plan that is there already");
  add_json(app, into);
  add_known_arguments(app, into.known);
}

void add_sheet_arguments(CLI::App& app, PlanArguments& into) {
  add_plan_place(app, into.place, true);
  app.add_option("--back", into.back, "Survey folder of the other side")->type_name("FOLDER");
  app.add_option("--layout", into.layout, "Layout the survey was made with: draws zones and parts")
      ->type_name("FILE");
  add_new_file_argument(app, into.sheet, "Work sheet to write, ending in .pdf");
}

void add_show_arguments(CLI::App& app, PlanArguments& into) {
  add_plan_place(app, into.place, true);
  add_json(app, into);
}

void add_tell_arguments(CLI::App& app, PlanArguments& into) {
  add_plan_place(app, into.place, true);
  add_rates(app, into);
  add_json(app, into);
  add_known_arguments(app, into.known);
}

void add_item_arguments(CLI::App& app, PlanArguments& into) {
  add_plan_place(app, into.place, true);
  app.add_option("ITEM", into.item, "Work item, as W3")->required()->type_name("");
}

void add_tick_arguments(CLI::App& app, PlanArguments& into) {
  add_item_arguments(app, into);
  add_number(app, "--minutes", into.minutes, "Hands-on minutes it took");
  app.add_option("--on", into.on, "Date, YYYY-MM-DD (default: today)")->type_name("DATE");
}

void add_actual_arguments(CLI::App& app, PlanArguments& into) {
  add_item_arguments(app, into);
  app.add_option_function<std::string>(
         "MINUTES",
         [&into](const std::string& text) { into.minutes = number_from("MINUTES", text); },
         "Hands-on minutes it took")
      ->required()
      ->type_name("");
}

void add_add_arguments(CLI::App& app, PlanArguments& into) {
  add_plan_place(app, into.place, true);
  app.add_option("--operation", into.operation,
                 "Operation, as 'verdigrid rates show' lists them, or other")
      ->required()
      ->type_name("NAME");
  app.add_option("--part", into.parts, "Designator of a part; may be given several times")
      ->type_name("NAME")
      ->expected(1)
      ->take_all();
  app.add_option("--side", into.side, "front or back")->check(CLI::IsMember({"front", "back"}));
  add_item_values(app, into);
}

void add_edit_arguments(CLI::App& app, PlanArguments& into) {
  add_item_arguments(app, into);
  add_item_values(app, into);
}

void add_merge_arguments(CLI::App& app, PlanArguments& into) {
  add_plan_place(app, into.place, true);
  app.add_option("ITEMS", into.items, "Two work items or more")->required()->type_name("");
}

void add_split_arguments(CLI::App& app, PlanArguments& into) {
  add_item_arguments(app, into);
  add_number(app, "--quantity", into.quantity, "How much to split off");
  app.add_option("--part", into.parts, "Designator to split off; may be given several times")
      ->type_name("NAME")
      ->expected(1)
      ->take_all();
}

}  // namespace verdigrid
