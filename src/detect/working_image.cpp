#include "detect/working_image.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "base/error.h"

namespace verdigrid {
namespace {

constexpr double k_local_sigma_of_diagonal = 0.02;
constexpr int k_local_reduction = 8;  // the local colour is smooth: blurred at 1/8 size
constexpr float k_flat_numerator = 70.F, k_flat_offset = 20.F;

int reduction_factor(const Photo& photo, const Rectification& r) {
  const double px = static_cast<double>(photo.bgr.total());
  int factor = std::max(1, static_cast<int>(std::ceil(std::sqrt(px / k_working_pixels) - 1e-9)));
  if (r.px_per_mm) {
    const int by_scale = static_cast<int>(r.px_per_mm->value / k_working_px_per_mm);
    factor = std::max(factor, by_scale);
  }
  return std::min(factor, std::max(1, std::min(photo.bgr.cols, photo.bgr.rows)));
}

cv::Mat reduced(const cv::Mat& bgr, int factor) {
  if (factor == 1) return bgr;
  const cv::Size size(bgr.cols / factor, bgr.rows / factor);
  cv::Mat small;
  cv::resize(bgr(cv::Rect(0, 0, size.width * factor, size.height * factor)), small, size, 0, 0,
             cv::INTER_AREA);
  return small;
}

// f of CIE 15:2004 section 8.2.1 at 4096 steps of 0..1.09 (linear in between: error below 0.02 in
// L).
class LabCurve {
 public:
  LabCurve() {
    for (std::size_t i = 0; i < table_.size(); ++i) {
      const double t = static_cast<double>(i) / k_steps_per_unit;
      table_[i] = static_cast<float>(t > 216.0 / 24389.0 ? std::cbrt(t)
                                                         : (24389.0 / 27.0 * t + 16.0) / 116.0);
    }
  }
  float operator()(float t) const {
    const float s = std::max(t, 0.F) * k_steps_per_unit;
    const auto i = std::min(static_cast<std::size_t>(s), table_.size() - 2);
    return table_[i] + (s - static_cast<float>(i)) * (table_[i + 1] - table_[i]);
  }

