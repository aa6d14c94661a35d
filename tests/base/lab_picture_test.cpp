#include "base/lab_picture.h"

#include <catch2/catch.hpp>
#include <vector>

#include "base/colour.h"
#include "base/parallel.h"

using namespace verdigrid;

TEST_CASE("a picture in Lab agrees with the formulas, on many threads alike") {
  cv::Mat bgr(16, 16, CV_8UC3);
  cv::RNG rng(5);
  rng.fill(bgr, cv::RNG::UNIFORM, 0, 256);
  std::vector<cv::Mat> lab(8);
  in_parallel(lab.size(), [&](size_t i) { lab[i] = lab_of_bgr(bgr); });
  for (const cv::Mat& one : lab)
    for (int y = 0; y < bgr.rows; ++y)
      for (int x = 0; x < bgr.cols; ++x) {
        const cv::Vec3b p = bgr.at<cv::Vec3b>(y, x);
        const Lab exact = lab_from_srgb({p[2] / 255.0, p[1] / 255.0, p[0] / 255.0});
        const cv::Vec3f got = one.at<cv::Vec3f>(y, x);
        const double off =
            cv::norm(cv::Vec3d(got[0], got[1], got[2]) - cv::Vec3d(exact.L, exact.a, exact.b));
        REQUIRE(off < 0.4);
      }
}
