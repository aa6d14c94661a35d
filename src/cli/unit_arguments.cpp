#include "cli/unit_arguments.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/error.h"

namespace verdigrid {

namespace {

struct TextField {
  const char* option;
  std::string Unit::*field;
  const char* what;
};

constexpr TextField k_texts[] = {
    {"--entry-number", &Unit::entry_number, "Number of the entry record"},
    {"--received-on", &Unit::received_on, "Date, YYYY-MM-DD"},
    {"--owner", &Unit::owner, "Name of the owner"},
    {"--owner-contact", &Unit::owner_contact, "How to reach the owner"},
    {"--condition", &Unit::condition, "Condition in short"},
    {"--completeness", &Unit::completeness, "What is there and what is missing"},
    {"--description", &Unit::description, "Short description"},
    {"--reason", &Unit::reason, "Why it came"},
    {"--requirements", &Unit::requirements, "What the owner wants"},
    {"--return-on", &Unit::return_on, "Agreed return date"},
    {"--location", &Unit::location, "Where it stands"},
    {"--make", &Unit::make, "Maker"},
    {"--model", &Unit::model, "Model"},
    {"--serial", &Unit::serial, "Serial number"},
    {"--revision", &Unit::revision, "Board revision"},
    {"--missing-parts", &Unit::missing_parts, "Missing or loose parts"},
    {"--previous-repair", &Unit::previous_repair, "Signs of an earlier repair"},
    {"--smell", &Unit::smell, "What it smells of"},
    {"--mains-voltage", &Unit::mains_voltage, "Mains voltage it is set for"},
    {"--last-known-to-work", &Unit::last_known_to_work, "When it last worked"},
    {"--strip-reading", &Unit::strip_reading, "pH strip reading, where one was taken"},
};

struct Question {
  const char* option;
  Answer3 Unit::*field;
  const char* what;
};

constexpr Question k_questions[] = {
    {"--wet", &Unit::wet, "Is it wet?"},
    {"--picture-tube", &Unit::picture_tube, "Is there a picture tube?"},
    {"--mains-capacitors", &Unit::mains_capacitors, "Are there mains capacitors?"},
    {"--nests", &Unit::nests, "Nests or droppings inside?"},
};

struct BatteryQuestion {
  const char* option;
  Answer3 Battery::*field;
  const char* what;
};

constexpr BatteryQuestion k_battery_questions[] = {
    {"--battery", &Battery::fitted, "Is a battery fitted? (asked first)"},
    {"--leaking", &Battery::leaking, "Does it leak?"},
    {"--keeps-data", &Battery::keeps_data, "Does it keep calibration, keys or settings alive?"},
};

Answer3 answer_from(const std::string& option, const std::string& text) {
  for (const Answer3 a : {Answer3::yes, Answer3::no, Answer3::unknown})
    if (text == name(a) || (a == Answer3::unknown && text == "unknown")) return a;
  throw Error(ErrorKind::wrong_use,
              fmt::format("{}: say yes, no or unknown, not \"{}\".", option, text));
}

template <class Set>
CLI::Option* add_text(CLI::App& app, UnitEdits& edits, const char* option, const char* what,
                      Set set) {
  return app.add_option_function<std::string>(
      option, [&edits, set](const std::string& text) { edits.add([=](Unit& u) { set(u, text); }); },
      what);
}

template <class Set>
void add_answer(CLI::App& app, UnitEdits& edits, const char* option, const char* what, Set set) {
  app.add_option_function<std::string>(
         option,
         [&edits, option, set](const std::string& text) {
           const Answer3 answer = answer_from(option, text);
           edits.add([=](Unit& u) { set(u, answer); });
         },
         what)
      ->type_name("yes|no|unknown");
}

}  // namespace

void add_unit_arguments(CLI::App& app, UnitEdits& edits, bool is_name_required) {
  for (const BatteryQuestion& q : k_battery_questions)
    add_answer(app, edits, q.option, q.what,
               [field = q.field](Unit& u, Answer3 a) { u.battery.*field = a; });
  add_text(app, edits, "--battery-kind", "Its kind, as printed",
           [](Unit& u, const std::string& text) { u.battery.kind = text; });
  add_text(app, edits, "--data-kept", "What the battery keeps alive, in words",
           [](Unit& u, const std::string& text) { u.battery.data_kept = text; });
  add_text(app, edits, "--name", "What the unit is, in words",
           [](Unit& u, const std::string& text) { u.name = text; })
      ->required(is_name_required);
  for (const TextField& f : k_texts)
    add_text(app, edits, f.option, f.what,
             [field = f.field](Unit& u, const std::string& text) { u.*field = text; });
  for (const Question& q : k_questions)
    add_answer(app, edits, q.option, q.what,
               [field = q.field](Unit& u, Answer3 a) { u.*field = a; });
  app.add_flag_callback(
      "--supply", [&edits] { edits.add([](Unit& u) { u.is_supply = true; }); },
      "It is a power supply: a unit of its own");
}

}  // namespace verdigrid
