#include "compare/close_up_contrast.h"

#include <array>
#include <opencv2/imgproc.hpp>

#include "base/lab_picture.h"

namespace verdigrid {

namespace {

constexpr double k_least_contrast = 2;  // L: flatter places have none
constexpr double k_colour_unit = 20;    // a, b: so much counts as much as full contrast

}  // namespace

cv::Mat contrast_of(const cv::Mat& bgr, double sigma_px) {
  const cv::Mat lab = lab_of_bgr(bgr);
  cv::Mat mean, spread;
  std::array<cv::Mat, 3> channels;
  cv::split(lab, channels.data());
  cv::GaussianBlur(channels[0], mean, {}, sigma_px, sigma_px, cv::BORDER_REFLECT);
  channels[0] -= mean;
  cv::GaussianBlur(channels[0].mul(channels[0]), spread, {}, sigma_px, sigma_px,
                   cv::BORDER_REFLECT);
  cv::sqrt(spread + k_least_contrast * k_least_contrast, spread);
  channels[0] /= spread;
  for (size_t c = 1; c < 3; ++c) channels[c] *= 1 / k_colour_unit;
  cv::Mat out;
  cv::merge(channels.data(), channels.size(), out);
  return out;
}

cv::Mat resized(const cv::Mat& picture, double scale) {
  cv::Mat out;
  cv::resize(picture, out, {}, scale, scale, scale < 1 ? cv::INTER_AREA : cv::INTER_CUBIC);
  return out;
}

cv::Matx33d resized_by(double scale) {
  const double shift = 0.5 * scale - 0.5;
  return {scale, 0, shift, 0, scale, shift, 0, 0, 1};
}

}  // namespace verdigrid
