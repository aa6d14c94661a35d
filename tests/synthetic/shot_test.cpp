#include "synthetic/shot.h"

#include <catch2/catch.hpp>
#include <opencv2/calib3d.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "base/segment.h"
#include "base/sha256.h"
#include "synthetic/develop.h"
#include "synthetic/materials.h"
#include "synthetic/report.h"

using namespace verdigrid;
using namespace verdigrid::synthetic;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

std::string digest(const cv::Mat& m) {
  REQUIRE(m.isContinuous());
  return sha256_hex({reinterpret_cast<const std::byte*>(m.data), m.total() * m.elemSize()});
}

CameraSpec hard_camera(std::uint64_t seed, cv::Size px) {
  CameraSpec c = random_camera(seed, px);
  c.tilt_deg = 15;
  c.k1 = seed % 2 == 0 ? -0.1 : 0.1;
  c.k2 = 0.02;
  return c;
}

BoardSpec small_board(std::uint64_t seed, double amount = 0.8) {
  BoardOptions o;
  o.size_mm = cv::Size2d{150, 100};
  o.residue_amount = amount;
  return random_board(seed, o);
}

Lab mean_lab(const cv::Mat& bgr, cv::Rect box) {
  cv::Vec3d linear{};
  for (int y = box.y; y < box.br().y; ++y)
    for (int x = box.x; x < box.br().x; ++x)
      for (int k = 0; k < 3; ++k) linear[k] += linear_from_srgb8()[bgr.at<cv::Vec3b>(y, x)[k]];
  linear *= 1.0 / box.area();
  return lab_from_srgb(
      {srgb_from_linear(linear[2]), srgb_from_linear(linear[1]), srgb_from_linear(linear[0])});
}

constexpr double k_area_share = 0.02;
constexpr double k_hundredth_mm = 0.01;

}  // namespace

TEST_CASE("the same seeds give the same photo on any number of threads") {
  const BoardSpec spec = small_board(1);
  const CameraSpec camera = random_camera(1, {320, 240});
  const int threads = cv::getNumThreads();
  cv::setNumThreads(1);
  const std::string one = digest(shot(spec, camera).bgr);
  cv::setNumThreads(2);
  const std::string two = digest(shot(spec, camera).bgr);
  cv::setNumThreads(threads);
  CHECK(one == two);
  CHECK(one != digest(shot(spec, random_camera(2, {320, 240})).bgr));
}

TEST_CASE("the homography and the lens take the outline to its millimetres") {
  for (const std::uint64_t seed : {2, 3}) {
    for (const Side side : {Side::front, Side::back}) {
      BoardSpec spec = small_board(seed);
      spec.side = side;
      const Shot s = shot(spec, hard_camera(seed, {320, 240}));
      const Rectification r = rectification_from(s.truth);
      REQUIRE(s.truth.outline_px.outer.size() >= s.truth.outline_mm.outer.size());
      const Polygon outline = s.truth.outline_mm;
      for (const cv::Point2d p : s.truth.outline_px.outer) {
        const cv::Point2d q = board_point(r, p);
        double d = 1e9;
        for (size_t i = 0; i < outline.outer.size(); ++i)
          d = std::min(d, distance_to_segment(q, outline.outer[i],
                                              outline.outer[(i + 1) % outline.outer.size()]));
        CHECK(d < k_hundredth_mm);
      }
      for (const cv::Point2d p : outline.outer)
        CHECK(cv::norm(board_point(r, photo_point(r, p)) - p) < k_hundredth_mm);
    }
  }
}

// OpenCV's own projection is the reference: cv::projectPoints with the same camera and distortion.
TEST_CASE("points land where a general-purpose library projects them") {
  const BoardSpec spec = small_board(4);
  const CameraSpec camera = hard_camera(4, {640, 480});
  const View v = view_of(camera, spec.size_mm, Side::front);
  std::vector<cv::Point3d> board;
  std::vector<cv::Point2d> undistorted, seen;
  for (double y = 0; y <= 100; y += 25)
    for (double x = 0; x <= 150; x += 25) {
      const cv::Point2d u = mapped(v.board_mm_from_photo_px.inv(), {x, y});
      const auto& k = v.lens.camera;
      board.emplace_back((u.x - k(0, 2)) / k(0, 0), (u.y - k(1, 2)) / k(1, 1), 1);
      seen.push_back(photo_px_of(v, {x, y}));
    }
  std::vector<cv::Point2d> expected;
  cv::projectPoints(board, cv::Vec3d(0, 0, 0), cv::Vec3d(0, 0, 0), v.lens.camera, v.lens.distortion,
                    expected);
  for (size_t i = 0; i < seen.size(); ++i) CHECK(cv::norm(seen[i] - expected[i]) < 1e-6);
}

