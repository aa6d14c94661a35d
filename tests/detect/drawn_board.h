// A small board drawn for tests: green solder mask with traces and pads, a blue part, and a patch
// of blue-green speckle on a pad. Seeded noise; colours in sRGB.
#pragma once

#include <opencv2/imgproc.hpp>

#include "photo/photo.h"
#include "rectify/rectification.h"

namespace verdigrid::test {

struct DrawnBoard {
  Photo photo;
  Rectification rectification;
  cv::Mat truth;  // CV_8UC1, 255 on the salt
};

enum class Salt { none, one };

inline void draw_salt(cv::Mat& bgr, cv::Mat& truth, cv::Point centre, cv::RNG& rng) {
  for (int i = 0; i < 260; ++i) {
    const cv::Point p(centre.x + cvRound(rng.gaussian(13)), centre.y + cvRound(rng.gaussian(10)));
    // From malachite-like green to the blue of the salts, matt and uneven.
    const double t = rng.uniform(0.0, 1.0), light = rng.uniform(0.75, 1.15);
    const cv::Scalar colour(light * (130 + 85 * t), light * (165 - 20 * t), light * (70 - 20 * t));
    cv::circle(bgr, p, rng.uniform(2, 5), colour, cv::FILLED, cv::LINE_AA);
    cv::circle(truth, p, 3, cv::Scalar(255), cv::FILLED);
  }
}

inline DrawnBoard drawn_board(Salt salt, std::uint64_t seed = 7) {
  cv::RNG rng(seed);
  DrawnBoard b;
  cv::Mat bgr(700, 1000, CV_8UC3, cv::Scalar(45, 85, 28));
  b.truth = cv::Mat(bgr.size(), CV_8UC1, cv::Scalar(0));
  for (int i = 0; i < 40; ++i)
    cv::line(bgr, {60, 60 + 14 * i}, {940, 60 + 14 * i}, cv::Scalar(60, 120, 50), 3, cv::LINE_AA);
  for (int i = 0; i < 120; ++i)
    cv::circle(bgr, {80 + 60 * (i % 15), 90 + 70 * (i / 15)}, 9, cv::Scalar(190, 195, 195),
               cv::FILLED, cv::LINE_AA);
  cv::rectangle(bgr, {620, 150, 150, 60}, cv::Scalar(190, 110, 40), cv::FILLED);
  cv::rectangle(bgr, {200, 400, 260, 80}, cv::Scalar(35, 33, 34), cv::FILLED);
  if (salt == Salt::one) draw_salt(bgr, b.truth, {380, 230}, rng);
  cv::GaussianBlur(bgr, bgr, {9, 9}, 1.8);  // as sharp as a photo is at this scale
  cv::Mat noise(bgr.size(), CV_16SC3);
  rng.fill(noise, cv::RNG::NORMAL, 0, 1.5);
  cv::Mat sum;
  bgr.convertTo(sum, CV_16SC3);
  sum += noise;
  sum.convertTo(b.photo.bgr, CV_8UC3);
  b.photo.meta.name = "drawn board";
  auto& r = b.rectification;
  r.photo_size_px = bgr.size();
  r.outline_px.outer = {{20, 20}, {979, 20}, {979, 679}, {20, 679}};
  r.outline_board = r.outline_px;
  return b;
}

}  // namespace verdigrid::test
