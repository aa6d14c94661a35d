#include "compare/close_up_correlation.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "compare/close_up_contrast.h"

namespace verdigrid {

namespace {

constexpr int k_disc_px = 40;  // diameter of the searched disc
constexpr double k_scale_step = 1.12;
constexpr int k_turns = 40;
constexpr int k_peaks_per_look = 3;

using Channels = std::vector<cv::Mat>;  // CV_32FC1

Channels channels_of(const cv::Mat& contrast) {
  Channels out;
  cv::split(contrast, out);
  return out;
}

cv::Mat spectrum(const cv::Mat& picture, cv::Size size) {
  cv::Mat padded = cv::Mat::zeros(size, CV_32FC1);
  picture.copyTo(padded(cv::Rect({}, picture.size())));
  cv::Mat out;
  cv::dft(padded, out);
  return out;
}

// Sum of picture times pattern, over their channels, for every place of the pattern's top-left
// corner.
cv::Mat correlated(const Channels& spectra, const Channels& patterns) {
  cv::Mat sum, product, out;
  for (size_t c = 0; c < spectra.size(); ++c) {
    cv::mulSpectrums(spectra[c], spectrum(patterns[c], spectra[c].size()), product, 0, true);
    sum = c == 0 ? product.clone() : cv::Mat(sum + product);
  }
  cv::dft(sum, out, cv::DFT_INVERSE | cv::DFT_SCALE | cv::DFT_REAL_OUTPUT);
  return out;
}

cv::Mat disc_of(int side) {
  cv::Mat disc = cv::Mat::zeros(side, side, CV_32FC1);
  const double c = (side - 1) / 2.0, r2 = side * side / 4.0;
  for (int y = 0; y < side; ++y)
    for (int x = 0; x < side; ++x)
      if ((x - c) * (x - c) + (y - c) * (y - c) <= r2) disc.at<float>(y, x) = 1;
  return disc;
}

// The photo at one scale, ready to be searched.
struct ScaledPhoto {
  Channels spectra;
  cv::Mat energy;  // square root of the disc's, at each place; 0 where it says nothing
  double photo_scale = 1;
  cv::Size places;
};

ScaledPhoto look_at(const cv::Mat& photo, double photo_scale, const cv::Mat& disc,
                    double sigma_px) {
  ScaledPhoto out;
  out.photo_scale = photo_scale;
  // Discs may hang over the photo's border by a quarter.
  cv::Mat wide;
  const int border = disc.cols / 4;
  cv::copyMakeBorder(contrast_of(resized(photo, photo_scale), sigma_px), wide, border, border,
                     border, border, cv::BORDER_REPLICATE);
  out.places = {wide.cols - disc.cols + 1, wide.rows - disc.rows + 1};
  if (out.places.width < 1 || out.places.height < 1) return out;
  const cv::Size size(cv::getOptimalDFTSize(wide.cols), cv::getOptimalDFTSize(wide.rows));
  const double n = cv::sum(disc)[0];
  const cv::Rect places({}, out.places);
  out.energy = cv::Mat::zeros(out.places, CV_32FC1);
  for (const cv::Mat& channel : channels_of(wide)) {
    out.spectra.push_back(spectrum(channel, size));
    const cv::Mat sum = correlated({out.spectra.back()}, {disc})(places),
                  squares = correlated({spectrum(channel.mul(channel), size)}, {disc})(places);
    out.energy += squares - sum.mul(sum) / n;
  }
  out.energy.setTo(0, out.energy < k_least_energy * n);
  cv::sqrt(out.energy, out.energy);
  return out;
}

// The disc of the close-up, turned; each channel of zero mean, all of length 1.
Channels pattern_of(const cv::Mat& contrast, const cv::Mat& disc, double turn_deg) {
  const cv::Point2d middle{(contrast.cols - 1) / 2.0, (contrast.rows - 1) / 2.0};
  cv::Mat turn = cv::getRotationMatrix2D(middle, -turn_deg, 1);
  const double to = (disc.cols - 1) / 2.0;
  turn.at<double>(0, 2) += to - middle.x;
  turn.at<double>(1, 2) += to - middle.y;
  cv::Mat turned;
  cv::warpAffine(contrast, turned, turn, disc.size(), cv::INTER_LINEAR, cv::BORDER_REFLECT);
  Channels out = channels_of(turned);
  double squares = 0;
  for (cv::Mat& channel : out) {
    channel -= channel.dot(disc) / cv::sum(disc)[0];
    channel = channel.mul(disc);
    squares += channel.dot(channel);
  }
  for (cv::Mat& channel : out)
    if (squares > 0) channel *= 1 / std::sqrt(squares);
  return out;
}

cv::Matx33d view_at(const ScaledPhoto& look, cv::Point at, double turn_deg, double close_scale,
                    cv::Size close_up, int disc_px) {
  const int border = disc_px / 4;
  const double half = (disc_px - 1) / 2.0;
  const cv::Point2d photo_px =
      (cv::Point2d(at.x - border + half + 0.5, at.y - border + half + 0.5)) *
          (1 / look.photo_scale) -
      cv::Point2d(0.5, 0.5);
  const double s = close_scale / look.photo_scale, a = turn_deg * CV_PI / 180;
  const cv::Point2d middle{(close_up.width - 1) / 2.0, (close_up.height - 1) / 2.0};
  const cv::Matx33d about{
      s * std::cos(a), -s * std::sin(a), 0, s * std::sin(a), s * std::cos(a), 0, 0, 0, 1};
  cv::Matx33d out = about;
  const cv::Point2d moved = mapped(about, middle);
  out(0, 2) = photo_px.x - moved.x;
  out(1, 2) = photo_px.y - moved.y;
  return out;
}

void keep_apart(std::vector<CloseUpPeak>& peaks, size_t count, cv::Size close_up) {
  std::stable_sort(peaks.begin(), peaks.end(),
                   [](const CloseUpPeak& a, const CloseUpPeak& b) { return a.score > b.score; });
  std::vector<CloseUpPeak> kept;
  for (const CloseUpPeak& peak : peaks) {
    if (kept.size() == count) break;
    const bool is_new = std::none_of(kept.begin(), kept.end(), [&](const CloseUpPeak& k) {
      return is_same_place(k.photo_from_close_up, peak.photo_from_close_up, close_up);
    });
    if (is_new) kept.push_back(peak);
  }
  peaks = std::move(kept);
}

}  // namespace

std::vector<CloseUpPeak> close_up_peaks(const cv::Mat& photo, const cv::Mat& close_up,
                                        const CloseUpOptions& options, size_t count,
                                        const Work& work) {
  const double close_scale =
      static_cast<double>(k_disc_px) / std::min(close_up.cols, close_up.rows);
  const cv::Mat disc = disc_of(k_disc_px);
  const double sigma = k_contrast_share * k_disc_px * 1.5;
  const cv::Mat contrast = contrast_of(resized(close_up, close_scale), sigma);
  std::vector<Channels> patterns;
  for (int t = 0; t < k_turns; ++t)
    patterns.push_back(pattern_of(contrast, disc, t * 360.0 / k_turns));
  std::vector<double> scales;
  for (double s = options.least_scale; s <= options.largest_scale; s *= k_scale_step)
    if (close_scale * s <= 1) scales.push_back(s);
  std::vector<std::vector<CloseUpPeak>> found(scales.size());
  cv::parallel_for_(cv::Range(0, static_cast<int>(scales.size())), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i) {
      if (work.stop.stop_requested()) return;
      const double s = scales[static_cast<size_t>(i)];
      const ScaledPhoto look = look_at(photo, close_scale * s, disc, sigma);
      if (look.spectra.empty()) continue;
      for (int t = 0; t < k_turns; ++t) {
        cv::Mat score =
            correlated(look.spectra, patterns[static_cast<size_t>(t)])(cv::Rect({}, look.places))
                .clone();
        cv::divide(score, look.energy, score);
        score.setTo(0, look.energy == 0);
        for (int k = 0; k < k_peaks_per_look; ++k) {
          double most = 0;
          cv::Point at;
          cv::minMaxLoc(score, nullptr, &most, nullptr, &at);
          found[static_cast<size_t>(i)].push_back(
              {view_at(look, at, t * 360.0 / k_turns, close_scale, close_up.size(), k_disc_px),
               most, 0});
          cv::circle(score, at, k_disc_px / 4, cv::Scalar(0), cv::FILLED);
        }
      }
    }
  });
  work.check();
  std::vector<CloseUpPeak> peaks;
  for (const auto& some : found) peaks.insert(peaks.end(), some.begin(), some.end());
  keep_apart(peaks, count, close_up.size());
  return peaks;
}

}  // namespace verdigrid
