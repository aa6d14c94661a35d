#include "photo/check_view.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace verdigrid {

namespace {

constexpr double k_reduced_px = 0.6e6;
// Background paper or cloth runs out of the frame with hardly any drawing in it.
constexpr int k_white_from = 235, k_black_to = 20;

// Sums columns first, whole rows at a time, so that the compiler can use wide registers.
void reduce_row(const cv::Mat& bgr, int reduction, int y, std::vector<std::uint16_t>& sums,
                uchar* to) {
  std::fill(sums.begin(), sums.end(), std::uint16_t{0});
  const int row_step = reduction > 3 ? 2 : 1;
  int rows = 0;
  for (int i = 0; i < reduction; i += row_step, ++rows) {
    const uchar* from = bgr.ptr(y * reduction + i);
    for (size_t k = 0; k < sums.size(); ++k)
      sums[k] = static_cast<std::uint16_t>(sums[k] + from[k]);
  }
  const int count = rows * reduction, width = static_cast<int>(sums.size()) / (3 * reduction);
  const std::uint16_t* from = sums.data();
  for (int x = 0; x < width; ++x, to += 3) {
    int b = 0, g = 0, r = 0;
    for (int i = 0; i < reduction; ++i, from += 3) b += from[0], g += from[1], r += from[2];
    to[0] = static_cast<uchar>((b + count / 2) / count);
    to[1] = static_cast<uchar>((g + count / 2) / count);
    to[2] = static_cast<uchar>((r + count / 2) / count);
  }
}

cv::Mat reduced_bgr(const cv::Mat& bgr, int reduction) {
  if (reduction == 1) return bgr;
  cv::Mat out(bgr.rows / reduction, bgr.cols / reduction, CV_8UC3);
  cv::parallel_for_(cv::Range(0, out.rows), [&](const cv::Range& rows) {
    std::vector<std::uint16_t> sums(static_cast<size_t>(3 * reduction * out.cols));
    for (int y = rows.start; y < rows.end; ++y) reduce_row(bgr, reduction, y, sums, out.ptr(y));
  });
  return out;
}

int reduction_for(cv::Size size) {
  const int wanted =
      static_cast<int>(std::lround(std::sqrt(1.0 * size.width * size.height / k_reduced_px)));
  // 255 rows of 255 is the most that the sums of reduce_row hold.
  return std::clamp(wanted, 1, std::clamp(std::min(size.width, size.height), 1, 255));
}

void add_ring(const Ring& ring, int reduction, std::vector<std::vector<cv::Point>>& out) {
  constexpr int k_fraction_bits = 4;
  std::vector<cv::Point> points;
  for (const cv::Point2d& p : ring)
    points.emplace_back(
        static_cast<int>(std::lround(((p.x + 0.5) / reduction - 0.5) * (1 << k_fraction_bits))),
        static_cast<int>(std::lround(((p.y + 0.5) / reduction - 0.5) * (1 << k_fraction_bits))));
  out.push_back(std::move(points));
}

cv::Mat inside_board(cv::Size size, const Polygon& board_px, int reduction) {
  cv::Mat out(size, CV_8UC1, cv::Scalar(0));
  std::vector<std::vector<cv::Point>> rings;
  add_ring(board_px.outer, reduction, rings);
  for (const Ring& hole : board_px.holes) add_ring(hole, reduction, rings);
  cv::fillPoly(out, rings, cv::Scalar(255), cv::LINE_8, 4);
  return out;
}

// 255 where a white or black area touches the frame's edge.
cv::Mat background(const cv::Mat& bgr) {
  cv::Mat white, black;
  cv::inRange(bgr, cv::Scalar::all(k_white_from), cv::Scalar::all(255), white);
  cv::inRange(bgr, cv::Scalar::all(0), cv::Scalar::all(k_black_to), black);
  cv::Mat out(bgr.size(), CV_8UC1, cv::Scalar(0));
  for (const cv::Mat& plain : {white, black}) {
    cv::Mat ids;
    const int count = cv::connectedComponents(plain, ids, 4, CV_32S);
    std::vector<uchar> is_edge(static_cast<size_t>(count), 0);
    const auto mark = [&](int y, int x) { is_edge[static_cast<size_t>(ids.at<int>(y, x))] = 255; };
    for (int x = 0; x < ids.cols; ++x) mark(0, x), mark(ids.rows - 1, x);
    for (int y = 0; y < ids.rows; ++y) mark(y, 0), mark(y, ids.cols - 1);
    is_edge[0] = 0;
    for (int y = 0; y < ids.rows; ++y)
      for (int x = 0; x < ids.cols; ++x)
        out.at<uchar>(y, x) |= is_edge[static_cast<size_t>(ids.at<int>(y, x))];
  }
  return out;
}

}  // namespace

CheckView check_view(const Photo& photo, const Polygon& board_px) {
  CheckView view{photo};
  view.reduction = reduction_for(photo.bgr.size());
  view.bgr = reduced_bgr(photo.bgr, view.reduction);
  view.is_whole_frame = board_px.empty();
  if (!view.is_whole_frame) view.judged = inside_board(view.bgr.size(), board_px, view.reduction);
  if (view.is_whole_frame) view.judged = ~background(view.bgr);
  view.judged_px = cv::countNonZero(view.judged);
  constexpr double k_least_share = 0.02;
  if (view.judged_px < k_least_share * static_cast<double>(view.bgr.total())) {
    view.judged = cv::Mat(view.bgr.size(), CV_8UC1, cv::Scalar(255));
    view.judged_px = static_cast<double>(view.bgr.total());
  }
  return view;
}

std::string place_in_frame(cv::Point2d at, cv::Size2d frame) {
  constexpr std::array<const char*, 9> k_names{"top left",    "top",    "top right",
                                               "left",        "middle", "right",
                                               "bottom left", "bottom", "bottom right"};
  const int column = std::clamp(static_cast<int>(3 * at.x / frame.width), 0, 2);
  const int row = std::clamp(static_cast<int>(3 * at.y / frame.height), 0, 2);
  return k_names[static_cast<size_t>(3 * row + column)];
}

}  // namespace verdigrid
