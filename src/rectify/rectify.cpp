#include "rectify/rectify.h"

#include <fmt/format.h>

#include <cmath>

#include "base/error.h"
#include "rectify/frame.h"
#include "rectify/way_parts.h"

namespace verdigrid {

namespace {

void refuse(const std::string& sentence) { throw Error(ErrorKind::wrong_use, sentence); }

void check_corners(const std::vector<cv::Point2d>& corners) {
  if (corners.empty()) return;
  if (corners.size() != 4)
    refuse(
        fmt::format("Corners: {} points were given; four are needed, clockwise from the corner "
                    "seen top left.",
                    corners.size()));
  for (size_t i = 0; i < 4; ++i) {
    const cv::Point2d a = corners[(i + 1) % 4] - corners[i],
                      b = corners[(i + 2) % 4] - corners[(i + 1) % 4];
    if (!(a.cross(b) > 0))
      refuse(
          "Corners: the four points must run clockwise around the board and make a quadrilateral "
          "without dents, beginning with the corner seen top left.");
  }
}

void check_positive(const std::optional<double>& value, const char* what) {
  if (value && !(*value > 0 && std::isfinite(*value)))
    refuse(fmt::format("{}: {} is no positive length.", what, *value));
}

void check_lens(const std::optional<Lens>& lens, cv::Size photo_size_px) {
  if (!lens || lens->photo_size_px == photo_size_px) return;
  throw Error(
      ErrorKind::bad_input,
      fmt::format("The lens was calibrated for photos of {}x{} px, this photo has {}x{} px; "
                  "calibrate it again with photos of this size and orientation.",
                  lens->photo_size_px.width, lens->photo_size_px.height, photo_size_px.width,
                  photo_size_px.height));
}

}  // namespace

void RectifyOptions::check() const {
  if (turn_deg != 0 && turn_deg != 90 && turn_deg != 180 && turn_deg != 270)
    refuse(fmt::format("Turn: {} degrees is not one of 0, 90, 180, 270.", turn_deg));
  if (board_mm)
    for (const double side_mm : {board_mm->width, board_mm->height})
      if (!(side_mm >= 1 && side_mm <= 2000))
        refuse(
            fmt::format("Board size: {} mm is not between 1 and 2000 mm; give width x height in "
                        "mm, such as 200x150.",
                        side_mm));
  if (!(board_mm_sd >= 0) || !(corner_sd_px >= 0) || !(distance_sd_mm >= 0))
    refuse("Standard deviations of lengths must not be negative.");
  check_corners(corners_px);
  if (!points_px.empty() && points_px.size() != 2)
    refuse(fmt::format("Points: {} were given; two are needed.", points_px.size()));
  if (points_px.empty() == distance_mm.has_value())
    refuse("Two points and the distance between them in mm belong together; give both.");
  check_positive(distance_mm, "Distance in mm");
  check_positive(focal_px, "Focal length in px");
  if (points_px.size() == 2 && cv::norm(points_px[1] - points_px[0]) < 10)
    refuse("Points: the two lie less than 10 px apart; choose two that are far from each other.");
  if (card) card->check();
  outline.check();
}

Rectification rectify(const Photo& photo, const RectifyOptions& options, const Work& work) {
  options.check();
  const cv::Size size_px = photo.size_px();
  check_lens(options.lens, size_px);
  if (!options.corners_px.empty()) {
    if (options.board_mm) return rectified_by_corners(size_px, options);
    const Outline drawn = drawn_outline(options);
    return options.points_px.empty() ? rectified_without_scale(size_px, drawn, options)
                                     : rectified_by_points(size_px, drawn, options);
  }
  std::optional<CardReading> card;
  if (options.card) card = find_card(photo, work.part(0, 0.3));
  OutlineOptions outline_options = options.outline;
  if (card) outline_options.not_boards_px.push_back(card_outline_px(*card));
  const OutlineAnswer answer = find_outline(photo, outline_options, work.part(0.3, 1));
  if (options.board_mm && !answer.outline)
    throw Error(ErrorKind::no_result,
                answer.reason + " Or give the four corners of the board by hand.");
  if (options.card && !card && !options.board_mm)
    throw Error(
        ErrorKind::no_result,
        "The scale card was not found; at least two of its four markers must be seen whole, "
        "sharp and flat beside the board. Or leave the card out to measure without mm.");
  const std::optional<Outline>& outline = answer.outline;
  Rectification r = options.board_mm           ? rectified_by_outline(size_px, *outline, options)
                    : card                     ? rectified_by_card(size_px, *card, outline, options)
                    : options.points_px.size() ? rectified_by_points(size_px, outline, options)
                                               : rectified_without_scale(size_px, outline, options);
  if (options.board_mm && card) add_card_remark(r, *card, options);
  if (!outline) r.remarks.push_back(answer.reason);
  r.remarks.insert(r.remarks.end(), answer.remarks.begin(), answer.remarks.end());
  return r;
}

}  // namespace verdigrid
