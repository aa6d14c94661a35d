// Surveys many photos side by side, and goes on where an earlier run was stopped.
//
// One folder for each photo in `out`, named as the item; each appears whole or not at all, so a run
// that was killed redoes only the photos it had not finished. A photo that cannot be surveyed is
// reported and skipped. Memory holds at most one photo for each job.
#pragma once

#include <filesystem>
#include <functional>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "base/work.h"
#include "cli/batch_items.h"
#include "cli/photo_arguments.h"
#include "detect/detector.h"
#include "measure/survey.h"

namespace verdigrid {

struct BatchSettings {
  PhotoArguments photo;  // path, side and board size come from each item
  SurveyOptions survey;
  int jobs = 1;

  // What must be the same for results to lie in one folder: detector, setting, ways to a scale.
  nlohmann::json told(const Detector& detector) const;
};

// Called after each photo, one at a time, on the thread that finished it: a line of
// batch-lines (assets/schema/batch-line.schema.json).
using BatchLine = std::function<void(const nlohmann::json&)>;

// Called for each finished survey, one at a time: where a job book takes it.
using BatchKeep = std::function<void(const BatchItem&, const Survey&)>;

struct BatchCount {
  size_t done = 0, known = 0, refused = 0;  // known: finished by an earlier run
};

// Throws Error{wrong_use} when `out` holds a batch of other settings, Error{interrupted}, and
// Error{storage} when a result cannot be written: then the other jobs stop too.
BatchCount run_batch(const std::vector<BatchItem>& items, const BatchSettings& settings,
                     const Detector& detector, const std::filesystem::path& out,
                     const BatchLine& line, const BatchKeep& keep, const Work& work);

// The line of a photo whose survey lies in `folder`.
nlohmann::json batch_line(const std::string& name, const std::filesystem::path& folder,
                          const std::string& state);

}  // namespace verdigrid
