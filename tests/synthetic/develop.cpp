#include "synthetic/develop.h"

#include <jpeglib.h>

#include <cmath>
#include <cstdio>
#include <opencv2/core/utility.hpp>

#include "base/colour.h"
#include "photo/encode.h"
#include "synthetic/random.h"

namespace verdigrid::synthetic {

namespace {

constexpr int k_curve_steps = 4096;

std::vector<float> kernel_of(double sigma) {
  const int r = std::max(1, static_cast<int>(std::ceil(3 * sigma)));
  std::vector<float> k(static_cast<size_t>(2 * r + 1));
  double sum = 0;
  for (int i = -r; i <= r; ++i) sum += std::exp(-0.5 * i * i / (sigma * sigma));
  for (int i = -r; i <= r; ++i)
    k[static_cast<size_t>(i + r)] =
        static_cast<float>(std::exp(-0.5 * i * i / (sigma * sigma)) / sum);
  return k;
}

// Sums of shifted rows of floats.
void blur_rows(const cv::Mat& in, cv::Mat& out, const std::vector<float>& k) {
  const int r = static_cast<int>(k.size() / 2), width = in.cols * in.channels();
  cv::parallel_for_(cv::Range(0, in.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) {
      float* o = out.ptr<float>(y);
      std::fill(o, o + width, 0.0f);
      for (int i = -r; i <= r; ++i) {
        const float* s = in.ptr<float>(std::clamp(y + i, 0, in.rows - 1));
        const float w = k[static_cast<size_t>(i + r)];
        for (int x = 0; x < width; ++x) o[x] += w * s[x];
      }
    }
  });
}

void blur_columns(const cv::Mat& in, cv::Mat& out, const std::vector<float>& k) {
  const int r = static_cast<int>(k.size() / 2);
  cv::parallel_for_(cv::Range(0, in.rows), [&](const cv::Range& rows) {
    std::vector<cv::Vec3f> line(static_cast<size_t>(in.cols + 2 * r));
    for (int y = rows.start; y < rows.end; ++y) {
      const auto* s = in.ptr<cv::Vec3f>(y);
      for (int x = -r; x < in.cols + r; ++x)
        line[static_cast<size_t>(x + r)] = s[std::clamp(x, 0, in.cols - 1)];
      auto* o = out.ptr<cv::Vec3f>(y);
      for (int x = 0; x < in.cols; ++x) {
        float b = 0, g = 0, d = 0;
        for (size_t i = 0; i < k.size(); ++i) {
          const cv::Vec3f& v = line[static_cast<size_t>(x) + i];
          b += k[i] * v[0];
          g += k[i] * v[1];
          d += k[i] * v[2];
        }
        o[x] = {b, g, d};
      }
    }
  });
}

// sRGB with a share of an S curve about mid grey, in 1/255.
std::vector<float> tone_curve(double contrast) {
  std::vector<float> t(k_curve_steps + 2);
  for (size_t i = 0; i < t.size(); ++i) {
    const double v = srgb_from_linear(std::min(1.0, static_cast<double>(i) / k_curve_steps));
    const double s = v * v * (3 - 2 * v);
    t[i] = static_cast<float>(255 * (v + contrast * (s - v)));
  }
  return t;
}

float sensor_noise(int x, int y, std::uint32_t seed) {  // about normal, sd 1
  return (lattice(x, y, seed) + lattice(x, y, seed + 1) + lattice(x, y, seed + 2) - 1.5f) * 2.0f;
}

void sharpen(cv::Mat& bgr, double amount) {
  cv::Mat in;
  bgr.convertTo(in, CV_32FC3);
  const cv::Mat soft = blurred(in, 1.0);
  for (int y = 0; y < bgr.rows; ++y)
    for (int x = 0; x < bgr.cols; ++x)
      for (int k = 0; k < 3; ++k) {
        const float v = in.at<cv::Vec3f>(y, x)[k], s = soft.at<cv::Vec3f>(y, x)[k];
        bgr.at<cv::Vec3b>(y, x)[k] =
            cv::saturate_cast<uchar>(v + static_cast<float>(amount) * 1.5f * (v - s));
      }
}

cv::Mat defocused(const cv::Mat& light, const CameraSpec& c) {
  const cv::Mat sharp = blurred(light, c.defocus_px);
  if (c.defocus_slope_px <= 0) return sharp;
  const cv::Mat soft = blurred(light, c.defocus_px + c.defocus_slope_px);
  cv::Mat out(light.size(), CV_32FC3);
  const double low = c.defocus_px * c.defocus_px,
               high = std::pow(c.defocus_px + c.defocus_slope_px, 2);
  for (int y = 0; y < light.rows; ++y)
    for (int x = 0; x < light.cols; ++x) {
      const double s = defocus_at(c, {double(x), double(y)});
      const float t = static_cast<float>((s * s - low) / (high - low));
      out.at<cv::Vec3f>(y, x) = sharp.at<cv::Vec3f>(y, x) * (1 - t) + soft.at<cv::Vec3f>(y, x) * t;
    }
  return out;
}

}  // namespace

