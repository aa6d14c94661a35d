#include "tests/bench/drawn_jpeg.h"

#include <opencv2/imgproc.hpp>

#include "photo/encode.h"

namespace verdigrid {

namespace {

void draw_parts(cv::Mat& bgr, cv::RNG& rng) {
  for (int i = 0; i < 90; ++i)
    cv::rectangle(bgr,
                  {rng.uniform(300, 5300), rng.uniform(300, 3500), rng.uniform(80, 420),
                   rng.uniform(60, 200)},
                  cv::Scalar(rng.uniform(25, 60), rng.uniform(25, 60), rng.uniform(25, 60)),
                  cv::FILLED);
  for (int i = 0; i < 4000; ++i)
    cv::circle(bgr, {rng.uniform(260, 5740), rng.uniform(260, 3740)}, rng.uniform(8, 18),
               cv::Scalar(185, 195, 195), cv::FILLED, cv::LINE_AA);
}

}  // namespace

Bytes drawn_jpeg() {
  cv::RNG rng(24);
  cv::Mat bgr(4000, 6000, CV_8UC3, cv::Scalar(120, 150, 175));
  cv::rectangle(bgr, {200, 200, 5600, 3600}, cv::Scalar(45, 85, 28), cv::FILLED);
  for (int i = 0; i < 170; ++i)
    cv::line(bgr, {260, 260 + 20 * i}, {5740, 260 + 20 * i}, cv::Scalar(60, 120, 50), 6,
             cv::LINE_AA);
  draw_parts(bgr, rng);
  for (int i = 0; i < 2500; ++i) {
    const double t = rng.uniform(0.0, 1.0), light = rng.uniform(0.75, 1.15);
    cv::circle(bgr, {cvRound(1800 + rng.gaussian(60)), cvRound(1300 + rng.gaussian(45))},
               rng.uniform(6, 18),
               cv::Scalar(light * (130 + 85 * t), light * (165 - 20 * t), light * (70 - 20 * t)),
               cv::FILLED, cv::LINE_AA);
  }
  cv::GaussianBlur(bgr, bgr, {0, 0}, 5);
  cv::Mat noise(bgr.size(), CV_8UC3);
  rng.fill(noise, cv::RNG::UNIFORM, 0, 9);
  bgr += noise;
  return jpeg_bytes(bgr, 90);
}

}  // namespace verdigrid
