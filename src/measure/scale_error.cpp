#include "measure/scale_error.h"

#include <cmath>

#include "measure/photo_outline.h"

namespace verdigrid {

namespace {

std::vector<cv::Point2d> corners(const cv::Rect2d& box) {
  return {box.tl(), {box.x + box.width, box.y}, box.br(), {box.x, box.y + box.height}};
}

}  // namespace

ScaleError::ScaleError(const Rectification& r)
    : length_rel_sd_(r.length_rel_sd), ideal_from_board_(r.board_from_photo_px.inv()) {
  const cv::Rect2d box = bounding_box(measured_outline(r).outer);
  centre_ = (box.tl() + box.br()) / 2;
  if (r.outline_is_frame || r.outline_board.empty()) return;  // the frame does not slip
  const std::vector<cv::Point2d> board = corners(box);
  const std::vector<cv::Point2d> ideal = mapped(ideal_from_board_, board);
  for (size_t i = 0; i < ideal.size(); ++i)
    for (const cv::Point2d slip : {cv::Point2d(r.edge_sd_px, 0), cv::Point2d(0, r.edge_sd_px)}) {
      std::vector<cv::Point2d> moved = ideal;
      moved[i] += slip;
      if (const auto h = homography_from_quad(moved, board)) slipped_from_ideal_.push_back(*h);
    }
  for (size_t i = 0; i < slipped_from_ideal_.size(); ++i)
    at_centre_[i] = log_area_change(i, centre_);
}

double ScaleError::log_area_change(size_t slip, cv::Point2d p_board) const {
  const cv::Point2d ideal = mapped(ideal_from_board_, p_board);
  return std::log(local_area_scale(slipped_from_ideal_[slip], ideal) *
                  local_area_scale(ideal_from_board_, p_board));
}

ScaleError::Errors ScaleError::errors(double area, cv::Point2d p_board) const {
  Errors result{};
  result[0] = 2 * length_rel_sd_ * area;
  if (area <= 0) return result;
  for (size_t i = 0; i < slipped_from_ideal_.size(); ++i)
    result[i + 1] = area * (log_area_change(i, p_board) - at_centre_[i]);
  return result;
}

double ScaleError::variance(const Errors& errors) {
  double sum = 0;
  for (const double e : errors) sum += e * e;
  return sum;
}

}  // namespace verdigrid
