#include "compare/look_change.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "base/colour.h"
#include "base/error.h"
#include "base/lab_picture.h"
#include "base/parallel.h"
#include "compare/refine.h"
#include "compare/robust.h"

namespace verdigrid {

namespace {

constexpr int k_block_px = 8;
constexpr int k_terms = 7, k_rounds = 15;
constexpr double k_dark = 8, k_bright = 247;  // levels beyond which a channel tells nothing
// Of slope 1, per sample, against log light that varies by about 1: cameras' contrasts differ by a
// quarter or so (our own choice).
constexpr double k_slope_weight = 0.05;
constexpr double k_least_slope = 0.5, k_largest_slope = 2;
constexpr double k_black = 1.0 / 4096;  // added before the logarithm
constexpr double k_plain_sd = 1.4826;   // standard deviation of the median distance

using Terms = std::array<double, k_terms>;

struct Sample {
  Terms row;  // log(after), then the quadratic
  double value = 0;
};

double log_light(double level) { return std::log(linear_from_srgb(level / 255) + k_black); }

std::array<double, 6> quadratic(double u, double v) { return {1, u, v, u * u, u * v, v * v}; }

cv::Point2d unit_place(cv::Point2d p, cv::Size size) {
  const double longer = std::max(size.width, size.height);
  return {(p.x + 0.5 - size.width / 2.0) / longer, (p.y + 0.5 - size.height / 2.0) / longer};
}

double predicted(const Terms& t, const Terms& row) {
  double sum = 0;
  for (size_t k = 0; k < t.size(); ++k) sum += t[k] * row[k];
  return sum;
}

double median_of(std::vector<double> v) {
  if (v.empty()) return 0;
  const auto middle = v.begin() + static_cast<long>(v.size() / 2);
  std::nth_element(v.begin(), middle, v.end());
  return *middle;
}

Terms solved(const std::vector<Sample>& samples, const std::vector<double>& weight) {
  cv::Matx<double, k_terms, k_terms> normal = cv::Matx<double, k_terms, k_terms>::zeros();
  cv::Matx<double, k_terms, 1> right = cv::Matx<double, k_terms, 1>::zeros();
  double total = 0;
  for (size_t i = 0; i < samples.size(); ++i) {
    const cv::Matx<double, 1, k_terms> row(samples[i].row.data());
    normal += weight[i] * (row.t() * row);
    right += weight[i] * samples[i].value * row.t();
    total += weight[i];
  }
  // Held near slope 1 and no field where the samples do not tell.
  const double ridge = 1e-3 * std::max(total, 1.0);
  for (int k = 1; k < k_terms; ++k) normal(k, k) += ridge;
  normal(0, 0) += k_slope_weight * std::max(total, 1.0);
  right(0) += k_slope_weight * std::max(total, 1.0);
  const cv::Matx<double, k_terms, 1> x = normal.solve(right, cv::DECOMP_CHOLESKY);
  Terms t{};
  for (int k = 0; k < k_terms; ++k) t[static_cast<size_t>(k)] = x(k);
  t[0] = std::clamp(t[0], k_least_slope, k_largest_slope);
  return t;
}

Terms fitted_terms(const std::vector<Sample>& samples) {
  std::vector<double> weight(samples.size(), 1), off;
  Terms t{1};
  if (samples.size() < 30) return t;
  // Start: the median ratio, so that many changed places do not matter.
  for (const Sample& s : samples) off.push_back(s.value - s.row[0]);
  t[1] = median_of(off);
  for (int round = 0; round < k_rounds; ++round) {
    off.clear();
    for (const Sample& s : samples) off.push_back(std::abs(s.value - predicted(t, s.row)));
    const double cut = std::max(4.685 * k_plain_sd * median_of(off), 1e-3);
    for (size_t i = 0; i < samples.size(); ++i) weight[i] = biweight(off[i], cut);
    t = solved(samples, weight);
  }
  return t;
}

// Means of blocks that lie in both photos, hold no residue and are neither black nor burnt.
std::array<std::vector<Sample>, 3> samples_of(const cv::Mat& before, const cv::Mat& after,
                                              const cv::Mat& usable) {
  std::array<std::vector<Sample>, 3> out;
  for (int y = 0; y + k_block_px <= before.rows; y += k_block_px)
    for (int x = 0; x + k_block_px <= before.cols; x += k_block_px) {
      const cv::Rect block(x, y, k_block_px, k_block_px);
      if (cv::countNonZero(usable(block)) < block.area()) continue;
      const cv::Scalar b = cv::mean(before(block)), a = cv::mean(after(block));
      const cv::Point2d p =
          unit_place({x + k_block_px / 2.0 - 0.5, y + k_block_px / 2.0 - 0.5}, before.size());
      const auto q = quadratic(p.x, p.y);
      for (int c = 0; c < 3; ++c) {
        if (b[c] < k_dark || b[c] > k_bright || a[c] < k_dark || a[c] > k_bright) continue;
        Sample s{{log_light(a[c])}, log_light(b[c])};
        std::copy(q.begin(), q.end(), s.row.begin() + 1);
        out[static_cast<size_t>(c)].push_back(s);
      }
    }
  return out;
}

void harmonise(cv::Mat& bgr, const Harmony& harmony) {
  std::array<double, 256> logs{};
  for (int v = 0; v < 256; ++v) logs[static_cast<size_t>(v)] = log_light(v);
  // From log light in steps of 1/64 back to levels.
  constexpr double k_low = -9, k_steps = 64;
  std::array<uchar, 1024> levels{};
  for (size_t i = 0; i < levels.size(); ++i) {
    const double light = std::exp(k_low + static_cast<double>(i) / k_steps) - k_black;
    levels[i] = cv::saturate_cast<uchar>(255 * srgb_from_linear(std::clamp(light, 0.0, 1.0)));
  }
  cv::parallel_for_(cv::Range(0, bgr.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) {
      auto* row = bgr.ptr<cv::Vec3b>(y);
      for (int x = 0; x < bgr.cols; ++x) {
        if (row[x] == cv::Vec3b(0, 0, 0)) continue;
        const cv::Point2d p = unit_place({double(x), double(y)}, bgr.size());
        const auto q = quadratic(p.x, p.y);
        for (int c = 0; c < 3; ++c) {
          const auto& t = harmony.terms[static_cast<size_t>(c)];
          double log = t[0] * logs[row[x][c]];
          for (size_t k = 0; k < q.size(); ++k) log += t[k + 1] * q[k];
          const double at = std::clamp((log - k_low) * k_steps, 0.0, 1023.0);
          row[x][c] = levels[static_cast<size_t>(at)];
        }
      }
    }
  });
}

cv::Mat lab_of(const cv::Mat& bgr) {
  cv::Mat lab = lab_of_bgr(bgr);
  cv::GaussianBlur(lab, lab, {}, 0.8);
  return lab;
}

// How far `at` lies outside what `near` holds within the slack, per pixel.
cv::Mat distance_from(const cv::Mat& at, const cv::Mat& near, int slack) {
  cv::Mat low = near, high = near;
  if (slack > 0) {
    const cv::Mat window =
        cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * slack + 1, 2 * slack + 1});
    cv::erode(near, low, window);
    cv::dilate(near, high, window);
  }
  cv::Mat out(at.size(), CV_32FC1);
  cv::parallel_for_(cv::Range(0, at.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) {
      const auto *v = at.ptr<cv::Vec3f>(y), *l = low.ptr<cv::Vec3f>(y), *h = high.ptr<cv::Vec3f>(y);
      auto* to = out.ptr<float>(y);
      for (int x = 0; x < at.cols; ++x) {
        float squares = 0;
        for (int c = 0; c < 3; ++c) {
          const float off = std::max({0.0F, l[x][c] - v[x][c], v[x][c] - h[x][c]});
          squares += off * off;
        }
        to[x] = std::sqrt(squares);
      }
    }
  });
  return out;
}

