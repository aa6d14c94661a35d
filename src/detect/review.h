// Review: what people answered about one photo and changed by hand, kept beside its survey and
// never inside it, as JSON (format "verdigrid-review", version 2, schema
// assets/schema/review.schema.json; version 1 had no changes by hand and is read too).
//
// Answers and edits are ordered: dropping the last undoes it, replaying them on the same photo
// gives the same map. Each answer keeps some of its superpixels' features, so that it can teach
// other photos of the same board, type or light. Loading throws Error{bad_input} for what is no
// review, Error{storage} for a newer version. May be called from any thread.
#pragma once

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "detect/guided_look.h"
#include "detect/map_edit.h"

namespace verdigrid {

struct ReviewAnswer {
  Answer answer;
  std::vector<Lesson> lessons;  // at most k_lessons_of_an_answer
};

struct Review {
  std::string photo_name, photo_sha256;
  cv::Size photo_size_px;
  std::string detector_id;   // that made the automatic map
  int features_version = 0;  // k_look_features_version when written
  std::vector<ReviewAnswer> answers;
  std::vector<MapEdit> edits;

  std::vector<Answer> plain_answers() const;
};

inline constexpr int k_lessons_of_an_answer = 12;

Review review_of(const Photo& photo, const std::string& detector_id, const LookBase& base,
                 const std::vector<Answer>& answers, const std::vector<MapEdit>& edits = {});

// One edit as it stands in a review file, and back; throws Error{bad_input} as check() does.
nlohmann::json edit_json(const MapEdit& edit);
MapEdit edit_from_json(const nlohmann::json& j, const std::string& name);

std::string review_json(const Review& review);
Review review_from_json(std::string_view text, const std::string& name);

void save_review(const std::filesystem::path& path, const Review& review);
Review load_review(const std::filesystem::path& path);

// Answers are replayed only on the photo they were given for. Throws Error{bad_input} otherwise.
void check_fits(const Review& review, const Photo& photo, const std::string& name);

// What the review teaches other photos. Empty when its features are of another version.
std::vector<Lesson> lessons_of(const Review& review);

}  // namespace verdigrid
