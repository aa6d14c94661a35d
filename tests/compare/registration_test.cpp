#include "compare/registration.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "tests/compare/texture.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

const cv::Size k_size(700, 520);

double worst(const Registration& r, const cv::Matx33d& truth) {
  double most = 0;
  for (double y = 20; y <= 500; y += 60)
    for (double x = 20; x <= 680; x += 60)
      most = std::max(most, cv::norm(r.warp(cv::Point2d(x, y)) - mapped(truth, {x, y})));
  return most;
}

std::string remarks(const Registration& r) {
  std::string all;
  for (const std::string& remark : r.remarks) all += remark + "\n";
  return all;
}

}  // namespace

TEST_CASE("a photo from another place, with parts gone, is registered in any turn", "[slow]") {
  const cv::Mat first = texture(k_size, 1);
  for (double angle : {0.0, 37.0, 90.0, 180.0, -90.0}) {
    const cv::Matx33d truth = turned_view(k_size, angle);
    cv::Mat second = viewed(first, truth, k_size + cv::Size(100, 300));
    // A tenth of the board is covered by something else.
    cv::rectangle(second, cv::Rect(300, 200, 130, 90), cv::Scalar(20, 20, 20), cv::FILLED);
    const Registration r = registered({first, {}}, {second, {}});
    INFO(angle);
    CHECK(r.match == Match::same);
    CHECK(worst(r, truth) < 0.5);
    CHECK(r.rms_px.low <= r.rms_px.value);
    CHECK(r.pairs.size() > 50);
    // OpenCV's angle is counter-clockwise as seen, ours clockwise.
    CHECK_THAT(std::abs(std::remainder(r.turn_deg + angle, 360)), WithinAbs(0, 3));
    if (angle == 180) CHECK_THAT(remarks(r), Contains("turned by 180 degrees"));
    if (angle == 90) CHECK_THAT(remarks(r), Contains("90 degrees counter-clockwise"));
    if (angle == -90) CHECK_THAT(remarks(r), Contains("90 degrees clockwise"));
  }
}

TEST_CASE("the same photos give the same registration") {
  const cv::Mat first = texture(k_size, 1);
  const cv::Mat second = viewed(first, turned_view(k_size, 10), k_size);
  const Registration a = registered({first, {}}, {second, {}});
  const Registration b = registered({first, {}}, {second, {}});
  CHECK(a.warp.second_from_first == b.warp.second_from_first);
  CHECK(a.agreement.agreeing == b.agreement.agreeing);
}

TEST_CASE("another picture, an empty one and a mirrored one are refused for what they are") {
  const cv::Mat first = texture(k_size, 1);
  const Registration other = registered({first, {}}, {texture(k_size, 2), {}});
  CHECK(other.match == Match::wrong_board);
  CHECK_THAT(remarks(other), Contains("three or four point pairs"));
  const cv::Mat blank(k_size, CV_8UC3, cv::Scalar(90, 90, 90));
  CHECK(registered({first, {}}, {blank, {}}).match == Match::wrong_board);
  CHECK(registered({blank, {}}, {first, {}}).match == Match::wrong_board);
  cv::Mat mirrored;
  cv::flip(viewed(first, turned_view(k_size, 20), k_size), mirrored, 1);
  const Registration mirror = registered({first, {}}, {mirrored, {}});
  CHECK(mirror.match == Match::mirrored);
  CHECK_FALSE(mirror.is_placed());
  CHECK_THROWS_AS(registered({first, {}}, {cv::Mat(20, 20, CV_8UC3), {}}), Error);
}

TEST_CASE("a solder mask of another colour is said to be perhaps another revision") {
  const cv::Mat first = texture(k_size, 1, 300);
  cv::Mat second = viewed(first, turned_view(k_size, 5), k_size);
  // Green to blue, all else as it was: channels of the plain ground are exchanged.
  for (int y = 0; y < second.rows; ++y)
    for (int x = 0; x < second.cols; ++x) {
      auto& v = second.at<cv::Vec3b>(y, x);
      if (cv::norm(cv::Vec3d(v) - cv::Vec3d(60, 110, 50)) < 8) v = {120, 70, 30};
    }
  const Registration r = registered({first, {}}, {second, {}});
  CHECK(r.match == Match::differs);
  CHECK(r.is_placed());
  CHECK_THAT(remarks(r), Contains("solder mask"));
}

TEST_CASE("point pairs set by hand are the way out, and are refined where photos agree") {
  const cv::Mat first = texture(k_size, 1);
  const cv::Matx33d truth = turned_view(k_size, 25, 0);
  const cv::Mat second = viewed(first, truth, k_size);
  std::vector<PointPair> pairs;
  for (const cv::Point2d& p : {cv::Point2d(100, 100), cv::Point2d(600, 120), cv::Point2d(350, 450)})
    pairs.push_back({p, mapped(truth, p) + cv::Point2d(2, -1.5), 1});
  const Registration fine = registered_by_hand({first, {}}, {second, {}}, pairs);
  CHECK(fine.match == Match::same);
  CHECK(worst(fine, truth) < 0.5);
  // Against a picture that shows something else the pairs stand as they are, and it is said.
  const Registration coarse = registered_by_hand({first, {}}, {texture(k_size, 2), {}}, pairs);
  CHECK(coarse.is_placed());
  CHECK_THAT(cv::norm(coarse.warp(pairs[0].first_px) - pairs[0].second_px), WithinAbs(0, 1e-4));
  CHECK_THAT(remarks(coarse), Contains("as it stands"));
  pairs.push_back({{120, 400}, mapped(truth, {120, 400}), 1});
  CHECK(registered_by_hand({first, {}}, {second, {}}, pairs).match == Match::same);
}

TEST_CASE("too few points, and points on one line, are refused") {
  const cv::Mat first = texture(k_size, 1);
  CHECK_THROWS_WITH(registered_by_hand({first, {}}, {first, {}}, {{{0, 0}, {0, 0}, 1}}),
                    Contains("at least three"));
  const std::vector<PointPair> line{
      {{0, 0}, {0, 0}, 1}, {{100, 100}, {100, 100}, 1}, {{200, 201}, {200, 201}, 1}};
  CHECK_THROWS_WITH(registered_by_hand({first, {}}, {first, {}}, line), Contains("one line"));
}

TEST_CASE("wrong registration options name their field; a stop is heeded") {
  RegistrationOptions options;
  options.least_strength = 0;
  CHECK_THROWS_WITH(options.check(), Contains("least_strength"));
  options = {};
  options.working_long_side_px = 10;
  CHECK_THROWS_WITH(options.check(), Contains("working_long_side_px"));
  const cv::Mat first = texture(k_size, 1);
  std::stop_source source;
  source.request_stop();
  try {
    registered({first, {}}, {first, {}}, {}, Work{source.get_token(), {}});
    FAIL("must stop");
  } catch (const Error& e) {
    CHECK(e.kind() == ErrorKind::interrupted);
  }
}