double rest_of(const cv::Mat& difference, const cv::Mat& usable) {
  std::vector<double> values;
  for (int y = 0; y < difference.rows; y += 2)
    for (int x = 0; x < difference.cols; x += 2)
      if (usable.at<uchar>(y, x)) values.push_back(difference.at<float>(y, x));
  return k_plain_sd * median_of(std::move(values));
}

}  // namespace

void LookChangeOptions::check() const {
  const auto refuse = [](const char* what) {
    throw Error(ErrorKind::wrong_use, fmt::format("Change of look: {}.", what));
  };
  if (long_side_px < 200 || long_side_px > 4000) refuse("long_side_px must be 200 to 4000");
  if (!(least_difference > 0)) refuse("least_difference must be above 0");
  if (!(noise_factor > 0)) refuse("noise_factor must be above 0");
  if (slack_px < 0 || slack_px > 20) refuse("slack_px must be 0 to 20");
}

double look_scale_of(cv::Size before_px, const LookChangeOptions& options) {
  return std::min(
      1.0, static_cast<double>(options.long_side_px) / std::max(before_px.width, before_px.height));
}

PointMap reduced_map(const Alignment& alignment, cv::Size size) {
  const double back_x = static_cast<double>(alignment.before_size_px.width) / size.width,
               back_y = static_cast<double>(alignment.before_size_px.height) / size.height;
  return [back_x, back_y, m = alignment.after_from_before](cv::Point2d p) {
    return m({(p.x + 0.5) * back_x - 0.5, (p.y + 0.5) * back_y - 0.5});
  };
}

