#include "detect/guided_look.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "detect/detector.h"
#include "detect/look_features.h"
#include "detect/look_places.h"
#include "detect/regions.h"
#include "detect/review.h"
#include "drawn_board.h"

using namespace verdigrid;

namespace {

// Two salts on the board; the automatic map is silent, so that everything is learnt from answers.
struct Scene {
  test::DrawnBoard board;
  LookBase base;
};

const Scene& scene() {
  static const Scene s = [] {
    Scene made{test::drawn_board(test::Salt::one), {}};
    cv::RNG rng(23);
    test::draw_salt(made.board.photo.bgr, made.board.truth, {560, 540}, rng);
    cv::GaussianBlur(made.board.photo.bgr, made.board.photo.bgr, {5, 5}, 1);
    made.board.photo.meta.sha256 = std::string(64, 'a');
    const cv::Mat silent(made.board.photo.size_px(), CV_8UC1, cv::Scalar(0));
    made.base = look_base(made.board.photo, made.board.rectification, {silent, silent});
    return made;
  }();
  return s;
}

Answer pointed(cv::Point2d from, cv::Point2d to, AnswerKind kind) {
  Answer a{pointed_region(scene().base, {from, to}), kind, Asked::pointed, {}};
  if (kind == AnswerKind::yes) a.residue = Residue::copper_salt;
  return a;
}

double covered(const cv::Mat& labels, cv::Rect where) {
  const cv::Mat truth = scene().board.truth(where);
  return static_cast<double>(cv::countNonZero((labels(where) > 0) & truth)) /
         cv::countNonZero(truth);
}

const cv::Rect k_first(300, 170, 160, 120), k_second(480, 480, 160, 120),
    k_blue_part(630, 160, 130, 40);

bool same(const Look& a, const Look& b) {
  return cv::countNonZero(a.labels != b.labels) == 0 &&
         cv::countNonZero(a.confidence != b.confidence) == 0 && a.places.size() == b.places.size();
}

}  // namespace

TEST_CASE("superpixels cover the board and know their neighbours", "[detect][look]") {
  const auto& s = scene().base.superpixels;
  CHECK(s.count() > 1000);
  long covered_px = 0;
  for (const int n : s.area_px) covered_px += n;
  CHECK(covered_px == scene().base.image.board_px);
  for (int i = 0; i < s.count(); i += 37)
    for (const int j : s.neighbours[static_cast<std::size_t>(i)]) {
      const auto& back = s.neighbours[static_cast<std::size_t>(j)];
      CHECK(std::binary_search(back.begin(), back.end(), i));
    }
}

TEST_CASE("no feature is infinite or not a number", "[detect][look]") {
  CHECK(scene().base.features.cols == k_look_feature_count);
  CHECK(cv::checkRange(scene().base.features));
}

TEST_CASE("pointing at one salt flags it and brings the other one up", "[detect][look]") {
  std::vector<Answer> answers{pointed({365, 225}, {395, 235}, AnswerKind::yes)};
  auto look = look_after(scene().base, answers);
  auto labels = look_map(scene().base, look).labels;
  CHECK(covered(labels, k_first) > 0.5);
  CHECK(cv::countNonZero(labels(k_blue_part)) == 0);
  // Within eight more answers to what is shown the second salt is flagged too, without a class of
  // its own.
  for (int i = 0; i < 8; ++i) {
    REQUIRE_FALSE(look.places.empty());
    Answer a{look.places[0].region_px, AnswerKind::no, Asked::shown, {}};
    const cv::Mat asked = picture_of(a.region_px, scene().board.truth.size(), 1);
    if (cv::countNonZero(asked & scene().board.truth) > 0.3 * cv::countNonZero(asked))
      a.kind = AnswerKind::yes;
    answers.push_back(a);
    look = look_after(scene().base, answers);
  }
  labels = look_map(scene().base, look).labels;
  CHECK(covered(labels, k_second) > 0.3);
  CHECK(cv::countNonZero(labels(k_blue_part)) == 0);
}

TEST_CASE("a no takes its region out and lowers what looks like it", "[detect][look]") {
  const std::vector<Answer> yes{pointed({365, 225}, {395, 235}, AnswerKind::yes),
                                pointed({545, 540}, {560, 540}, AnswerKind::yes)};
  auto answers = yes;
  answers.push_back(pointed({550, 530}, {580, 545}, AnswerKind::no));
  const auto before = look_after(scene().base, yes), after = look_after(scene().base, answers);
  CHECK(cv::mean(after.confidence(k_second))[0] < cv::mean(before.confidence(k_second))[0]);
  const auto labels = look_map(scene().base, after).labels;
  const cv::Mat region = picture_of(answers[2].region_px, labels.size(), 1);
  CHECK(cv::countNonZero(labels & region) == 0);
}

