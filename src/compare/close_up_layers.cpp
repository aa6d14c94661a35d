#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "compare/close_up_check.h"
#include "compare/patches.h"

namespace verdigrid {

namespace {

constexpr double k_long_side_px = 240;
constexpr int k_patch_px = 21, k_spacing_px = 9, k_search_px = 26;
constexpr double k_score = 0.6;
constexpr double k_near_px = 2.5;  // of a patch from where its view puts it
constexpr double k_apart_px = 40;  // of the two patches that a view is drawn from
constexpr double k_scale_off = 0.1, k_turn_off = 0.1;  // of a view from the guess; rad
constexpr size_t k_least_patches = 4;                  // of a layer, and
constexpr double k_least_share = 0.06;                 // of all patches
constexpr double k_border = 1.0 / 6;                   // of the frame, on each side
constexpr size_t k_most_layers = 4;
constexpr int k_tries = 1500;

// A similarity as multiplication and shift of complex numbers.
struct Similarity {
  cv::Point2d times{1, 0}, plus;
  cv::Point2d operator()(cv::Point2d p) const {
    return cv::Point2d(times.x * p.x - times.y * p.y, times.x * p.y + times.y * p.x) + plus;
  }
  cv::Matx33d matrix() const {
    return {times.x, -times.y, plus.x, times.y, times.x, plus.y, 0, 0, 1};
  }
};

// That takes a to a + a_off and b to b + b_off.
Similarity similarity_of(const PatchMatch& a, const PatchMatch& b) {
  const cv::Point2d from = b.first_px - a.first_px, to = from + b.offset_px - a.offset_px;
  const double n = from.dot(from);
  Similarity s;
  s.times = {to.dot(from) / n, (from.x * to.y - from.y * to.x) / n};
  s.plus = a.first_px + a.offset_px;
  const Similarity turn{s.times, {}};
  s.plus -= turn(a.first_px);
  return s;
}

bool is_near(const Similarity& s, const PatchMatch& m) {
  return cv::norm(s(m.first_px) - m.first_px - m.offset_px) <= k_near_px;
}

// That most patches lie near, of those that two of them draw at random.
Similarity most_agreed(const std::vector<PatchMatch>& matches, cv::RNG& random) {
  Similarity best;
  long most = 0;
  const int n = static_cast<int>(matches.size());
  for (int k = 0; k < k_tries; ++k) {
    const PatchMatch &a = matches[static_cast<size_t>(random.uniform(0, n))],
                     &b = matches[static_cast<size_t>(random.uniform(0, n))];
    if (cv::norm(b.first_px - a.first_px) < k_apart_px) continue;
    const Similarity s = similarity_of(a, b);
    if (std::abs(cv::norm(s.times) - 1) > k_scale_off || std::abs(s.times.y) > k_turn_off) continue;
    const long near = std::count_if(matches.begin(), matches.end(),
                                    [&s](const PatchMatch& m) { return is_near(s, m); });
    if (near <= most) continue;
    most = near;
    best = s;
  }
  return best;
}

// Of patches all over the close-up: round it stands a margin, so that those at its border are
// looked for as widely as all others.
std::vector<PatchMatch> wide_matches(const CheckPictures& p, const cv::Matx33d& view,
                                     const Work& work) {
  constexpr int k_margin = k_search_px;
  cv::Mat close, photo;
  cv::cvtColor(p.close, close, cv::COLOR_BGR2GRAY);
  cv::cvtColor(p.photo, photo, cv::COLOR_BGR2GRAY);
  cv::copyMakeBorder(close, close, k_margin, k_margin, k_margin, k_margin, cv::BORDER_REPLICATE);
  const cv::Point2d margin(k_margin, k_margin);
  PatchOptions options;
  options.side_px = k_patch_px;
  options.spacing_px = k_spacing_px;
  options.search_px = k_search_px;
  std::vector<PatchMatch> matches = patch_matches(
      close, photo, [&](cv::Point2d q) { return mapped(view, q - margin); }, {}, options, work);
  for (PatchMatch& m : matches) m.first_px -= margin;
  return matches;
}

// A place without a patch belongs to the view of the nearest one.
size_t view_at(cv::Point2d p, const std::vector<Ring>& places) {
  size_t nearest = 0;
  double least = HUGE_VAL;
  for (size_t i = 0; i < places.size(); ++i)
    for (const cv::Point2d& place : places[i])
      if (const double off = cv::norm(place - p); off < least) least = off, nearest = i;
  return nearest;
}

// Patches in a wide search around a view that are found again, and where.
struct WideLook {
  CheckPictures pictures;
  cv::Matx33d view;  // between those
  std::vector<PatchMatch> found;
  size_t looked_at = 0;
};

std::optional<WideLook> wide_look(const cv::Mat& photo, const cv::Mat& close_up,
                                  const cv::Matx33d& guess, const Work& work) {
  const auto p = check_pictures(photo, close_up, guess, k_long_side_px);
  if (!p) return std::nullopt;
  WideLook look{*p, p->to_small(guess), {}, 0};
  look.found = wide_matches(*p, look.view, work);
  look.looked_at = look.found.size();
  std::erase_if(look.found, [](const PatchMatch& m) { return m.score < k_score; });
  return look;
}

}  // namespace

std::vector<cv::Matx33d> close_up_layers(const cv::Mat& photo, const cv::Mat& close_up,
                                         const cv::Matx33d& guess, const Work& work) {
  auto look = wide_look(photo, close_up, guess, work);
  if (!look) return {};
  std::vector<PatchMatch>& matches = look->found;
  const size_t least =
      k_least_patches + static_cast<size_t>(k_least_share * static_cast<double>(look->looked_at));
  std::vector<cv::Matx33d> layers;
  cv::RNG random(1);
  while (layers.size() < k_most_layers && matches.size() >= least) {
    const Similarity s = most_agreed(matches, random);
    const auto is_of_it = [&s](const PatchMatch& m) { return is_near(s, m); };
    if (std::count_if(matches.begin(), matches.end(), is_of_it) < static_cast<long>(least)) break;
    layers.push_back(look->pictures.to_whole(look->view * s.matrix()));
    std::erase_if(matches, is_of_it);
  }
  return layers;
}

std::vector<double> border_shares(const cv::Mat& photo, const cv::Mat& close_up,
                                  const cv::Matx33d& guess,
                                  const std::vector<CommonFeature>& features,
                                  const std::vector<cv::Matx33d>& views, const Work& work) {
  std::vector<double> shares(views.size(), 0);
  const auto look = wide_look(photo, close_up, guess, work);
  if (!look || views.empty()) return shares;
  std::vector<Ring> places(views.size());
  for (const PatchMatch& m : look->found) {
    size_t nearest = 0;
    double least = HUGE_VAL;
    for (size_t i = 0; i < views.size(); ++i) {
      const cv::Matx33d small = look->view.inv() * look->pictures.to_small(views[i]);
      const double off = cv::norm(mapped(small, m.first_px) - m.first_px - m.offset_px);
      if (off < least) least = off, nearest = i;
    }
    if (least <= k_near_px) places[nearest].push_back(m.first_px);
  }
  // A feature belongs to the view that puts it nearest to where it is.
  for (const CommonFeature& feature : features) {
    const auto off = [&feature](const cv::Matx33d& view) {
      return cv::norm(mapped(view, feature.close_up_px) - feature.photo_px);
    };
    const auto nearest = std::min_element(
        views.begin(), views.end(), [&](const auto& a, const auto& b) { return off(a) < off(b); });
    if (agrees(feature, *nearest))
      places[static_cast<size_t>(nearest - views.begin())].push_back(
          mapped(look->pictures.close_from_whole, feature.close_up_px));
  }
  const cv::Size size = look->pictures.close.size();
  const cv::Rect2d within(k_border * size.width, k_border * size.height,
                          (1 - 2 * k_border) * size.width, (1 - 2 * k_border) * size.height);
  int cells = 0;
  for (int y = 0; y < size.height; y += k_spacing_px)
    for (int x = 0; x < size.width; x += k_spacing_px)
      if (const cv::Point2d p(x, y); !within.contains(p)) {
        ++cells;
        shares[view_at(p, places)] += 1;
      }
  for (double& share : shares) share /= cells;
  return shares;
}

}  // namespace verdigrid