 private:
  static constexpr float k_steps_per_unit = 4096.F;
  std::array<float, 4500> table_{};
};

cv::Vec3f lab_of(const cv::Vec3b& p, const std::array<float, 256>& linear, const LabCurve& f) {
  const float b = linear[p[0]], g = linear[p[1]], r = linear[p[2]];
  // sRGB to XYZ over white (IEC 61966-2-1), rows divided by the white point.
  const float x = f(0.43390F * r + 0.37627F * g + 0.18984F * b);
  const float y = f(0.21264F * r + 0.71517F * g + 0.07219F * b);
  const float z = f(0.01775F * r + 0.10945F * g + 0.87280F * b);
  return {116.F * y - 16.F, 500.F * (x - y), 200.F * (y - z)};
}

cv::Mat lab_image(const cv::Mat& bgr) {
  const auto& linear = linear_from_srgb8();
  const LabCurve curve;
  cv::Mat lab(bgr.size(), CV_32FC3);
  cv::parallel_for_(cv::Range(0, bgr.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) {
      const auto* in = bgr.ptr<cv::Vec3b>(y);
      auto* out = lab.ptr<cv::Vec3f>(y);
      for (int x = 0; x < bgr.cols; ++x) out[x] = lab_of(in[x], linear, curve);
    }
  });
  return lab;
}

cv::Mat board_map(cv::Size size, int factor, const Rectification& r) {
  cv::Mat board(size, CV_8UC1, cv::Scalar(255));
  if (r.outline_is_frame || r.outline_px.empty()) return board;
  board.setTo(0);
  std::vector<std::vector<cv::Point>> rings;
  const auto add = [&](const Ring& ring) {
    std::vector<cv::Point> points;
    for (const auto& p : ring)
      points.emplace_back(cvRound((p.x + 0.5) / factor - 0.5), cvRound((p.y + 0.5) / factor - 0.5));
    rings.push_back(std::move(points));
  };
  add(r.outline_px.outer);
  for (const auto& hole : r.outline_px.holes) add(hole);
  cv::fillPoly(board, rings, cv::Scalar(255));
  // Two px off on every side, frame included, so that no photo px outside the outline is ever
  // covered.
  cv::Mat whole;
  cv::erode(board, whole, cv::getStructuringElement(cv::MORPH_RECT, {5, 5}), {-1, -1}, 1,
            cv::BORDER_CONSTANT, cv::Scalar(0));
  return whole;
}

float median(std::vector<float>& values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// Colour cast: median a and b of the near-neutral middle tones, of which 70 % is taken out (a board
// may own a near-neutral colour that is not grey). Our own rule.
Lab white_shift(const cv::Mat& lab) {
  std::vector<float> a, b;
  for (int y = 0; y < lab.rows; y += 3) {
    const auto* row = lab.ptr<cv::Vec3f>(y);
    for (int x = y % 3; x < lab.cols; x += 3) {
      const auto& v = row[x];
      if (v[0] < 25 || v[0] > 92 || v[1] * v[1] + v[2] * v[2] > 100) continue;
      a.push_back(v[1]);
      b.push_back(v[2]);
    }
  }
  if (a.size() < 60) return {};
  return {0, 0.7 * static_cast<double>(median(a)), 0.7 * static_cast<double>(median(b))};
}

void balance(cv::Mat& lab, const Lab& shift) {
  const auto a = static_cast<float>(shift.a), b = static_cast<float>(shift.b);
  cv::parallel_for_(cv::Range(0, lab.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) {
      auto* row = lab.ptr<cv::Vec3f>(y);
      for (int x = 0; x < lab.cols; ++x) {
        row[x][1] -= a;
        row[x][2] -= b;
      }
    }
  });
}

// Mean over the board only, so that a desk or a mat beside it has no say.
cv::Mat local_colour(const cv::Mat& lab, const cv::Mat& board, double diagonal_px) {
  const cv::Size small(std::max(1, lab.cols / k_local_reduction),
                       std::max(1, lab.rows / k_local_reduction));
  cv::Mat colour, weight;
  cv::resize(lab, colour, small, 0, 0, cv::INTER_AREA);
  cv::resize(board, weight, small, 0, 0, cv::INTER_AREA);
  weight.convertTo(weight, CV_32F, 1.0 / 255, 1e-4);
  cv::Mat weights;
  cv::merge(std::vector<cv::Mat>(3, weight), weights);
  colour = colour.mul(weights);
  const double sigma = std::max(1.0, k_local_sigma_of_diagonal * diagonal_px / k_local_reduction);
  cv::GaussianBlur(colour, colour, {0, 0}, sigma);
  cv::GaussianBlur(weights, weights, {0, 0}, sigma);
  cv::divide(colour, weights, colour);
  cv::Mat local;
  cv::resize(colour, local, lab.size(), 0, 0, cv::INTER_LINEAR);
  return local;
}

// Mode of a coarse Lab histogram (8 units a side) over the board, then the mean of that cell.
Lab most_common_colour(const cv::Mat& lab, const cv::Mat& board) {
  constexpr int n = 32;
  struct Cell {
    int count = 0;
    cv::Vec3d sum;
  };
  std::vector<Cell> cells(n * n * n);
  const auto index = [](float v, float low) {
    return std::clamp(static_cast<int>((v - low) / 8.F), 0, n - 1);
  };
  for (int y = 0; y < lab.rows; y += 2) {
    const auto* row = lab.ptr<cv::Vec3f>(y);
    const auto* on = board.ptr<uchar>(y);
    for (int x = y / 2 % 2; x < lab.cols; x += 2) {
      const auto& v = row[x];
      // Black parts and white paper are not what a solder mask looks like.
      if (!on[x] || v[0] < 8 || v[0] > 92) continue;
      auto& cell = cells[static_cast<std::size_t>((index(v[0], 0) * n + index(v[1], -128)) * n +
                                                  index(v[2], -128))];
      ++cell.count;
      cell.sum += cv::Vec3d(v);
    }
  }
  const auto best = std::max_element(
      cells.begin(), cells.end(), [](const Cell& p, const Cell& q) { return p.count < q.count; });
  if (best->count == 0) return {50, 0, 0};
  const cv::Vec3d mean = best->sum * (1.0 / best->count);
  return {mean[0], mean[1], mean[2]};
}

}  // namespace

