#include "photo/raster.h"

#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "photo/colour_profile.h"

namespace verdigrid {

namespace {

// round(v * 255 / 65535) = round(v / 257).
cv::Mat rounded_to_8(const cv::Mat& samples) {
  if (samples.depth() == CV_8U) return samples;
  cv::Mat out(samples.size(), CV_8UC(samples.channels()));
  cv::parallel_for_(cv::Range(0, samples.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) {
      const auto* from = samples.ptr<ushort>(y);
      uchar* to = out.ptr(y);
      for (int i = 0; i < samples.cols * samples.channels(); ++i)
        to[i] = static_cast<uchar>((from[i] + 128U) / 257U);
    }
  });
  return out;
}

cv::Mat flattened_on_white(const cv::Mat& bgra) {
  cv::Mat out(bgra.size(), CV_8UC3);
  cv::parallel_for_(cv::Range(0, bgra.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) {
      const uchar* from = bgra.ptr(y);
      uchar* to = out.ptr(y);
      for (int x = 0; x < bgra.cols; ++x, from += 4, to += 3)
        for (int c = 0; c < 3; ++c)
          to[c] = static_cast<uchar>((from[c] * from[3] + 255 * (255 - from[3]) + 127) / 255);
    }
  });
  return out;
}

// Grey and RGB in every shape to BGR, or BGRA where there is alpha.
cv::Mat bgr_or_bgra(const cv::Mat& samples, SampleOrder order) {
  cv::Mat out;
  switch (samples.channels()) {
    case 1:
      cv::cvtColor(samples, out, cv::COLOR_GRAY2BGR);
      return out;
    case 2: {
      out.create(samples.size(), CV_8UC4);
      cv::mixChannels({samples}, {out}, {0, 0, 0, 1, 0, 2, 1, 3});
      return out;
    }
    case 3:
      if (order == SampleOrder::bgr) return samples;
      cv::cvtColor(samples, out, cv::COLOR_RGB2BGR);
      return out;
    default:
      if (order == SampleOrder::bgr) return samples;
      cv::cvtColor(samples, out, cv::COLOR_RGBA2BGRA);
      return out;
  }
}

}  // namespace

cv::Mat oriented(const cv::Mat& pixels, int orientation) {
  require(orientation >= 1 && orientation <= 8, "EXIF orientation is 1 to 8");
  cv::Mat out;
  switch (orientation) {
    case 2:
      cv::flip(pixels, out, 1);
      return out;
    case 3:
      cv::rotate(pixels, out, cv::ROTATE_180);
      return out;
    case 4:
      cv::flip(pixels, out, 0);
      return out;
    case 5:
      cv::transpose(pixels, out);
      return out;
    case 6:
      cv::rotate(pixels, out, cv::ROTATE_90_CLOCKWISE);
      return out;
    case 7:
      cv::rotate(pixels, out, cv::ROTATE_180);
      cv::transpose(out, out);
      return out;
    case 8:
      cv::rotate(pixels, out, cv::ROTATE_90_COUNTERCLOCKWISE);
      return out;
    default:
      return pixels;
  }
}

Upright upright_srgb(Raster raster, int orientation) {
  Upright result;
  cv::Mat pixels;
  if (is_profiled(raster)) {
    SrgbPixels converted = srgb_from_profiled(raster);
    result.profile_name = converted.profile_name;
    pixels = converted.pixels;
  }
  if (pixels.empty()) pixels = bgr_or_bgra(rounded_to_8(raster.samples), raster.order);
  raster.samples.release();
  raster.owner.reset();
  if (pixels.channels() == 4) pixels = flattened_on_white(pixels);
  result.bgr = oriented(pixels, orientation);
  return result;
}

}  // namespace verdigrid
