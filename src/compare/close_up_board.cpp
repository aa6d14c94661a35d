#include "compare/close_up_board.h"

#include <algorithm>

#include "compare/close_up_correlation.h"

namespace verdigrid {

namespace {

constexpr double k_fit_strength = 0.12;  // of patches that may correct a view
// What a view must have of the patches to be taken for the board's; 4 % agree by chance
// (patches.cpp). Rows of like pins agree with themselves a pitch away, where features do not.
constexpr size_t k_board_patches = 15, k_board_features = 3;
constexpr double k_board_share = 0.08;
// Views whose corners lie nearer than this share of the close-up's size are one.
constexpr double k_one_view = 0.03;

double corners_apart(const cv::Matx33d& a, const cv::Matx33d& b, cv::Size size) {
  const Ring one = frame_through(a, size), other = frame_through(b, size);
  double most = 0;
  for (size_t i = 0; i < one.size(); ++i) most = std::max(most, cv::norm(one[i] - other[i]));
  return most * close_up_scale(a, size) / std::max(size.width, size.height);
}

// The part's height is not known where one view alone is seen: a macro lens at 130 mm shows the top
// of a part 15 mm high by 1.13 times as large as the board, a camera at 450 mm by 1.03 (our own
// choice of a tall case). Placed without patches, the scale is a step of the search either way.
constexpr double k_top_larger = 1.1, k_whole_look_off = 0.1;
constexpr double k_scale_fit = 0.01;  // tilt and lens, which one number does not tell

Interval range_of(const Checked& place, const std::vector<cv::Matx33d>& views, cv::Size close_up) {
  const double scale = close_up_scale(place.photo_from_close_up, close_up);
  Interval range{scale, scale, scale};
  for (const cv::Matx33d& view : views) {
    range.low = std::min(range.low, close_up_scale(view, close_up));
    range.high = std::max(range.high, close_up_scale(view, close_up));
  }
  if (views.size() == 1) range.low /= k_top_larger;
  const double slack = views.empty() ? k_whole_look_off : k_scale_fit;
  range.low *= 1 - slack;
  range.high *= 1 + slack;
  return range;
}

}  // namespace

Checked fitted_place(const cv::Mat& photo, const cv::Mat& close_up, const Checked& place,
                     const CloseUpOptions& options, const Work& work) {
  const auto look = checked(photo, close_up, place.photo_from_close_up, options, work);
  const bool agrees =
      look && look->strength >= k_fit_strength &&
      is_same_place(place.photo_from_close_up, look->photo_from_close_up, close_up.size());
  return agrees ? *look : place;
}

ViewOfBoard view_of_board(const cv::Mat& photo, const cv::Mat& close_up, const Checked& place,
                          const CommonFeaturesAt& common_at, const CloseUpOptions& options,
                          const Work& work) {
  const Checked found = fitted_place(photo, close_up, place, options, work);
  const auto features = common_at(found.photo_from_close_up);
  std::vector<Checked> backed;
  std::vector<cv::Matx33d> views;
  const auto look_at = [&](const cv::Matx33d& view) {
    auto look = checked(photo, close_up, view, options, work);
    if (!look || look->agreement.agreeing < k_board_patches ||
        look->agreement.share < k_board_share ||
        !is_same_place(found.photo_from_close_up, look->photo_from_close_up, close_up.size()))
      return;
    const bool is_known = std::any_of(views.begin(), views.end(), [&](const cv::Matx33d& v) {
      return corners_apart(v, look->photo_from_close_up, close_up.size()) < k_one_view;
    });
    if (is_known) return;
    look->features = support_of(features, look->photo_from_close_up);
    if (look->features.agreeing < k_board_features) return;
    backed.push_back(*look);
    views.push_back(look->photo_from_close_up);
  };
  for (const cv::Matx33d& start : {found.photo_from_close_up, place.photo_from_close_up})
    for (const cv::Matx33d& view : close_up_layers(photo, close_up, start, work)) look_at(view);
  ViewOfBoard out{found, {}, 0, 0};
  if (!backed.empty()) {
    const std::vector<double> shares =
        border_shares(photo, close_up, found.photo_from_close_up, features, views, work);
    const auto board = std::max_element(shares.begin(), shares.end());
    out.place = backed[static_cast<size_t>(board - shares.begin())];
    for (auto share = shares.begin(); share != shares.end(); ++share)
      if (share != board) out.next_border_share = std::max(out.next_border_share, *share);
    out.border_share = *board;
  }
  out.scale_range = range_of(out.place, views, close_up.size());
  return out;
}

}  // namespace verdigrid
