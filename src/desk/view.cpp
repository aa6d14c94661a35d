#include "desk/view.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr double k_fit_margin = 0.96;

cv::Point2d rotated(cv::Point2d v, int quarters) {
  switch (((quarters % 4) + 4) % 4) {
    case 1:
      return {-v.y, v.x};
    case 2:
      return {-v.x, -v.y};
    case 3:
      return {v.y, -v.x};
    default:
      return v;
  }
}

cv::Point2d middle(const cv::Rect2d& r) { return {r.x + r.width / 2, r.y + r.height / 2}; }

}  // namespace

cv::Point2d screen_from_photo(const View& view, const cv::Rect2d& canvas, cv::Point2d p_px) {
  return middle(canvas) + rotated((p_px - view.centre_px) * view.scale, view.quarter_turns);
}

cv::Point2d photo_from_screen(const View& view, const cv::Rect2d& canvas, cv::Point2d p_screen) {
  return view.centre_px + rotated(p_screen - middle(canvas), -view.quarter_turns) / view.scale;
}

View fitted(const cv::Rect2d& canvas, cv::Size photo_px, int quarter_turns) {
  return fitted_to(
      canvas,
      {-0.5, -0.5, static_cast<double>(photo_px.width), static_cast<double>(photo_px.height)},
      quarter_turns, 1 / k_fit_margin - 1);
}

View fitted_to(const cv::Rect2d& canvas, const cv::Rect2d& region_px, int quarter_turns,
               double margin) {
  require(region_px.width > 0 && region_px.height > 0,
          "a view is fitted to a region of positive size");
  const bool lying = quarter_turns % 2 != 0;
  const double w = (lying ? region_px.height : region_px.width) * (1 + margin),
               h = (lying ? region_px.width : region_px.height) * (1 + margin);
  const double scale =
      std::clamp(std::min(canvas.width / w, canvas.height / h), k_smallest_scale, k_largest_scale);
  return {middle(region_px), scale, quarter_turns};
}

View zoomed(const View& view, const cv::Rect2d& canvas, cv::Point2d about_screen, double factor) {
  View result = view;
  result.scale = std::clamp(view.scale * factor, k_smallest_scale, k_largest_scale);
  const cv::Point2d fixed = photo_from_screen(view, canvas, about_screen);
  result.centre_px =
      fixed - rotated(about_screen - middle(canvas), -view.quarter_turns) / result.scale;
  return result;
}

View moved(const View& view, cv::Point2d by_screen) {
  View result = view;
  result.centre_px -= rotated(by_screen, -view.quarter_turns) / view.scale;
  return result;
}

View turned(const View& view, int quarters) {
  View result = view;
  result.quarter_turns = ((view.quarter_turns + quarters) % 4 + 4) % 4;
  return result;
}

View kept_in_sight(View view, cv::Size photo_px) {
  view.centre_px.x = std::clamp(view.centre_px.x, 0.0, std::max(0.0, photo_px.width - 1.0));
  view.centre_px.y = std::clamp(view.centre_px.y, 0.0, std::max(0.0, photo_px.height - 1.0));
  return view;
}

cv::Rect2d visible_px(const View& view, const cv::Rect2d& canvas) {
  const cv::Point2d a = photo_from_screen(view, canvas, canvas.tl()),
                    b = photo_from_screen(view, canvas, canvas.br());
  return {cv::Point2d(std::min(a.x, b.x), std::min(a.y, b.y)),
          cv::Point2d(std::max(a.x, b.x), std::max(a.y, b.y))};
}

double scale_bar_length(double unit_per_px, double scale, double longest_screen) {
  require(unit_per_px > 0 && scale > 0 && longest_screen > 0, "a scale bar needs positive scales");
  const double longest = longest_screen / scale * unit_per_px;
  const double power = std::pow(10, std::floor(std::log10(longest)));
  for (const double step : {5.0, 2.0})
    if (step * power <= longest) return step * power;
  return power;
}

}  // namespace verdigrid