TEST_CASE("dropping the last answer undoes it and replaying gives the same look",
          "[detect][look]") {
  const std::vector<Answer> first{pointed({365, 225}, {395, 235}, AnswerKind::yes)};
  auto both = first;
  both.push_back(pointed({650, 180}, {700, 180}, AnswerKind::no));
  const auto once = look_after(scene().base, first);
  const auto twice = look_after(scene().base, both);
  CHECK_FALSE(same(once, twice));
  both.pop_back();
  CHECK(same(once, look_after(scene().base, both)));
}

TEST_CASE("not sure teaches nothing but is not asked again", "[detect][look]") {
  const std::vector<Answer> first{pointed({365, 225}, {395, 235}, AnswerKind::yes)};
  auto both = first;
  const auto look = look_after(scene().base, first);
  REQUIRE_FALSE(look.places.empty());
  both.push_back({look.places[0].region_px, AnswerKind::not_sure, Asked::shown, {}});
  const auto asked = members_of(scene().base, look.places[0].region_px);
  for (const auto& place : look_after(scene().base, both).places)
    for (const int i : members_of(scene().base, place.region_px))
      CHECK_FALSE(std::binary_search(asked.begin(), asked.end(), i));
}

TEST_CASE("what looks like a place nobody could tell is asked later", "[detect][look]") {
  const LookBase& base = scene().base;
  const auto within = [&](cv::Rect where) {
    return members_of(base, {{{cv::Point2d(where.tl()),
                               {where.br().x + 0.0, where.y + 0.0},
                               cv::Point2d(where.br()),
                               {where.x + 0.0, where.br().y + 0.0}},
                              {}}});
  };
  const cv::Rect salt(345, 205, 70, 50), like_salt(525, 515, 70, 50);
  std::vector<double> p(base.prior.size(), 0);
  for (const cv::Rect where : {salt, like_salt})
    for (const int i : within(where)) p[static_cast<std::size_t>(i)] = 0.5;
  for (const int i : within(k_blue_part)) p[static_cast<std::size_t>(i)] = 0.2;
  const std::vector<Residue> residue(p.size(), Residue::unsure);
  const auto places = [&](const AskedPlaces& asked) {
    return look_places(base, p, residue, asked, LookFor::first_yes, base.superpixels.count());
  };
  const auto lies_in = [&](const LookPlace& place, cv::Rect where) {
    const cv::Mat region = picture_of(place.region_px, scene().board.truth.size(), 1);
    return cv::countNonZero(region(where)) > 0;
  };
  const auto first_in = [&](cv::Rect where, const AskedPlaces& asked) {
    for (const LookPlace& place : places(asked))
      if (lies_in(place, where)) return place.rank;
    return 0;
  };
  // The places on one of two like salts were asked; the blue part looks like neither.
  AskedPlaces sure{std::vector<char>(p.size(), 0), {}}, unsure = sure;
  for (const LookPlace& place : places(sure))
    if (lies_in(place, salt)) {
      unsure.not_sure.push_back(members_of(base, place.region_px));
      for (const int i : unsure.not_sure.back()) unsure.is_asked[static_cast<std::size_t>(i)] = 1;
    }
  sure.is_asked = unsure.is_asked;
  CHECK(first_in(like_salt, sure) < first_in(k_blue_part, sure));
  CHECK(first_in(k_blue_part, unsure) < first_in(like_salt, unsure));
}

TEST_CASE("places are at most as many as asked for, ranked, inside the photo", "[detect][look]") {
  const auto look = look_after(scene().base, {pointed({365, 225}, {395, 235}, AnswerKind::yes)});
  REQUIRE(look.places.size() <= 12);
  const cv::Rect frame({0, 0}, scene().board.photo.size_px());
  for (std::size_t i = 0; i < look.places.size(); ++i) {
    CHECK(look.places[i].rank == static_cast<int>(i) + 1);
    CHECK((look.places[i].crop_px & frame) == look.places[i].crop_px);
    CHECK_FALSE(look.places[i].region_px.empty());
  }
}

TEST_CASE("a look ends by itself once nothing is left above its limit", "[detect][look]") {
  // An automatic map that suspects five blue-green and grey places, none of them real.
  const auto& board = scene().board;
  cv::Mat confidence(board.photo.size_px(), CV_8UC1, cv::Scalar(2));
  for (const cv::Point at : {cv::Point(650, 180), {740, 180}, {250, 440}, {400, 440}, {80, 90}})
    cv::circle(confidence, at, 14, cv::Scalar(200), cv::FILLED);
  const cv::Mat labels(board.photo.size_px(), CV_8UC1, cv::Scalar(0));
  const auto base = look_base(board.photo, board.rectification, {labels, confidence});
  const LookOptions options;
  std::vector<Answer> answers;
  auto look = look_after(base, answers);
  CHECK_FALSE(look.is_finished);
  CHECK(look.nothing_left_above > options.end_unproven_below);
  while (!look.is_finished && answers.size() < 30) {
    REQUIRE_FALSE(look.places.empty());
    answers.push_back({look.places[0].region_px, AnswerKind::no, Asked::shown, {}});
    look = look_after(base, answers);
  }
  CHECK(look.is_finished);
  CHECK(look.nothing_left_above < options.end_unproven_below);
  CHECK(answers.size() >= static_cast<std::size_t>(options.least_shown));
  CHECK(answers.size() <= 15);
}