WorkingImage working_image(const Photo& photo, const Rectification& rectification) {
  require(photo.bgr.type() == CV_8UC3 && !photo.bgr.empty(), "a photo is BGR with 8 bits");
  WorkingImage image;
  image.factor = reduction_factor(photo, rectification);
  image.photo_px = photo.size_px();
  image.bgr = reduced(photo.bgr, image.factor);
  image.lab = lab_image(image.bgr);
  image.board = board_map(image.bgr.size(), image.factor, rectification);
  image.board_px = cv::countNonZero(image.board);
  const cv::Rect box = cv::boundingRect(image.board);
  image.diagonal_px = std::max(1.0, std::hypot(box.width, box.height));
  if (rectification.px_per_mm) image.px_per_mm = rectification.px_per_mm->value / image.factor;
  image.white_shift = white_shift(image.lab);
  balance(image.lab, image.white_shift);
  image.local = local_colour(image.lab, image.board, image.diagonal_px);
  image.own_mask = most_common_colour(image.lab, image.board);
  return image;
}

BoardColour board_colour(const Photo& photo, const Rectification& rectification) {
  constexpr double k_samples = 40000;
  const double px = static_cast<double>(photo.bgr.total());
  const int step = std::max(1, static_cast<int>(std::sqrt(px / k_samples)));
  cv::Mat sample((photo.bgr.rows + step - 1) / step, (photo.bgr.cols + step - 1) / step, CV_8UC3);
  for (int y = 0; y < sample.rows; ++y)
    for (int x = 0; x < sample.cols; ++x)
      sample.at<cv::Vec3b>(y, x) = photo.bgr.at<cv::Vec3b>(y * step, x * step);
  cv::Mat lab = lab_image(sample);
  BoardColour colour;
  colour.white_shift = white_shift(lab);
  balance(lab, colour.white_shift);
  colour.own_mask = most_common_colour(lab, board_map(sample.size(), step, rectification));
  return colour;
}

cv::Point2f flattened_chroma(const cv::Vec3f& lab) {
  const float gain = k_flat_numerator / (std::max(lab[0], 0.F) + k_flat_offset);
  return {lab[1] * gain, lab[2] * gain};
}

cv::Mat at_photo_size(const cv::Mat& working_map, const WorkingImage& image) {
  require(working_map.type() == CV_8UC1 && working_map.size() == image.bgr.size(),
          "a working map has the working size");
  if (image.factor == 1) return working_map.clone();
  cv::Mat full(image.photo_px, CV_8UC1);
  cv::parallel_for_(cv::Range(0, working_map.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) {
      const auto* in = working_map.ptr<uchar>(y);
      const int top = y * image.factor;
      const int bottom = y + 1 == working_map.rows ? full.rows : top + image.factor;
      auto* out = full.ptr<uchar>(top);
      for (int x = 0; x < working_map.cols; ++x)
        std::memset(out + x * image.factor, in[x], static_cast<std::size_t>(image.factor));
      const int done = working_map.cols * image.factor;
      std::memset(out + done, in[working_map.cols - 1], static_cast<std::size_t>(full.cols - done));
      for (int row = top + 1; row < bottom; ++row)
        std::memcpy(full.ptr<uchar>(row), out, static_cast<std::size_t>(full.cols));
    }
  });
  return full;
}

}  // namespace verdigrid