TEST_CASE("the label picture weighted by each pixel's own area gives the true area") {
  double worst = 0;
  for (std::uint64_t seed = 10; seed < 16; ++seed) {
    const Shot s = shot(small_board(seed, 1.0), hard_camera(seed, {640, 480}));
    const Rectification r = rectification_from(s.truth);
    double sum = 0;
    for (int y = 0; y < s.truth.labels.rows; ++y)
      for (int x = 0; x < s.truth.labels.cols; ++x)
        if (s.truth.labels.at<uchar>(y, x) != 0) sum += pixel_area_board(r, {double(x), double(y)});
    CAPTURE(seed, sum, s.truth.residue_area_mm2());
    CHECK_THAT(sum, WithinRel(s.truth.residue_area_mm2(), k_area_share));
    worst = std::max(worst, std::abs(sum / s.truth.residue_area_mm2() - 1));
  }
  CHECK(worst > 0);
}

TEST_CASE("the outline drawn as a polygon covers the pixels that are board") {
  const Shot s = shot(small_board(5), hard_camera(5, {640, 480}));
  double inside = 0;
  for (const auto& v : cv::Mat_<uchar>(s.truth.board)) inside += v > 0;
  CHECK_THAT(area(s.truth.outline_px), WithinRel(inside, 0.005));
}

// Each material photographed in even neutral light keeps the Lab of its published reflectance
// (sources beside the table in materials.cpp); 8-bit steps are worth about 0.4.
TEST_CASE("materials come out in their reference colours under neutral light") {
  BoardOptions o;
  o.size_mm = cv::Size2d{30, 20};
  o.residue_amount = 0;
  BoardSpec spec = random_board(6, o);
  Board b = render_board(spec, 4);
  b.height_mm.setTo(0);
  b.finish.setTo(0);
  for (const Material m :
       {Material::malachite, Material::cuprite, Material::hematite, Material::goethite,
        Material::lepidocrocite, Material::white_crust, Material::copper, Material::tin_lead}) {
    const cv::Vec3f c = linear_bgr(m) * 65535.0f;
    b.albedo.setTo(cv::Scalar(c[0], c[1], c[2]));
    const Shot s = shot(b, flat_camera({120, 90}));
    const Lab seen = mean_lab(s.bgr, {50, 35, 20, 20}), expected = lab_of(m);
    CAPTURE(static_cast<int>(m), seen.L, seen.a, seen.b);
    CHECK(ciede2000(seen, expected) < 1.0);
  }
}

TEST_CASE("a green copper salt seen in neutral light lies between its reference substances") {
  BoardOptions o;
  o.size_mm = cv::Size2d{60, 40};
  o.residue_amount = 0;
  o.mask = MaskColour::green;
  BoardSpec spec = random_board(7, o);
  spec.parts.clear();
  spec.dirt = 0;
  spec.deposits = {{Residue::rust, Shape::crust, {30, 20}, 14, 0, 1, 3, ""}};
  const Shot rust = shot(spec, flat_camera({480, 360}));
  cv::Vec3d sum{};
  double n = 0;
  for (int y = 0; y < 360; ++y)
    for (int x = 0; x < 480; ++x)
      if (rust.truth.labels.at<uchar>(y, x) == static_cast<uchar>(Residue::rust)) {
        sum += cv::Vec3d(rust.bgr.at<cv::Vec3b>(y, x));
        ++n;
      }
  REQUIRE(n > 1000);
  const Lab lab = lab_from_srgb({sum[2] / n / 255, sum[1] / n / 255, sum[0] / n / 255});
  // Box of iron oxides from USGS splib06a/07a records: h 30-75, C* >= 12, L* 20-55.
  CHECK(hue_deg(lab) > 30);
  CHECK(hue_deg(lab) < 75);
  CHECK(chroma(lab) > 12);
  CHECK(lab.L > 20);
  CHECK(lab.L < 55);
}

