#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "compare/close_up_contrast.h"
#include "compare/close_up_correlation.h"
#include "compare/close_up_search.h"

namespace verdigrid {

namespace {

constexpr double k_same_place = 0.3;  // mean distance of the corners, share of the size
constexpr std::array<int, 2> k_sharp_px{96, 220};  // longer side at which views are sharpened
constexpr int k_ways = 4;
constexpr double k_least_overlap = 0.5;
// A view is consistent when cells of the close-up agree on it.
constexpr int k_cells = 4;
constexpr double k_cell_reach = 0.12, k_cell_off = 0.035;  // of the close-up's longer side
constexpr double k_cell_score = 0.6;

// Both pictures at one scale, for sharpening a view.
class Sharpener {
 public:
  Sharpener(const cv::Mat& photo, const cv::Mat& close_up, const cv::Matx33d& start, int long_px) {
    const double scale = close_up_scale(start, close_up.size());
    const double longer = std::max(close_up.cols, close_up.rows);
    const double close_scale = std::min({1.0, long_px / longer, 2 / scale});
    const double photo_scale = std::min(2.0, scale * close_scale);
    const cv::Mat small = resized(resized(close_up, std::min(1.0, 1 / scale)),
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
    photo_ = contrast_of(resized(photo(crop), photo_scale), sigma);
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

// A small change of a view about the close-up's middle, by its corners in px: shift, turn, scale.
// More freedom follows tall parts off the board.
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
    default:
      d(0, 0) = d(1, 1) = 1 + share;
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
      for (int which = 0; which < k_ways; ++which)
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
