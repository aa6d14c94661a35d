#include "compare/close_up_correlation.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "compare/close_up_search.h"

namespace verdigrid {

namespace {

constexpr int k_disc_px = 40;  // diameter of the searched disc
constexpr double k_scale_step = 1.12;
constexpr int k_turns = 40;
constexpr int k_peaks_per_look = 3;
constexpr double k_contrast_share = 0.1;  // sigma of the local mean, of the close-up's shorter side
constexpr double k_least_contrast = 2;    // L: flatter places have none
constexpr double k_colour_unit = 20;      // a, b: so much counts as much as full contrast
constexpr double k_least_energy = 0.15;   // mean square of local contrast of a place that counts
constexpr double k_same_place = 0.3;      // mean distance of the corners, share of the size
constexpr std::array<int, 2> k_sharp_px{96, 220};  // longer side at which views are sharpened
constexpr double k_least_overlap = 0.5;
// A view is consistent when cells of the close-up agree on it.
constexpr int k_cells = 4;
constexpr double k_cell_reach = 0.12, k_cell_off = 0.035;  // of the close-up's longer side
constexpr double k_cell_score = 0.6;

// Lightness against the mean and spread of its neighbourhood, and the two colour differences
// (Lab a, b) in the same measure, which the light's colour moves by a constant only. CV_32FC3.
cv::Mat contrast_of(const cv::Mat& bgr, double sigma_px) {
  cv::Mat real, lab, mean, spread;
  bgr.convertTo(real, CV_32FC3, 1 / 255.0);
  cv::cvtColor(real, lab, cv::COLOR_BGR2Lab);
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

cv::Mat reduced(const cv::Mat& grey, double scale) {
  cv::Mat out;
  cv::resize(grey, out, {}, scale, scale, scale < 1 ? cv::INTER_AREA : cv::INTER_CUBIC);
  return out;
}

cv::Matx33d resized_by(double scale) {
  const double shift = 0.5 * scale - 0.5;
  return {scale, 0, shift, 0, scale, shift, 0, 0, 1};
}

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
  cv::copyMakeBorder(contrast_of(reduced(photo, photo_scale), sigma_px), wide, border, border,
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

// Both pictures at one scale, for sharpening a view.
class Sharpener {
 public:
  Sharpener(const cv::Mat& photo, const cv::Mat& close_up, const cv::Matx33d& start, int long_px) {
    const double scale = close_up_scale(start, close_up.size());
    const double longer = std::max(close_up.cols, close_up.rows);
    const double close_scale = std::min({1.0, long_px / longer, 2 / scale});
    const double photo_scale = std::min(2.0, scale * close_scale);
    const cv::Mat small = reduced(reduced(close_up, std::min(1.0, 1 / scale)),
                                  close_scale / std::min(1.0, 1 / scale));
    const double sigma = k_contrast_share * std::min(small.cols, small.rows);
    close_ = contrast_of(small, sigma);
    // Only the part of the photo that the view can reach.
    cv::Rect2d box = bounding_box(frame_through(start, close_up.size()));
    const double m = 0.4 * std::max(box.width, box.height);
    const cv::Rect crop =
        cv::Rect(cv::Point(cvFloor(box.x - m), cvFloor(box.y - m)),
                 cv::Point(cvCeil(box.x + box.width + m), cvCeil(box.y + box.height + m))) &
        cv::Rect({}, photo.size());
    if (crop.width < 16 || crop.height < 16) return;
    photo_ = contrast_of(reduced(photo(crop), photo_scale), sigma);
    from_photo_ = resized_by(photo_scale) * cv::Matx33d(1, 0, -crop.x, 0, 1, -crop.y, 0, 0, 1);
    from_close_up_ = resized_by(close_.cols / static_cast<double>(close_up.cols));
    inside_ = cv::Mat(photo_.size(), CV_8UC1, cv::Scalar(255));
  }

  bool is_usable() const { return !photo_.empty(); }
  double size_px() const { return std::max(close_.cols, close_.rows); }
  cv::Matx33d to_small(const cv::Matx33d& view) const {
    return from_photo_ * view * from_close_up_.inv();
  }
  cv::Matx33d to_full(const cv::Matx33d& small) const {
    const cv::Matx33d h = from_photo_.inv() * small * from_close_up_;
    return h * (1 / h(2, 2));
  }

  double score(const cv::Matx33d& small_view) const {
    cv::Mat seen, inside;
    const int flags = cv::INTER_LINEAR | cv::WARP_INVERSE_MAP;
    cv::warpPerspective(photo_, seen, small_view, close_.size(), flags);
    cv::warpPerspective(inside_, inside, small_view, close_.size(),
                        cv::INTER_NEAREST | cv::WARP_INVERSE_MAP);
    const int n = cv::countNonZero(inside);
    if (n < k_least_overlap * static_cast<double>(close_.total())) return -1;
    const cv::Scalar ma = cv::mean(close_, inside), mb = cv::mean(seen, inside);
    double ab = 0, aa = 0, bb = 0;
    for (int y = 0; y < close_.rows; ++y) {
      const auto* a = close_.ptr<cv::Vec3f>(y);
      const auto* b = seen.ptr<cv::Vec3f>(y);
      const auto* in = inside.ptr<uchar>(y);
      for (int x = 0; x < close_.cols; ++x) {
        if (!in[x]) continue;
        for (int c = 0; c < 3; ++c) {
          const double da = a[x][c] - ma[c], db = b[x][c] - mb[c];
          ab += da * db;
          aa += da * da;
          bb += db * db;
        }
      }
    }
    return ab / std::sqrt(std::max(aa, 1e-9) * std::max(bb, k_least_energy * n));
  }

  // Of the close-up's cells that are found again near where the view puts them, the share that lies
  // far off.
  double off_share(const cv::Matx33d& small_view) const {
    cv::Mat seen;
    cv::warpPerspective(photo_, seen, small_view, close_.size(),
                        cv::INTER_LINEAR | cv::WARP_INVERSE_MAP);
    const int w = close_.cols / k_cells, h = close_.rows / k_cells,
              reach = cvRound(k_cell_reach * size_px());
    int found = 0, off = 0;
    for (int j = 0; j < k_cells; ++j)
      for (int i = 0; i < k_cells; ++i) {
        const cv::Rect cell(i * w, j * h, w, h);
        const cv::Rect near =
            cv::Rect(cell.x - reach, cell.y - reach, w + 2 * reach, h + 2 * reach) &
            cv::Rect({}, close_.size());
        cv::Scalar mean, sd;
        cv::meanStdDev(close_(cell), mean, sd);
        if (sd.dot(sd) < k_least_energy) continue;
        cv::Mat score;
        cv::matchTemplate(seen(near), close_(cell), score, cv::TM_CCOEFF_NORMED);
        double most = 0;
        cv::Point at;
        cv::minMaxLoc(score, nullptr, &most, nullptr, &at);
        if (most < k_cell_score) continue;
        ++found;
        off += cv::norm(near.tl() + at - cell.tl()) > k_cell_off * size_px();
      }
    return found < 3 ? 1 : static_cast<double>(off) / found;
  }

 private:
  cv::Mat close_, photo_, inside_;
  cv::Matx33d from_photo_, from_close_up_;
};

// A small change of a view about the close-up's middle, by its corners in px: shift, turn, stretch,
// shear.
cv::Matx33d changed(const cv::Matx33d& view, int which, double step_px, cv::Size2d size) {
  const double cx = size.width / 2, cy = size.height / 2,
               share = 2 * step_px / std::hypot(size.width, size.height);
  cv::Matx33d d = cv::Matx33d::eye();
  switch (which) {
    case 0:
      d(0, 2) = step_px;
      break;
    case 1:
      d(1, 2) = step_px;
      break;
    case 2:
      d(0, 1) = -share;
      d(1, 0) = share;
      break;
    case 3:
      d(0, 0) = d(1, 1) = 1 + share;
      break;
    case 4:
      d(0, 0) = 1 + share;
      d(1, 1) = 1 - share;
      break;
    case 5:
      d(0, 1) = d(1, 0) = share;
      break;
    default:
      d(2, which - 6) = 2 * share / std::hypot(size.width, size.height);
      break;
  }
  const cv::Matx33d to{1, 0, -cx, 0, 1, -cy, 0, 0, 1}, back{1, 0, cx, 0, 1, cy, 0, 0, 1};
  return view * back * d * to;
}

}  // namespace

bool is_same_place(const cv::Matx33d& a, const cv::Matx33d& b, cv::Size close_up) {
  const double w = close_up.width, h = close_up.height;
  double off = 0;
  for (const cv::Point2d& p :
       {cv::Point2d(0, 0), cv::Point2d(w, 0), cv::Point2d(w, h), cv::Point2d(0, h)})
    off += cv::norm(mapped(a, p) - mapped(b, p)) / 4;
  return off < k_same_place * std::max(w, h) / close_up_scale(a, close_up);
}

std::vector<CloseUpPeak> close_up_peaks(const cv::Mat& photo, const cv::Mat& close_up,
                                        const CloseUpOptions& options, size_t count,
                                        const Work& work) {
  const double close_scale =
      static_cast<double>(k_disc_px) / std::min(close_up.cols, close_up.rows);
  const cv::Mat disc = disc_of(k_disc_px);
  const double sigma = k_contrast_share * k_disc_px * 1.5;
  const cv::Mat contrast = contrast_of(reduced(close_up, close_scale), sigma);
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

CloseUpPeak sharpened(const cv::Mat& photo, const cv::Mat& close_up, const cv::Matx33d& start) {
  CloseUpPeak out{start, -1, 1};
  for (int long_px : k_sharp_px) {
    const Sharpener look(photo, close_up, out.photo_from_close_up, long_px);
    if (!look.is_usable()) return out;
    const cv::Size2d size(look.size_px(), look.size_px() * close_up.rows / close_up.cols);
    cv::Matx33d view = look.to_small(out.photo_from_close_up);
    double best = look.score(view);
    for (double step_px = 4; step_px > 0.3;) {
      bool has_moved = false;
      for (int which = 0; which < 4; ++which)
        for (double sign : {1.0, -1.0}) {
          const cv::Matx33d next = changed(view, which, sign * step_px, size);
          const double now = look.score(next);
          if (now <= best) continue;
          best = now;
          view = next;
          has_moved = true;
          break;
        }
      if (!has_moved) step_px /= 2;
    }
    out = {look.to_full(view), best, 0};
    if (long_px == k_sharp_px.back()) out.off_share = look.off_share(view);
  }
  return out;
}

}  // namespace verdigrid
