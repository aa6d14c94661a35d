#include "cli/known_arguments.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/error.h"
#include "cli/values.h"

namespace verdigrid {

namespace {

constexpr const char* k_told = "Answers (yes, no or unknown)";
constexpr const char* k_values = "What is known";

Told told_from(const std::string& option, const std::string& text) {
  if (text == "unknown") return Told::not_known;
  if (const auto told = told_named(text)) return *told;
  throw Error(ErrorKind::wrong_use,
              fmt::format("{}: say yes, no or unknown, not \"{}\".", option, text));
}

double in_range(const std::string& option, const std::string& text, double low, double high) {
  const double v = number_from(option, text);
  if (!(v >= low && v <= high))
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: {} is not between {:g} and {:g}.", option, text, low, high));
  return v;
}

// "C3=9.5", or "9.5" for the whole board.
StripReading strip_from(const std::string& option, const std::string& text, bool after_rinse) {
  const size_t at = text.rfind('=');
  StripReading s;
  s.after_rinse = after_rinse;
  if (at != std::string::npos) s.place = text.substr(0, at);
  s.ph = in_range(option, at == std::string::npos ? text : text.substr(at + 1), 0, 14);
  return s;
}

class Adder {
 public:
  Adder(CLI::App& app, KnownArguments& into) : app_(app), into_(into) {}

  void answer(const char* option, Told Known::*field, const char* help) {
    add(option, help, "yes|no", k_told, [option, field](const std::string& text) {
      return [field, told = told_from(option, text)](Known& k) { k.*field = told; };
    });
  }
  void etch(const char* option, Told EtchReading::*field, const char* help) {
    add(option, help, "yes|no", k_told, [option, field](const std::string& text) {
      return [field, told = told_from(option, text)](Known& k) { k.etch.*field = told; };
    });
  }
  void etch(const char* option, std::optional<double> EtchReading::*field, double most,
            const char* help) {
    add(option, help, "NUMBER", k_values, [option, field, most](const std::string& text) {
      return [field, v = in_range(option, text, 0, most)](Known& k) { k.etch.*field = v; };
    });
  }
  void strip(const char* option, bool after_rinse, const char* help) {
    add(option, help, "[PLACE=]PH", k_values, [option, after_rinse](const std::string& text) {
      return [s = strip_from(option, text, after_rinse)](Known& k) { k.strips.push_back(s); };
    });
  }
  template <class E>
  void word(const char* option, E Known::*field, std::optional<E> (*named)(std::string_view),
            const std::string& choices, const char* help) {
    add(option, fmt::format("{}: {}", help, choices), "KIND", k_values,
        [=](const std::string& text) {
          const auto value = named(text == "unknown" ? "not known" : text);
          if (!value)
            throw Error(ErrorKind::wrong_use,
                        fmt::format("{}: \"{}\" is none of {}, unknown.", option, text, choices));
          return [field, v = *value](Known& k) { k.*field = v; };
        });
  }
  template <class Made>
  void add(const char* option, const std::string& help, const char* type, const char* group,
           const Made& made) {
    app_.add_option_function<std::vector<std::string>>(
            option,
            [this_into = &into_, made](const std::vector<std::string>& texts) {
              for (const std::string& text : texts) this_into->given.push_back(made(text));
            },
            help)
        ->type_name(type)
        ->group(group)
        ->take_all()
        ->expected(1);
  }