TEST_CASE("a board of nothing has no places", "[detect][look]") {
  Photo photo;
  photo.bgr = cv::Mat(3, 3, CV_8UC3, cv::Scalar(1, 2, 3));
  Rectification r;
  r.outline_px.outer = {{0, 0}, {1, 0}, {1, 1}};
  const cv::Mat map(3, 3, CV_8UC1, cv::Scalar(0));
  const auto base = look_base(photo, r, {map, map});
  const auto look = look_after(base, {});
  CHECK(look.places.empty());
  CHECK(look.is_finished);
  CHECK(look_map(base, look).labels.size() == cv::Size(3, 3));
}

TEST_CASE("a review reads back bit for bit and replays the same look", "[detect][review]") {
  const std::vector<Answer> answers{pointed({365, 225}, {395, 235}, AnswerKind::yes),
                                    pointed({650, 180}, {700, 180}, AnswerKind::no),
                                    pointed({100, 600}, {120, 600}, AnswerKind::not_sure)};
  const auto review = review_of(scene().board.photo, "first-method 1", scene().base, answers);
  const auto text = review_json(review);
  const auto again = review_from_json(text, "review.json");
  CHECK(review_json(again) == text);
  CHECK(again.detector_id == "first-method 1");
  CHECK(again.answers[0].lessons.size() <= k_lessons_of_an_answer);
  CHECK_FALSE(again.answers[0].lessons.empty());
  CHECK(again.answers[2].lessons.empty());
  CHECK(same(look_after(scene().base, answers), look_after(scene().base, again.plain_answers())));
}

TEST_CASE("lessons of one photo teach another", "[detect][review]") {
  const std::vector<Answer> answers{pointed({365, 225}, {395, 235}, AnswerKind::yes),
                                    pointed({650, 180}, {700, 180}, AnswerKind::no)};
  const auto review = review_of(scene().board.photo, "first-method 1", scene().base, answers);
  const auto other = test::drawn_board(test::Salt::one, 99);
  const cv::Mat silent(other.photo.size_px(), CV_8UC1, cv::Scalar(0));
  const auto base = look_base(other.photo, other.rectification, {silent, silent});
  LookOptions options;
  options.lessons = lessons_of(review);
  REQUIRE_FALSE(options.lessons.empty());
  const auto look = look_after(base, {}, options);
  REQUIRE_FALSE(look.places.empty());
  const cv::Mat asked = picture_of(look.places[0].region_px, other.truth.size(), 1);
  CHECK(cv::countNonZero(asked & other.truth) > 0.3 * cv::countNonZero(asked));
}

TEST_CASE("a review of another photo, version or kind is refused in words", "[detect][review]") {
  auto review = review_of(scene().board.photo, "first-method 1", scene().base, {});
  CHECK_NOTHROW(check_fits(review, scene().board.photo, "review.json"));
  review.photo_sha256 = std::string(64, 'b');
  CHECK_THROWS_WITH(check_fits(review, scene().board.photo, "review.json"),
                    Catch::Contains("another photo"));
  CHECK_THROWS_WITH(review_from_json("{}", "r.json"), Catch::StartsWith("r.json: "));
  auto text = review_json(review);
  text.replace(text.find("\"version\": 2"), 12, "\"version\": 3");
  CHECK_THROWS_WITH(review_from_json(text, "r.json"), Catch::Contains("newer program"));
  CHECK_THROWS_WITH(
      review_from_json(
          R"({"format": "verdigrid-review", "version": 1, "photo": {"name": "a", "sha256": "b",
              "size_px": [1, 1]}, "detector": "d", "features_version": 1,
              "answers": [{"answer": "maybe", "asked": "shown", "class": null,
                           "region_px": [], "lessons": []}]})",
          "r.json"),
      Catch::Contains("unknown answer maybe"));
}

TEST_CASE("features of another version teach nothing", "[detect][review]") {
  auto review = review_of(scene().board.photo, "first-method 1", scene().base,
                          {pointed({365, 225}, {395, 235}, AnswerKind::yes)});
  CHECK_FALSE(lessons_of(review).empty());
  review.features_version = k_look_features_version + 1;
  CHECK(lessons_of(review).empty());
}
