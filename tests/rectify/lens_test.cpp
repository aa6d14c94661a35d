#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <opencv2/calib3d.hpp>

#include "base/error.h"
#include "photo/decode.h"
#include "rectify/lens_file.h"
#include "tests/process.h"
#include "tests/rectify/known_camera.h"

using namespace verdigrid;
using namespace verdigrid::test;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

constexpr double k_square_mm = 25;

std::vector<Photo> chessboard_photos() {
  std::vector<Photo> photos;
  for (int i = 1; i <= 14; ++i)
    if (i != 10)  // the package has no left10.jpg
      photos.push_back(
          load_photo(fmt::format("/usr/share/doc/opencv-doc/examples/data/left{:02}.jpg", i)));
  return photos;
}

// Rms of the corners in mm when the four outer ones are fixed to a board of that size and every
// point is straightened by the lens (none: as seen).
double rms_mm(const std::vector<cv::Point2d>& corners_px, const std::optional<Lens>& lens) {
  std::vector<cv::Point2d> px, mm;
  for (size_t i = 0; i < corners_px.size(); ++i) {
    px.push_back(lens ? undistorted_px(*lens, corners_px[i]) : corners_px[i]);
    mm.emplace_back(static_cast<double>(i % 9) * k_square_mm,
                    static_cast<double>(i / 9) * k_square_mm);
  }
  const cv::Matx33d h(cv::findHomography(px, mm, 0));
  double sum = 0;
  for (size_t i = 0; i < px.size(); ++i) {
    const cv::Point2d d = mapped(h, px[i]) - mm[i];
    sum += d.dot(d);
  }
  return std::sqrt(sum / static_cast<double>(px.size()));
}

std::string sentence_of(const std::string& text) {
  try {
    lens_from_json(text, "lens.json");
  } catch (const Error& e) {
    return e.what();
  }
  return "";
}

}  // namespace

// The 13 photos of a 25 mm chessboard that come with OpenCV (Debian package opencv-doc).
TEST_CASE("a lens calibrated on thirteen chessboard photos leaves at most 0.2 mm", "[slow]") {
  const std::vector<Photo> photos = chessboard_photos();
  const LensCalibration c = calibrated_lens(photos);
  REQUIRE(c.used.size() == 13);
  CHECK(c.not_used.empty());
  double worst = 0, worst_plain = 0;
  for (const std::vector<cv::Point2d>& corners : c.corners_px) {
    worst = std::max(worst, rms_mm(corners, c.lens));
    worst_plain = std::max(worst_plain, rms_mm(corners, std::nullopt));
  }
  CHECK(worst <= 0.2);
  CHECK(worst_plain > 0.5);  // what the lens does to them
  // The package's own calibration of these photos, left_intrinsics.yml: fx = fy = 535.916, k1 =
  // -0.2664, with another model (fixed aspect, k3 as well).
  CHECK_THAT(c.lens.camera(0, 0), WithinRel(535.916, 0.01));
  CHECK_THAT(c.lens.distortion[0], WithinAbs(-0.2664, 0.05));
}

TEST_CASE("photos without the chessboard and photos of two sizes are refused") {
  const Photo plain = plain_photo({640, 480}, {100, 100, 100});
  CHECK_THROWS_WITH(calibrated_lens({plain, plain, plain, plain, plain}),
                    Contains("0 of 5") && Contains("9x6"));
  CHECK_THROWS_WITH(calibrated_lens({plain, plain_photo({641, 480}, {1, 1, 1})}),
                    Contains("641x480") && Contains("one size"));
  CHECK_THROWS_WITH(calibrated_lens({}), Contains("0 of 0"));
  LensOptions options;
  options.inner_corners = {2, 6};
  CHECK_THROWS_WITH(options.check(), Contains("3x3"));
  options = {};
  options.square_mm = 0;
  CHECK_THROWS_WITH(options.check(), Contains("positive"));
  options = {};
  options.least_photos = 1;
  CHECK_THROWS_WITH(options.check(), Contains("3 photos"));
  options = {};
  options.most_rms_px = 0;
  CHECK_THROWS_WITH(options.check(), Contains("residual"));
}

TEST_CASE("a lens file reads back bit for bit") {
  Lens lens;
  lens.camera = {535.91573396163199,
                 0,
                 342.28315473308373,
                 0,
                 535.91573396163199,
                 235.57082909788173,
                 0,
                 0,
                 1};
  lens.distortion = {-0.26637260909660682, -0.038588898922304653, 0.0017831947042852964,
                     -0.00028122100441115472, 0.23839153080878486};
  lens.photo_size_px = {640, 480};
  lens.rms_px = 1.0 / 3;
  const TemporaryFolder folder;
  save_lens(folder.path() / "lens.json", lens);
  const Lens back = load_lens(folder.path() / "lens.json");
  CHECK(back.camera == lens.camera);
  CHECK(back.distortion == lens.distortion);
  CHECK(back.photo_size_px == lens.photo_size_px);
  CHECK(back.rms_px == lens.rms_px);
}

TEST_CASE("a lens file that is none says so") {
  CHECK_THAT(sentence_of("{"), Contains("lens.json") && Contains("no verdigrid-lens"));
  CHECK_THAT(sentence_of(R"({"format":"verdigrid-lens","version":9})"), Contains("newer"));
  CHECK_THAT(sentence_of(R"({"format":"verdigrid-lens","version":1})"), Contains("photo_size_px"));
  CHECK_THAT(
      sentence_of(
          R"({"format":"verdigrid-lens","version":1,"photo_size_px":[4,3],"camera_px":[[1,0,0],[0,1,0],[0,0,1]],"distortion_k1_k2_p1_p2_k3":[0],"rms_px":0})"),
      Contains("five"));
  CHECK_THROWS_AS(load_lens("/nowhere/lens.json"), Error);
}