 private:
  CLI::App& app_;
  KnownArguments& into_;
};

std::string battery_choices() {
  const auto& names = battery_kind_names();
  return fmt::format("{}", fmt::join(names.begin() + 1, names.end(), ", "));
}

void add_leak(Adder& add) {
  add.word("--leak-from", &Known::leak_from, leak_source_named, "battery, capacitor, both",
           "What leaked");
  add.word("--battery", &Known::battery, battery_kind_named, battery_choices(), "Kind of battery");
  add.word("--battery-data", &Known::battery_data, battery_data_named,
           "nothing, kept, maybe, settled (saved, or the owner accepts the loss)",
           "What the battery keeps alive");
  add.word("--fluid", &Known::fluid, capacitor_fluid_named, "glycol-borate, quaternary",
           "Electrolyte of leaked electrolytics (older or high-voltage; small surface-mount of "
           "about 1990)");
  add.strip("--strip", false, "pH of a wetted strip before any cleaner, of one place or the board");
  add.strip("--strip-after", true, "The same after the rinse");
  add.answer("--battery-fitted", &Known::battery_fitted, "Is a battery fitted?");
  add.answer("--battery-leaking", &Known::battery_leaking, "Does it leak?");
  add.answer("--fresh", &Known::leak_is_fresh, "Is the leak fresh or wet?");
  add.answer("--hissing", &Known::hissing_or_smell, "Does a cell hiss or smell?");
  add.answer("--wet", &Known::wet, "Is the board wet?");
  add.answer("--alcohol", &Known::alcohol_on_board, "Is alcohol on the board?");
}

void add_dangers(Adder& add) {
  add.answer("--above-50v", &Known::above_50_v, "Does anything on it go above 50 V?");
  add.answer("--picture-tube", &Known::picture_tube, "Is there a picture tube?");
  add.answer("--mains-capacitors", &Known::mains_capacitors, "Are there mains capacitors?");
  add.answer("--suppression", &Known::mains_suppression,
             "Are there old suppression capacitors across the mains?");
  add.answer("--nests", &Known::nests, "Nests or droppings?");
  add.answer("--white-ceramic", &Known::white_ceramic, "White ceramic power parts?");
  add.answer("--oil-cans", &Known::oil_cans, "Oil-filled cans?");
  add.answer("--dials", &Known::glowing_dials, "Glowing dials?");
  std::vector<std::string> names;
  for (int i = 0; i < k_bath_harm_count; ++i) names.emplace_back(name(static_cast<BathHarm>(i)));
  add.add("--bath",
          fmt::format("Is a part fitted that an ultrasonic bath harms, KIND=yes|no: {}",
                      fmt::join(names, ", ")),
          "KIND=yes|no", k_values, [](const std::string& text) {
            const size_t at = text.find('=');
            const auto harm = bath_harm_named(text.substr(0, at));
            if (!harm || at == std::string::npos)
              throw Error(ErrorKind::wrong_use,
                          fmt::format("--bath: \"{}\" is no KIND=yes|no; 'verdigrid help plan' "
                                      "lists the kinds.",
                                      text));
            return [harm = *harm, told = told_from("--bath", text.substr(at + 1))](Known& k) {
              k.bath_harms[static_cast<size_t>(harm)] = told;
            };
          });
}

void add_worth(Adder& add) {
  add.answer("--coated", &Known::coated, "Is the board coated?");
  add.answer("--washed", &Known::washed, "Was it washed?");
  add.answer("--traces-checked", &Known::traces_checked, "Were its traces checked after the wash?");
  add.answer("--spares", &Known::spares_known, "Can spares be had?");
  add.add("--value", "What the board is worth to its owner, in the rate table's money", "MONEY",
          k_values, [](const std::string& text) {
            return [v = in_range("--value", text, 0, 1e9)](Known& k) { k.owner_value = v; };
          });
  add.etch("--etch-width-loss", &EtchReading::width_loss_percent, 100,
           "Worst loss of a conductor's width, percent");
  add.etch("--etch-width-left", &EtchReading::width_left_mm, 1000,
           "Narrowest conductor that is left, mm");
  add.etch("--etch-pad-loss", &EtchReading::pad_loss_percent, 100,
           "Worst loss of a pad's area, percent");
  add.etch("--etch-lifted", &EtchReading::lifted_conductor, "Is a conductor lifted?");
  add.etch("--etch-pit", &EtchReading::pit_into_hole,
           "Does a crack or pit run into a plated hole?");
}

}  // namespace

Known KnownArguments::told(Known known) const {
  for (const auto& tell : given) tell(known);
  return known;
}

void add_known_arguments(CLI::App& arguments, KnownArguments& into) {
  Adder add(arguments, into);
  add_leak(add);
  add_dangers(add);
  add_worth(add);
}

}  // namespace verdigrid
