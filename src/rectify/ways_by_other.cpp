// The ways without a board size: card, two points, none.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/calib3d.hpp>

#include "base/error.h"
#include "rectify/card_layout.h"
#include "rectify/frame.h"
#include "rectify/main_sides.h"
#include "rectify/way_parts.h"

namespace verdigrid {

namespace {

// Standard deviations that stand for what nobody said (common practice, no source):
constexpr double k_print_unknown_rel_sd = 0.025;  // "fit to page" prints at 94..97 %
constexpr double k_bar_reading_sd_mm = 0.2;       // a ruler on the 100 mm bar
constexpr double k_height_unknown_sd_mm = 6;      // card on the table, board on its legs
constexpr double k_height_known_sd_mm = 0.7;
constexpr double k_distance_unknown_rel_sd = 0.25;  // from an assumed focal length
constexpr double k_distance_known_rel_sd = 0.05;
constexpr double k_marker_corner_sd_px = 0.35;
constexpr double k_tilt_unknown_rel_sd = 0.02;  // scale across a photo tilted by some degrees

cv::Matx33d fitted_homography(const Ring& from, const Ring& to) {
  const cv::Mat h = cv::findHomography(from, to, 0);
  if (h.empty())
    throw Error(ErrorKind::no_result,
                "The scale card's markers lie so that no scale follows from them; photograph the "
                "card flat and whole.");
  return cv::Matx33d(h);
}

// px per mm of the card where it lies, as printed to design.
double card_px_per_mm(const cv::Matx33d& card_from_px, const Ring& corners_px) {
  cv::Point2d sum{};
  for (const cv::Point2d p : corners_px) sum += p;
  const cv::Point2d middle = sum * (1.0 / static_cast<double>(corners_px.size()));
  return 1 / std::sqrt(local_area_scale(card_from_px, middle));
}

struct CardScale {
  double factor = 1;  // board mm per card mm as designed, at the board's height
  double rel_sd = 0;
};

CardScale card_scale(double px_per_mm, double focal_px, const CardUse& use, CardLayout layout) {
  const double print = use.measured_bar_mm.value_or(layout.bar_mm) / layout.bar_mm;
  const double print_sd =
      use.measured_bar_mm ? k_bar_reading_sd_mm / layout.bar_mm : k_print_unknown_rel_sd;
  const double distance_mm = use.camera_distance_mm.value_or(focal_px * print / px_per_mm);
  const double height_mm = use.height_mm.value_or(0);
  if (height_mm >= 0.5 * distance_mm)
    throw Error(
        ErrorKind::bad_input,
        fmt::format("The board cannot lie {:g} mm above the card when the camera is {:.0f} mm "
                    "away from it; check both.",
                    height_mm, distance_mm));
  const double height_sd =
      (use.height_mm ? k_height_known_sd_mm : k_height_unknown_sd_mm) / distance_mm;
  const double distance_sd =
      std::abs(height_mm) / distance_mm *
      (use.camera_distance_mm ? k_distance_known_rel_sd : k_distance_unknown_rel_sd);
  return {print * (1 - height_mm / distance_mm),
          std::sqrt(print_sd * print_sd + height_sd * height_sd + distance_sd * distance_sd)};
}

void add_card_questions(Rectification& r, const CardUse& use) {
  if (!use.measured_bar_mm)
    r.remarks.push_back(
        "The length of the card's 100 mm bar was not measured; a print at 97 % makes areas 6 % "
        "wrong, so the interval is wide.");
  if (!use.height_mm)
    r.remarks.push_back(
        "How far the board lies above the card is not known; 10 mm at 400 mm camera distance make "
        "areas 5 % wrong, so the interval is wide.");
}

// Turns the card's frame so that the board's sides, or the photo's as seen, run along x and y.
cv::Matx33d aligned_frame(const Rectification& r, const cv::Matx33d& metric_from_px,
                          const Ring& outline_px) {
  const auto corners = main_sides(outline_px);
  Quad seen;
  if (corners) {
    seen = seen_corners(*corners, r.photo_size_px, r.turn_deg);
  } else {
    const cv::Rect2d box = bounding_box(outline_px);
    seen = seen_corners(
        {box.tl(), cv::Point2d(box.br().x, box.y), box.br(), cv::Point2d(box.x, box.br().y)},
        r.photo_size_px, r.turn_deg);
  }
  const cv::Point2d across = mapped(metric_from_px, seen[1]) - mapped(metric_from_px, seen[0]) +
                             mapped(metric_from_px, seen[2]) - mapped(metric_from_px, seen[3]);
  const double length = std::hypot(across.x, across.y);
  const double c = across.x / length, s = across.y / length;
  const double flip = r.side == Side::back ? -1 : 1;
  return cv::Matx33d(flip, 0, 0, 0, 1, 0, 0, 0, 1) * cv::Matx33d(c, s, 0, -s, c, 0, 0, 0, 1) *
         metric_from_px;
}

Polygon outline_or_frame(Rectification& r, const std::optional<Outline>& outline) {
  if (outline) {
    r.edge_sd_px = outline->edge_sd_px;
    return outline->px;
  }
  r.outline_is_frame = true;
  return frame_polygon(r.photo_size_px);
}

}  // namespace

Rectification rectified_by_card(cv::Size photo_size_px, const CardReading& card,
                                const std::optional<Outline>& outline,
                                const RectifyOptions& options) {
  Rectification r = started(photo_size_px, options, ScaleWay::scale_card);
  const CardUse use = options.card.value_or(CardUse{});
  const Polygon board_px = outline_or_frame(r, outline);
  const Ring seen_px = undistorted_ring(options.lens, card.corners_px);
  const Ring ring = undistorted_ring(options.lens, board_px.outer);
  const cv::Matx33d card_from_px = fitted_homography(seen_px, card.corners_mm);
  const cv::Matx33d camera = camera_of(photo_size_px, options);
  const CardScale scale =
      card_scale(card_px_per_mm(card_from_px, seen_px), camera(0, 0), use, card_layout());
  const cv::Matx33d metric =
      cv::Matx33d(scale.factor, 0, 0, 0, scale.factor, 0, 0, 0, 1) * card_from_px;
  set_frame(r, aligned_frame(r, metric, ring), board_px);
  r.tilt_deg = tilt_deg_of(r.board_from_photo_px, camera);
  const double markers = log_scale_sd(static_cast<int>(2 * seen_px.size()), k_marker_corner_sd_px,
                                      centre_of(ring), [&](int i, double px) {
                                        Ring moved = seen_px;
                                        const auto k = static_cast<size_t>(i / 2);
                                        (i % 2 ? moved[k].y : moved[k].x) += px;
                                        return fitted_homography(moved, card.corners_mm);
                                      });
  set_scale(r, std::hypot(markers, scale.rel_sd));
  add_card_questions(r, use);
  return r;
}

Rectification rectified_without_scale(cv::Size photo_size_px, const std::optional<Outline>& outline,
                                      const RectifyOptions& options) {
  Rectification r = started(photo_size_px, options, ScaleWay::none);
  const Polygon board_px = outline_or_frame(r, outline);
  set_frame(r, unscaled_frame(photo_size_px, board_px, options), board_px);
  if (outline) r.tilt_deg = tilt_deg_of(r.board_from_photo_px, camera_of(photo_size_px, options));
  if (r.outline_is_frame)
    r.remarks.push_back("No board outline is known; the whole photo stands in for the board.");
  r.remarks.push_back(
      "No scale: areas are in percent and px. Give the board's size in mm, put the scale card in "
      "view, or give two points and their distance.");
  return r;
}

Rectification rectified_by_points(cv::Size photo_size_px, const std::optional<Outline>& outline,
                                  const RectifyOptions& options) {
  require(options.points_px.size() == 2 && options.distance_mm, "two points and a distance");
  Rectification r = started(photo_size_px, options, ScaleWay::two_points);
  const Polygon board_px = outline_or_frame(r, outline);
  const cv::Matx33d plain = unscaled_frame(photo_size_px, board_px, options);
  const Ring ends = undistorted_ring(options.lens, options.points_px);
  const auto factor_of = [&](const cv::Matx33d& frame) {
    return *options.distance_mm / cv::norm(mapped(frame, ends[1]) - mapped(frame, ends[0]));
  };
  const double factor = factor_of(plain);
  set_frame(r, cv::Matx33d(factor, 0, 0, 0, factor, 0, 0, 0, 1) * plain, board_px);
  if (outline) r.tilt_deg = tilt_deg_of(r.board_from_photo_px, camera_of(photo_size_px, options));
  const double placed = std::sqrt(2.0) * options.corner_sd_px / cv::norm(ends[1] - ends[0]);
  const double measured = options.distance_sd_mm / *options.distance_mm;
  double perspective = k_tilt_unknown_rel_sd;
  if (outline && !options.lens) {  // what another focal length would have made of it
    RectifyOptions longer = options;
    longer.focal_px = camera_of(photo_size_px, options)(0, 0) * (1 + k_distance_unknown_rel_sd);
    const cv::Matx33d other = unscaled_frame(photo_size_px, board_px, longer);
    perspective = std::abs(std::log(factor_of(other) / factor));
  } else if (outline) {
    perspective = 0;
  }
  set_scale(r, std::sqrt(placed * placed + measured * measured + perspective * perspective));
  if (r.outline_is_frame)
    r.remarks.push_back(
        "No board outline is known; the whole photo stands in for the board, and a tilt of the "
        "camera is not corrected.");
  return r;
}

void add_card_remark(Rectification& r, const CardReading& card, const RectifyOptions& options) {
  constexpr double k_noted = 0.04;
  RectifyOptions by_card = options;
  by_card.board_mm.reset();
  Outline outline;
  outline.px = r.outline_px;
  outline.edge_sd_px = r.edge_sd_px;
  const Rectification c = rectified_by_card(r.photo_size_px, card, outline, by_card);
  const double ratio = c.px_per_mm->value / r.px_per_mm->value;
  if (std::abs(std::log(ratio)) < std::log1p(k_noted)) return;
  r.remarks.push_back(
      fmt::format("The scale card says {:.1f} px per mm, the board's size {:.1f}; the board's size "
                  "was taken. Check both.",
                  c.px_per_mm->value, r.px_per_mm->value));
}

}  // namespace verdigrid
