#include "synthetic/light.h"

#include <algorithm>
#include <opencv2/core/utility.hpp>

#include "synthetic/canvas.h"

namespace verdigrid::synthetic {

namespace {

constexpr double k_map_px_per_mm = 3;  // shadows are soft: no finer raster is needed

cv::Mat reduced_height(const Board& b, double& px_per_mm, float scale) {
  const int step = std::max(1, static_cast<int>(b.px_per_mm / k_map_px_per_mm));
  px_per_mm = b.px_per_mm / step;
  const cv::Size size{(b.height_mm.cols + step - 1) / step, (b.height_mm.rows + step - 1) / step};
  cv::Mat h(size, CV_32FC1, cv::Scalar::all(-10));
  for (int y = 0; y < b.height_mm.rows; ++y) {
    const float* row = b.height_mm.ptr<float>(y);
    float* out = h.ptr<float>(y / step);
    for (int x = 0; x < b.height_mm.cols; ++x) {
      const float v = row[x] < -0.5f ? k_desk_mm : row[x] * scale;
      out[x / step] = std::max(out[x / step], v);
    }
  }
  return h;
}

// Height of the shadow of a lamp in direction (dx, dy), one step along the longer axis at a time:
// shadow(p) = max(h(p'), shadow(p')) - drop at the point p' one step nearer to the lamp.
void add_shadow(const cv::Mat& h, cv::Mat& lit, double dx, double dy, double drop_mm,
                float weight) {
  const bool by_rows = std::abs(dy) >= std::abs(dx);
  const cv::Mat height = by_rows ? h : cv::Mat(h.t());
  const double lead = by_rows ? dy : dx, aside = (by_rows ? dx : dy) / std::abs(lead);
  const int rows = height.rows, cols = height.cols, step = lead > 0 ? 1 : -1;
  const float drop = static_cast<float>(drop_mm / std::abs(lead));
  std::vector<float> above(static_cast<size_t>(cols), -100.0f), here(above);
  const int shift = static_cast<int>(std::floor(aside));
  const float part = static_cast<float>(aside - shift);
  for (int i = 0; i < rows; ++i) {
    const int y = step > 0 ? rows - 1 - i : i;  // from the lamp's side
    const float* row = height.ptr<float>(y);
    for (int x = 0; x < cols; ++x) {
      const int a = std::clamp(x + shift, 0, cols - 1), b = std::clamp(x + shift + 1, 0, cols - 1);
      const float shadow = mixed_value(above[size_t(a)], above[size_t(b)], part) - drop;
      here[size_t(x)] = std::max(shadow, row[x]);
      const float v = weight * std::clamp(1 - (shadow - row[x]) * 1.5f, 0.0f, 1.0f);
      (by_rows ? lit.at<float>(y, x) : lit.at<float>(x, y)) += v;
    }
    std::swap(above, here);
  }
}

cv::Mat as_bytes(const cv::Mat& v) {
  cv::Mat out(v.size(), CV_8UC1);
  for (int y = 0; y < v.rows; ++y)
    for (int x = 0; x < v.cols; ++x)
      out.at<uchar>(y, x) =
          static_cast<uchar>(std::clamp(v.at<float>(y, x), 0.0f, 1.0f) * 255 + 0.5f);
  return out;
}

}  // namespace

cv::Vec3f lamp_direction(const CameraSpec& c, Side side) {
  const double a = c.light_azimuth_deg * CV_PI / 180, e = c.light_elevation_deg * CV_PI / 180;
  const double mirror = side == Side::back ? -1 : 1;
  return {static_cast<float>(mirror * std::cos(a) * std::cos(e)),
          static_cast<float>(-std::sin(a) * std::cos(e)), static_cast<float>(std::sin(e))};
}

LightMap light_map(const Board& b, const CameraSpec& c) {
  LightMap m;
  m.height_mm = reduced_height(b, m.px_per_mm, static_cast<float>(c.height_scale));
  const cv::Size size = m.height_mm.size();
  cv::Mat direct(size, CV_32FC1, cv::Scalar::all(0)), ambient(size, CV_32FC1, cv::Scalar::all(0));
  if (c.height_scale <= 0) {
    direct.setTo(1);
    ambient.setTo(1);
  } else {
    const double mirror = b.spec.side == Side::back ? -1 : 1;
    const auto lamp = [&](cv::Mat& lit, double azimuth_deg, double elevation_deg, float weight) {
      const double a = azimuth_deg * CV_PI / 180, e = elevation_deg * CV_PI / 180;
      add_shadow(m.height_mm, lit, mirror * std::cos(a) + 1e-4, -std::sin(a) + 1e-4,
                 std::tan(e) / m.px_per_mm, weight);
    };
    for (int i = -1; i <= 1; ++i)  // a lamp some 12 degrees wide
      for (int k = -1; k <= 1; k += 2)
        lamp(direct, c.light_azimuth_deg + 6 * i, c.light_elevation_deg + 4 * k, 1.0f / 6);
    for (int i = 0; i < 8; ++i) lamp(ambient, 45 * i + 10, i % 2 == 0 ? 30 : 55, 1.0f / 8);
  }
  m.direct = as_bytes(direct);
  m.ambient = as_bytes(ambient);
  return m;
}

}  // namespace verdigrid::synthetic
