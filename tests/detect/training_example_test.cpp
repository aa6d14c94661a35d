#include "detect/training_example.h"

#include <catch2/catch.hpp>

using namespace verdigrid;

namespace {

// Pixels x0..x1-1 of rows 10..19.
std::vector<Polygon> box(int x0, int x1) {
  return {{{{x0 - 0.5, 9.5}, {x1 - 0.5, 9.5}, {x1 - 0.5, 19.5}, {x0 - 0.5, 19.5}}, {}}};
}

ReviewAnswer answer(int x0, int x1, AnswerKind kind, std::optional<Residue> residue = {}) {
  return {{box(x0, x1), kind, Asked::shown, residue}, {{{0.5F, 2.0F}, Residue::copper_salt}}};
}

Review review() {
  Review r;
  r.photo_name = "board.jpg";
  r.photo_sha256 = std::string(64, 'a');
  r.photo_size_px = {100, 40};
  r.detector_id = "residue-0";
  r.features_version = 1;
  return r;
}

int at(const Review& r, int x) { return training_labels(r).at<uchar>(15, x); }

}  // namespace

TEST_CASE("only what a person said becomes a training label", "[detect]") {
  Review r = review();
  r.answers = {answer(0, 10, AnswerKind::yes, Residue::white_salt), answer(10, 20, AnswerKind::no),
               answer(20, 30, AnswerKind::yes), answer(30, 40, AnswerKind::not_sure),
               answer(40, 50, AnswerKind::yes, Residue::unsure)};
  CHECK(at(r, 5) == static_cast<int>(Residue::white_salt));
  CHECK(at(r, 15) == 0);
  for (const int x : {25, 35, 45, 60}) CHECK(at(r, x) == k_unanswered);
  CHECK(training_labels(r).at<uchar>(5, 5) == k_unanswered);
  CHECK(training_labels(r).size() == r.photo_size_px);
}

TEST_CASE("training labels follow answers and changes by hand in their order", "[detect]") {
  Review r = review();
  r.answers = {answer(0, 20, AnswerKind::yes, Residue::rust), answer(10, 15, AnswerKind::no)};
  r.edits = {{EditKind::draw, box(10, 30), {}, Residue::leak_film, 1},
             {EditKind::erase, box(25, 30), {}, {}, 2},
             {EditKind::relabel, box(0, 5), {}, Residue::copper_salt, 2},
             {EditKind::relabel, box(25, 40), {}, Residue::copper_salt, 2}};
  CHECK(at(r, 2) == static_cast<int>(Residue::copper_salt));  // relabelled
  CHECK(at(r, 7) == static_cast<int>(Residue::rust));
  CHECK(at(r, 12) == 0);  // answered after it was drawn over
  CHECK(at(r, 17) == static_cast<int>(Residue::leak_film));
  CHECK(at(r, 27) == 0);  // erased; a relabel finds nothing there
  CHECK(at(r, 35) == k_unanswered);
  r.answers.clear();  // taken back: the edits still stand
  CHECK(at(r, 17) == static_cast<int>(Residue::leak_film));
}

TEST_CASE("a training example names photo, model, answers and features", "[detect]") {
  Review r = review();
  r.answers = {answer(0, 10, AnswerKind::yes, Residue::white_salt)};
  const auto j = nlohmann::json::parse(training_json(r, "photo.jpg", "labels.png", "ab"));
  CHECK(j.at("format") == "verdigrid-training");
  CHECK(j.at("photo").at("file") == "photo.jpg");
  CHECK(j.at("photo").at("sha256") == r.photo_sha256);
  CHECK(j.at("labels").at("sha256") == "ab");
  CHECK(j.at("detector") == "residue-0");
  REQUIRE(j.at("answers").size() == 1);
  CHECK(j.at("answers")[0].at("class") == "white-salt");
  CHECK(j.at("answers")[0].at("lessons")[0].at("features").size() == 2);
}
