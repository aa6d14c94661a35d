// Which detector a survey uses: the trained one with its model, or the first method.
#pragma once

#include <filesystem>

#include "cli/session.h"
#include "detect/trained_detector.h"

namespace CLI {
class App;
}

namespace verdigrid {

struct DetectorArguments {
  enum class Choice { trained, first_method };
  Choice choice = Choice::trained;
  std::filesystem::path model;        // empty: models/residue.json of the data folders
  std::filesystem::path data_folder;  // of --data; empty: none
};

// --setting: how much is flagged.
void add_setting_argument(CLI::App& arguments, Setting& into);

// --detector, --model, --data.
void add_detector_arguments(CLI::App& arguments, DetectorArguments& into);

// A model that was named must be usable (throws Error as trained_detector); without one the first
// method stands in for a missing or damaged one, and the remark says so.
ChosenDetector detector_by(const DetectorArguments& arguments);

// The detector of a run that may survey several photos, or none: read when it is first wanted, and
// its remark is said once.
class RunDetector {
 public:
  RunDetector(const DetectorArguments& arguments, Session& session)
      : arguments_(arguments), session_(session) {}
  const Detector& get();

 private:
  const DetectorArguments& arguments_;
  Session& session_;
  ChosenDetector chosen_;
};

}  // namespace verdigrid
