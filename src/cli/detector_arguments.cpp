#include "cli/detector_arguments.h"

#include <CLI/CLI.hpp>

#include "base/data_files.h"

namespace verdigrid {

namespace {

constexpr char k_model[] = "models/residue.json";

}  // namespace

void add_setting_argument(CLI::App& arguments, Setting& into) {
  arguments
      .add_option_function<std::string>(
          "--setting",
          [&into](const std::string& word) {
            for (const Setting s : {Setting::show_less, Setting::normal, Setting::show_more})
              if (word == name(s)) into = s;
          },
          "How much is flagged: show-less, normal (default) or show-more")
      ->check(CLI::IsMember(
          {name(Setting::show_less), name(Setting::normal), name(Setting::show_more)}))
      ->type_name("SETTING");
}

void add_detector_arguments(CLI::App& arguments, DetectorArguments& into) {
  arguments
      .add_option_function<std::string>(
          "--detector",
          [&into](const std::string& word) {
            into.choice = word == "trained" ? DetectorArguments::Choice::trained
                                            : DetectorArguments::Choice::first_method;
          },
          "What flags the residue: trained (default) or first-method, colour and texture only")
      ->check(CLI::IsMember({"trained", "first-method"}))
      ->type_name("DETECTOR");
  arguments.add_option("--model", into.model, "Model file of the trained detector")
      ->type_name("FILE");
  arguments
      .add_option("--data", into.data_folder,
                  "Folder that holds models and assets, if they "
                  "do not lie beside the program")
      ->type_name("FOLDER");
}

ChosenDetector detector_by(const DetectorArguments& arguments) {
  if (arguments.choice == DetectorArguments::Choice::first_method) return {first_method(), {}};
  if (!arguments.model.empty()) return {trained_detector(arguments.model), {}};
  const DataFiles data(arguments.data_folder);
  // Never one of the folder that the program happens to be started in.
  const auto beside = data.folders().empty() ? "/" : data.folders().front();
  return chosen_detector(data.find(k_model).value_or(beside / k_model));
}

const Detector& RunDetector::get() {
  if (!chosen_.detector) {
    chosen_ = detector_by(arguments_);
    if (!chosen_.remark.empty()) session_.messages << chosen_.remark << '\n';
  }
  return *chosen_.detector;
}

}  // namespace verdigrid