cv::Mat blurred(const cv::Mat& image, double sigma_px) {
  if (sigma_px < 0.05) return image;
  const std::vector<float> k = kernel_of(sigma_px);
  cv::Mat half(image.size(), CV_32FC3), out(image.size(), CV_32FC3);
  blur_columns(image, half, k);
  blur_rows(half, out, k);
  return out;
}

double defocus_at(const CameraSpec& c, cv::Point2d p) {
  if (c.defocus_slope_px <= 0) return c.defocus_px;
  const double a = (c.tilt_direction_deg + 90) * CV_PI / 180;
  const double u = ((p.x / c.photo_px.width - 0.5) * std::cos(a) -
                    (p.y / c.photo_px.height - 0.5) * std::sin(a));
  return c.defocus_px + c.defocus_slope_px * std::clamp(u * 1.4 + 0.1, 0.0, 1.0);
}

cv::Mat developed(const cv::Mat& light, const CameraSpec& c) {
  const cv::Mat in = defocused(light, c);
  cv::Mat bgr(in.size(), CV_8UC3);
  const std::vector<float> curve = tone_curve(c.contrast);
  const auto seed = static_cast<std::uint32_t>(mixed(c.seed, 90));
  const float gain = static_cast<float>(std::exp2(c.exposure_ev));
  cv::parallel_for_(cv::Range(0, in.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y)
      for (int x = 0; x < in.cols; ++x)
        for (int k = 0; k < 3; ++k) {
          float v = in.at<cv::Vec3f>(y, x)[k] * gain * static_cast<float>(c.white_balance[k]);
          if (c.noise > 0) {  // read noise and shot noise, the given sd at 18 % grey
            const float sd = static_cast<float>(c.noise) * std::sqrt(0.2f + 0.8f * v / 0.18f);
            v += sd * sensor_noise(x, y, seed + static_cast<std::uint32_t>(7 * k));
          }
          const float t = std::clamp(v, 0.0f, 1.0f) * k_curve_steps;
          const auto i = static_cast<size_t>(t);
          const float f = t - static_cast<float>(i);
          bgr.at<cv::Vec3b>(y, x)[k] =
              static_cast<uchar>(curve[i] + (curve[i + 1] - curve[i]) * f + 0.5f);
        }
  });
  if (c.sharpening > 0) sharpen(bgr, c.sharpening);
  return bgr;
}

cv::Mat jpeg_round_trip(const cv::Mat& bgr, int quality) {
  return jpeg_decoded(jpeg_bytes(bgr, quality));
}

cv::Mat jpeg_decoded(const Bytes& bytes) {
  jpeg_decompress_struct info{};
  jpeg_error_mgr fault{};
  info.err = jpeg_std_error(&fault);  // our own bytes: a fault here ends the test program
  jpeg_create_decompress(&info);
  jpeg_mem_src(&info, reinterpret_cast<const unsigned char*>(bytes.data()),
               static_cast<unsigned long>(bytes.size()));
  jpeg_read_header(&info, TRUE);
  info.out_color_space = JCS_EXT_BGR;
  jpeg_start_decompress(&info);
  cv::Mat out(static_cast<int>(info.output_height), static_cast<int>(info.output_width), CV_8UC3);
  while (info.output_scanline < info.output_height) {
    JSAMPROW row = out.ptr<uchar>(static_cast<int>(info.output_scanline));
    jpeg_read_scanlines(&info, &row, 1);
  }
  jpeg_finish_decompress(&info);
  jpeg_destroy_decompress(&info);
  return out;
}

}  // namespace verdigrid::synthetic