TEST_CASE("noise, blur and exposure are as asked") {
  cv::Mat grey(200, 200, CV_32FC3, cv::Scalar::all(0.18));
  CameraSpec c = flat_camera({200, 200});
  c.noise = 0.02;
  const cv::Mat noisy = developed(grey, c);
  double sum = 0, squares = 0;
  for (int y = 0; y < 200; ++y)
    for (int x = 0; x < 200; ++x) {
      const double v = linear_from_srgb8()[noisy.at<cv::Vec3b>(y, x)[1]];
      sum += v;
      squares += v * v;
    }
  const double mean = sum / 40000, sd = std::sqrt(squares / 40000 - mean * mean);
  CHECK_THAT(mean, WithinAbs(0.18, 0.002));
  CHECK_THAT(sd, WithinRel(0.02, 0.06));
  cv::Mat point = cv::Mat::zeros(41, 41, CV_32FC3);
  point.at<cv::Vec3f>(20, 20) = {1, 1, 1};
  const cv::Mat soft = blurred(point, 2.0);
  double mass = 0, spread = 0;
  for (int y = 0; y < 41; ++y)
    for (int x = 0; x < 41; ++x) {
      mass += soft.at<cv::Vec3f>(y, x)[0];
      spread += double(soft.at<cv::Vec3f>(y, x)[0]) * (x - 20) * (x - 20);
    }
  CHECK_THAT(mass, WithinAbs(1, 1e-4));
  CHECK_THAT(std::sqrt(spread / mass), WithinRel(2.0, 0.03));
  c.noise = 0;
  c.exposure_ev = 1;
  CHECK_THAT(linear_from_srgb8()[developed(grey, c).at<cv::Vec3b>(5, 5)[1]],
             WithinAbs(0.36, 0.004));
}

TEST_CASE("glare and blur are told where they are and nowhere without them") {
  CameraSpec c = random_camera(8, {320, 240});
  c.glare = 0;
  c.gloss = 0;
  c.defocus_px = 0.5;
  const Board b = render_board(small_board(8), 3);
  CHECK(cv::countNonZero(shot(b, c).truth.glare) == 0);
  CHECK(cv::countNonZero(shot(b, c).truth.blur) == 0);
  c.glare = 1;
  c.defocus_slope_px = 4;
  const Truth t = shot(b, c).truth;
  CHECK(cv::countNonZero(t.glare) > 50);
  CHECK(cv::countNonZero(t.blur) > 2000);
  CHECK(cv::countNonZero(t.blur) < 320 * 240);
}

TEST_CASE("flat parts hide nothing and tall ones lean") {
  CameraSpec c = hard_camera(9, {320, 240});
  const Board b = render_board(small_board(9), 3);
  c.height_scale = 0;
  const Truth flat = shot(b, c).truth;
  CHECK(cv::norm(flat.labels, flat.seen_labels, cv::NORM_L1) == 0);
  c.height_scale = 1;
  const Truth tall = shot(b, c).truth;
  CHECK(cv::countNonZero(tall.parts) > 500);
  CHECK(cv::norm(tall.labels, flat.labels, cv::NORM_L1) == 0);
}

TEST_CASE("a camera that cannot be is refused and the field named") {
  CameraSpec c;
  c.tilt_deg = 45;
  CHECK_THROWS_WITH(view_of(c, {100, 80}, Side::front), Catch::Contains("tilt_deg"));
  c = {};
  c.jpeg_quality = 200;
  CHECK_THROWS_WITH(view_of(c, {100, 80}, Side::front), Catch::Contains("jpeg_quality"));
  c = {};
  c.photo_px = {0, 0};
  CHECK_THROWS_AS(view_of(c, {100, 80}, Side::front), Error);
}

TEST_CASE("the truth reads as text") {
  const BoardSpec spec = small_board(10);
  const Shot s = shot(spec, random_camera(10, {160, 120}));
  CHECK(truth_json(spec, s.truth).find("\"px_per_mm\"") != std::string::npos);
  const std::string csv = parts_csv(s.truth);
  CHECK(static_cast<size_t>(std::count(csv.begin(), csv.end(), '\n')) ==
        s.truth.parts_mm.size() + 1);
}
