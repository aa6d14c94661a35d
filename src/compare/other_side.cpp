#include "compare/other_side.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "rectify/main_sides.h"

namespace verdigrid {

namespace {

// Straightened boards are compared at this size; pads and holes are then a few px wide.
constexpr double k_long_side_px = 900;
constexpr int k_margin_px = 24;
constexpr double k_aspect_apart = 0.15;  // ln of the ratio of the two aspect ratios
// Strength (share times coverage) of chance on boards of one family stays below 0.015.
constexpr double k_least_strength = 0.025, k_times_direct = 2;
constexpr double k_pad_px = 2;  // sigma of the finer of the two blurs

// Lines and blobs of pad size, bright or dark alike: what both sides have in common.
cv::Mat detail_of(const cv::Mat& bgr) {
  cv::Mat grey, real, fine, coarse, detail;
  cv::cvtColor(bgr, grey, cv::COLOR_BGR2GRAY);
  grey.convertTo(real, CV_32F);
  cv::GaussianBlur(real, fine, {}, k_pad_px);
  cv::GaussianBlur(real, coarse, {}, 2 * k_pad_px);
  cv::Mat(cv::abs(fine - coarse)).convertTo(detail, CV_8U, 8);
  return detail;
}

struct Shape {
  double width = 0, height = 0;
};

Shape shape_of(const std::array<cv::Point2d, 4>& q) {
  return {(cv::norm(q[1] - q[0]) + cv::norm(q[2] - q[3])) / 2,
          (cv::norm(q[3] - q[0]) + cv::norm(q[2] - q[1])) / 2};
}

cv::Mat straightened_detail(const cv::Mat& bgr, const std::array<cv::Point2d, 4>& quad,
                            cv::Size board) {
  const double x1 = k_margin_px + board.width, y1 = k_margin_px + board.height;
  const std::vector<cv::Point2d> to{
      {k_margin_px, k_margin_px}, {x1, k_margin_px}, {x1, y1}, {k_margin_px, y1}};
  const auto h = homography_from_quad({quad.begin(), quad.end()}, to);
  if (!h) return {};
  cv::Mat out;
  cv::warpPerspective(bgr, out, *h, board + cv::Size(2 * k_margin_px, 2 * k_margin_px),
                      cv::INTER_AREA);
  return detail_of(out);
}

double strength_between(const cv::Mat& first, const cv::Mat& second, const Work& work) {
  PatchOptions options;
  options.side_px = 49;
  options.search_px = 16;
  options.spacing_px = 20;
  options.least_sd = 4;
  Warp warp;
  warp.centre_px = {first.cols / 2.0, first.rows / 2.0};
  warp.scale_px = std::max(first.cols, first.rows) / 2.0;
  const auto look = [&] { return patch_matches(first, second, warp, {}, options, work); };
  for (double cut : {16.0, 8.0}) {
    std::vector<PointPair> pairs;
    for (const PatchMatch& m : look())
      if (m.score > 0.3) pairs.push_back({m.first_px, m.second_px, m.score});
    warp = fitted_warp(pairs, warp, cut, Bends::no);
  }
  return strength(agreement_of(look(), 2.5, 0.25));
}

struct SideStrengths {
  double direct = 0, mirrored = 0;
  bool is_known = false;  // both outlines have four sides of like proportions
};

// Board laid on board by their four corners, in every turn, as it is and mirrored.
SideStrengths side_strengths(const BoardPhoto& first, const BoardPhoto& second, const Work& work) {
  SideStrengths out;
  const auto qa = main_sides(first.board_px.outer), qb = main_sides(second.board_px.outer);
  if (!qa || !qb) return out;
  const Shape a = shape_of(*qa);
  if (a.width < 16 || a.height < 16) return out;
  const double s = k_long_side_px / std::max(a.width, a.height);
  const cv::Size board(cvRound(a.width * s), cvRound(a.height * s));
  const cv::Mat da = straightened_detail(first.bgr, *qa, board);
  for (bool is_mirrored : {false, true})
    for (size_t turn = 0; turn < 4; ++turn) {
      std::array<cv::Point2d, 4> q;
      for (size_t i = 0; i < 4; ++i)
        q[i] = (*qb)[is_mirrored ? (4 + turn - i) % 4 : (i + turn) % 4];
      const Shape b = shape_of(q);
      if (b.width < 16 || b.height < 16 ||
          std::abs(std::log(b.width / b.height * a.height / a.width)) > k_aspect_apart)
        continue;
      work.check();
      const cv::Mat db = straightened_detail(second.bgr, q, board);
      if (da.empty() || db.empty()) continue;
      out.is_known = true;
      double& best = is_mirrored ? out.mirrored : out.direct;
      best = std::max(best, strength_between(da, db, work));
    }
  return out;
}

BoardPhoto mirrored_photo(const BoardPhoto& photo) {
  BoardPhoto out;
  cv::flip(photo.bgr, out.bgr, 1);
  out.board_px = photo.board_px;
  for (cv::Point2d& p : out.board_px.outer) p.x = photo.bgr.cols - 1 - p.x;
  out.board_px.outer = clockwise(std::move(out.board_px.outer));
  return out;
}

}  // namespace

Match refused_match(const BoardPhoto& first, const BoardPhoto& second, const Likeness& likeness,
                    const std::function<bool(const BoardPhoto&)>& is_same_as_first,
                    const Work& work, std::vector<std::string>& remarks) {
  if (is_same_as_first(mirrored_photo(second))) {
    remarks.emplace_back(
        "The photo is mirrored: it shows the board as in a mirror or a scan that was flipped. Flip "
        "it and try again.");
    return Match::mirrored;
  }
  const SideStrengths sides = side_strengths(first, second, work);
  if (sides.mirrored >= k_least_strength && sides.mirrored >= k_times_direct * sides.direct) {
    remarks.emplace_back(
        "The photo shows the other side of this board; use it with the layout of that side.");
    return Match::other_side;
  }
  if (likeness.strength >= k_part_alike_strength || likeness.inliers >= k_part_alike_inliers) {
    remarks.emplace_back(
        "The boards are alike in part, but not over their whole area: another revision or a "
        "related "
        "board. Nothing was placed; if it is the same board after all, set three or four point "
        "pairs by hand.");
    return Match::revision;
  }
  remarks.emplace_back(
      "The photo does not show this board, or too little of it: nothing was placed. If it is the "
      "same board after all, set three or four point pairs by hand.");
  return Match::wrong_board;
}

}  // namespace verdigrid