cv::Mat aligned_after(const cv::Mat& after_bgr, const Alignment& alignment, cv::Size size,
                      const Harmony* harmony) {
  const double scale = static_cast<double>(size.width) / alignment.before_size_px.width;
  // What is shown smaller is made smaller first, so that nothing flickers.
  const double shrink = std::min(1.0, scale / alignment.scale);
  const cv::Mat source = shrink < 0.75 ? resized_photo(after_bgr, shrink) : after_bgr;
  const double sx = static_cast<double>(source.cols) / after_bgr.cols,
               sy = static_cast<double>(source.rows) / after_bgr.rows;
  const PointMap map = [sx, sy, full = reduced_map(alignment, size)](cv::Point2d p) {
    const cv::Point2d q = full(p);
    return cv::Point2d{(q.x + 0.5) * sx - 0.5, (q.y + 0.5) * sy - 0.5};
  };
  cv::Mat out = seen_through(source, size, map, cv::INTER_LINEAR, cv::Scalar::all(0));
  if (harmony) harmonise(out, *harmony);
  return out;
}

LookChange look_change(const cv::Mat& before_bgr, const cv::Mat& after_bgr,
                       const Alignment& alignment, const cv::Mat& left_out,
                       const LookChangeOptions& options, const Work& work) {
  options.check();
  LookChange out;
  out.scale = look_scale_of(before_bgr.size(), options);
  out.before = resized_photo(before_bgr, out.scale);
  out.after = aligned_after(after_bgr, alignment, out.before.size(), nullptr);
  work.check();
  out.in_both = shown_through(alignment.after_size_px, out.before.size(),
                              reduced_map(alignment, out.before.size()));
  cv::erode(out.in_both, out.in_both, cv::Mat(), {-1, -1}, 2);
  cv::Mat usable = out.in_both.clone();
  if (!left_out.empty()) {
    cv::Mat out_of_it;
    cv::resize(left_out, out_of_it, out.before.size(), 0, 0, cv::INTER_NEAREST);
    usable.setTo(0, out_of_it);
  }
  const auto samples = samples_of(out.before, out.after, usable);
  in_parallel(3, [&](size_t c) { out.harmony.terms[c] = fitted_terms(samples[c]); });
  harmonise(out.after, out.harmony);
  work.check();
  cv::Mat b, a;
  in_parallel(2, [&](size_t k) { (k == 0 ? b : a) = lab_of(k == 0 ? out.before : out.after); });
  // The noise that the slack leaves over, and the plain rest for the record.
  cv::Mat went, came;
  double rest_went = 0, rest_came = 0;
  in_parallel(3, [&](size_t k) {
    if (k == 0) rest_went = rest_of(went = distance_from(b, a, options.slack_px), usable);
    if (k == 1) rest_came = rest_of(came = distance_from(a, b, options.slack_px), usable);
    if (k == 2) out.harmony.rest_lab = rest_of(distance_from(b, a, 0), usable);
  });
  out.threshold =
      std::max(options.least_difference, options.noise_factor * std::max(rest_went, rest_came));
  out.went = (went > out.threshold) & out.in_both;
  out.came = (came > out.threshold) & out.in_both;
  return out;
}

}  // namespace verdigrid
