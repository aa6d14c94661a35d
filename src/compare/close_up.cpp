#include "compare/close_up.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "compare/close_up_correlation.h"
#include "compare/close_up_search.h"
#include "compare/other_side.h"
#include "compare/refine.h"
#include "compare/registration.h"

namespace verdigrid {

namespace {

constexpr double k_check_long_side_px = 640;  // patches are taken at this size, or the photo's own
constexpr double k_most_enlarged = 4;         // more only shows single px of the photo
constexpr double k_scale_slack = 1.05;
constexpr double k_crop_margin = 0.3;     // round the expected place, share of its size
constexpr double k_least_on_photo = 0.5;  // of the close-up's frame
constexpr int k_least_px = 24;            // of the photo under the close-up
constexpr double k_fit_strength = 0.12;   // of patches that may correct a view
constexpr size_t k_peaks = 10;
// So many features at one place need no search of the whole photo.
constexpr size_t k_sure_votes = 20;
constexpr double k_sure_worth = 0.55;
constexpr int k_lattice = 6;

// A guess after the look at patches.
struct Checked {
  cv::Matx33d photo_from_close_up = cv::Matx33d::eye();
  double strength = 0;
  Agreement agreement;
  double photo_px_per_check_px = 1;
};

cv::Matx33d resized_from(double scale) {
  const double shift = 0.5 * scale - 0.5;
  return {scale, 0, shift, 0, scale, shift, 0, 0, 1};
}

cv::Matx33d moved_by(cv::Point2d by) { return {1, 0, by.x, 0, 1, by.y, 0, 0, 1}; }

// Of a place that may be given; guesses may lie farther off.
bool is_in_range(double scale, const CloseUpOptions& options) {
  return scale >= options.least_scale / k_scale_slack &&
         scale <= options.largest_scale * k_scale_slack;
}

cv::Rect place_box(const cv::Matx33d& h, cv::Size close_up, cv::Size photo) {
  cv::Rect2d box = bounding_box(frame_through(h, close_up));
  const double m = k_crop_margin * std::max(box.width, box.height);
  const cv::Point2d from = box.tl() - cv::Point2d(m, m), to = box.br() + cv::Point2d(m, m);
  if (!(std::abs(from.x) + std::abs(from.y) + std::abs(to.x) + std::abs(to.y) < 1e6)) return {};
  return cv::Rect(cv::Point(cvFloor(from.x), cvFloor(from.y)),
                  cv::Point(cvCeil(to.x), cvCeil(to.y))) &
         cv::Rect({}, photo);
}

double share_on_photo(const cv::Matx33d& h, cv::Size close_up, cv::Size photo) {
  const Ring frame = frame_through(h, close_up);
  const double whole = std::abs(signed_area(frame));
  const cv::Rect2d picture(-0.5, -0.5, photo.width, photo.height);
  return whole > 0 ? std::abs(signed_area(clipped(frame, picture))) / whole : 0;
}

// The close-up brought to the photo's own sharpness, both at the size of the check.
std::optional<Checked> checked(const cv::Mat& photo, const cv::Mat& close_up,
                               const cv::Matx33d& guess, const CloseUpOptions& options,
                               const Work& work) {
  const double scale = close_up_scale(guess, close_up.size());
  if (!(scale >= 0.7 * options.least_scale && scale <= 1.4 * options.largest_scale) ||
      share_on_photo(guess, close_up.size(), photo.size()) < k_least_on_photo)
    return std::nullopt;
  const cv::Rect crop = place_box(guess, close_up.size(), photo.size());
  if (crop.width < k_least_px || crop.height < k_least_px) return std::nullopt;
  const double on_photo_px = std::max(close_up.cols, close_up.rows) / scale;
  const double f = std::min(k_check_long_side_px / on_photo_px, k_most_enlarged);
  const double reduce = std::min(1.0, 1 / scale);
  cv::Mat own, small, there;
  cv::resize(close_up, own, {}, reduce, reduce, cv::INTER_AREA);
  const double close_scale = f / scale;  // check px per close-up px
  cv::resize(own, small, {}, close_scale / reduce, close_scale / reduce,
             close_scale < reduce ? cv::INTER_AREA : cv::INTER_CUBIC);
  cv::resize(photo(crop), there, {}, f, f, f < 1 ? cv::INTER_AREA : cv::INTER_CUBIC);
  if (std::min({small.cols, small.rows, there.cols, there.rows}) < 64) return std::nullopt;
  const cv::Matx33d there_from_photo = resized_from(f) * moved_by(-cv::Point2d(crop.tl())),
                    small_from_close_up = resized_from(close_scale);
  Warp warp;
  warp.second_from_first = there_from_photo * guess * small_from_close_up.inv();
  warp.second_from_first = warp.second_from_first * (1 / warp.second_from_first(2, 2));
  const BoardPhoto first{small, {}}, second{there, {}};
  const int whole = std::max({small.cols, small.rows, there.cols, there.rows});
  const Refined found =
      refined(first, second, working_photo(first, whole), working_photo(second, whole), warp, work);
  Checked out;
  out.strength = strength(found.agreement);
  out.agreement = found.agreement;
  out.photo_px_per_check_px = 1 / f;
  out.photo_from_close_up =
      there_from_photo.inv() * found.warp.second_from_first * small_from_close_up;
  out.photo_from_close_up = out.photo_from_close_up * (1 / out.photo_from_close_up(2, 2));
  return out;
}

CloseUpPlace place_of(const Checked& found, cv::Size close_up, cv::Size photo) {
  CloseUpPlace p;
  p.close_up_size_px = close_up;
  p.photo_size_px = photo;
  p.photo_from_close_up = found.photo_from_close_up;
  p.outline_px = frame_through(found.photo_from_close_up, close_up);
  p.scale = close_up_scale(found.photo_from_close_up, close_up);
  const cv::Point2d middle{close_up.width / 2.0, close_up.height / 2.0};
  const cv::Point2d d = mapped(found.photo_from_close_up, middle + cv::Point2d(1, 0)) -
                        mapped(found.photo_from_close_up, middle - cv::Point2d(1, 0));
  p.turn_deg = -std::atan2(d.y, d.x) * 180 / CV_PI;
  p.agreeing_share = found.agreement.share;
  const double rms = found.agreement.rms_px * found.photo_px_per_check_px;
  const double half =
      1.96 / std::sqrt(2.0 * static_cast<double>(std::max<size_t>(1, found.agreement.agreeing)));
  p.rms_px = {rms, rms * std::max(0.0, 1 - half), rms * (1 + half)};
  return p;
}

void check_photos(const cv::Mat& photo, const cv::Mat& close_up) {
  require(photo.type() == CV_8UC3 && close_up.type() == CV_8UC3, "close-ups need BGR photos");
  if (std::min({photo.cols, photo.rows, close_up.cols, close_up.rows}) < 64)
    throw Error(ErrorKind::bad_input,
                "The photo or the close-up is smaller than 64 x 64 px; take a larger one.");
}

// The board's outline in px of the close-up, cut to it; empty when it shows no board or the photo's
// outline is not known.
Polygon board_seen(const CloseUpPlace& place, const Rectification& photo) {
  if (photo.outline_is_frame || photo.outline_px.empty()) return {};
  // Cut near the close-up first: far from it its view may not hold.
  cv::Rect2d near = bounding_box(place.outline_px);
  near -= cv::Point2d(near.width, near.height) / 4;
  near += cv::Size2d(near.width, near.height) / 2.0;
  const Polygon there = mapped(place.photo_from_close_up.inv(), clipped(photo.outline_px, near));
  const cv::Size size = place.close_up_size_px;
  Polygon seen = clipped(there, cv::Rect2d(-0.5, -0.5, size.width, size.height));
  seen.outer = clockwise(std::move(seen.outer));
  return seen;
}

// The place with the view that its patches give, where enough of them agree with it.
Checked fitted(const cv::Mat& photo, const cv::Mat& close_up, const Checked& place,
               const CloseUpOptions& options, const Work& work) {
  const auto look = checked(photo, close_up, place.photo_from_close_up, options, work);
  const bool agrees =
      look && look->strength >= k_fit_strength &&
      is_same_place(place.photo_from_close_up, look->photo_from_close_up, close_up.size());
  return agrees ? *look : place;
}

// How sure patches must be: strength of the best place, and how many times that of any other one.
struct PatchProof {
  double least_strength, lead;
  size_t least_patches;  // that agree
};
// By the guesses of features alone, where other places were not looked for.
constexpr PatchProof k_proof_at_once{0.25, 2, 0};
// After the whole photo was searched, where the whole picture correlates there too. Places of other
// boards reach 0.13 with a correlation of 0.34 (rendered pairs).
constexpr PatchProof k_proof_at_last{0.1, 2.5, 8};
constexpr double k_proof_score = 0.4;
// Correlation that places a close-up where patches say hardly anything: other boards reach 0.48.
constexpr double k_backing_strength = 0.05, k_alone_strength = 0.55;

// The place that patches all over the close-up agree with, and with no other one nearly as much.
std::optional<CloseUpAnswer> place_by_patches(const std::vector<Checked>& looks, cv::Size close_up,
                                              cv::Size photo, const PatchProof& proof) {
  const auto best =
      std::max_element(looks.begin(), looks.end(),
                       [](const Checked& a, const Checked& b) { return a.strength < b.strength; });
  if (best == looks.end() || best->strength < proof.least_strength ||
      best->agreement.agreeing < proof.least_patches)
    return std::nullopt;
  CloseUpAnswer out;
  out.strength = best->strength;
  for (const Checked& other : looks)
    if (!is_same_place(best->photo_from_close_up, other.photo_from_close_up, close_up))
      out.next_strength = std::max(out.next_strength, other.strength);
  if (proof.lead * out.next_strength > best->strength) return std::nullopt;
  out.place = place_of(*best, close_up, photo);
  return out;
}

constexpr const char* k_way_out =
    "Nothing was placed. If it does show this side, set three or four places of both by hand.";

}  // namespace

void CloseUpOptions::check() const {
  const auto refuse = [](const char* what) {
    throw Error(ErrorKind::wrong_use, fmt::format("Close-up: {}.", what));
  };
  if (!(least_scale > 0 && least_scale < largest_scale && largest_scale <= 100))
    refuse("least_scale must be above 0 and below largest_scale, that at most 100");
  if (working_long_side_px < 400 || working_long_side_px > 6000)
    refuse("working_long_side_px must be 400 to 6000");
  if (features_per_tile < 200 || features_per_tile > 50'000)
    refuse("features_per_tile must be 200 to 50000");
  if (!(ratio >= 0.5 && ratio <= 1)) refuse("ratio must be 0.5 to 1");
  if (!(least_strength > 0 && least_strength <= 1))
    refuse("least_strength must be above 0 and at most 1");
  if (!(least_lead >= 1)) refuse("least_lead must be 1 or more");
}

CloseUpAnswer placed_close_up(const cv::Mat& photo_bgr, const cv::Mat& close_up_bgr,
                              const CloseUpOptions& options, const Work& work) {
  options.check();
  check_photos(photo_bgr, close_up_bgr);
  cv::Mat photo;
  cv::cvtColor(photo_bgr, photo, cv::COLOR_BGR2GRAY);
  const WorkingPhoto close_up = working_photo({close_up_bgr, {}}, options.working_long_side_px);
  CloseUpOptions scaled = options;
  scaled.least_scale *= close_up.scale;
  scaled.largest_scale *= close_up.scale;
  cv::Mat small;
  cv::resize(close_up_bgr, small, close_up.grey.size(), 0, 0, cv::INTER_AREA);
  std::vector<CloseUpPeak> places;
  CloseUpPeak best;
  const auto look_at = [&](const cv::Matx33d& start) {
    work.check();
    const double scale = close_up_scale(start, small.size());
    if (scale < 0.7 * scaled.least_scale || scale > 1.4 * scaled.largest_scale ||
        share_on_photo(start, small.size(), photo.size()) < k_least_on_photo)
      return;
    const CloseUpPeak peak = sharpened(photo_bgr, small, start);
    if (!is_in_range(close_up_scale(peak.photo_from_close_up, small.size()), scaled)) return;
    places.push_back(peak);
    if (peak.worth() > best.worth()) best = peak;
  };
  const auto guesses = close_up_guesses(photo, close_up.grey, scaled, work.part(0, 0.4));
  std::vector<Checked> looks;
  const auto check_at = [&](const cv::Matx33d& start) {
    work.check();
    const cv::Matx33d h = start * resized_from(close_up.scale);
    const auto look = checked(photo_bgr, close_up_bgr, h, options, work);
    if (look &&
        is_in_range(close_up_scale(look->photo_from_close_up, close_up_bgr.size()), options))
      looks.push_back(*look);
  };
  const auto told_by = [&](const PatchProof& proof) {
    return place_by_patches(looks, close_up_bgr.size(), photo_bgr.size(), proof);
  };
  for (const CloseUpGuess& guess : guesses) check_at(guess.photo_from_close_up);
  if (auto told = told_by(k_proof_at_once)) return *told;
  for (const CloseUpGuess& guess : guesses) look_at(guess.photo_from_close_up);
  const bool is_sure =
      !guesses.empty() && guesses[0].votes >= k_sure_votes && best.worth() >= k_sure_worth;
  if (!is_sure)
    for (const CloseUpPeak& p :
         close_up_peaks(photo_bgr, small, scaled, k_peaks, work.part(0.4, 0.9)))
      look_at(p.photo_from_close_up);
  for (const CloseUpPeak& place : places) check_at(place.photo_from_close_up);
  const auto correlates_at = [&](const CloseUpPlace& place) {
    return std::any_of(places.begin(), places.end(), [&](const CloseUpPeak& p) {
      return p.score >= k_proof_score &&
             is_same_place(place.photo_from_close_up * resized_from(1 / close_up.scale),
                           p.photo_from_close_up, small.size());
    });
  };
  if (auto told = told_by(k_proof_at_last); told && correlates_at(*told->place)) return *told;
  work.report(1);
  CloseUpAnswer out;
  out.strength = best.worth();
  out.off_share = best.off_share;
  for (const CloseUpPeak& other : places)
    if (!is_same_place(best.photo_from_close_up, other.photo_from_close_up, close_up.grey.size()))
      out.next_strength = std::max(out.next_strength, other.worth());
  double backing = 0;
  for (const Checked& look : looks)
    if (is_same_place(look.photo_from_close_up,
                      best.photo_from_close_up * resized_from(close_up.scale), close_up_bgr.size()))
      backing = std::max(backing, look.strength);
  const double least = backing >= k_backing_strength
                           ? options.least_strength
                           : std::max(options.least_strength, k_alone_strength);
  if (out.strength < least) {
    out.remarks.push_back(std::string("Nothing on the photo looks enough like this close-up. ") +
                          k_way_out);
  } else if (out.strength < options.least_lead * out.next_strength) {
    out.remarks.push_back(
        std::string("Two places of the photo look like this close-up, and it does not tell which "
                    "one it shows. ") +
        k_way_out);
  } else {
    Checked place;
    place.photo_from_close_up = best.photo_from_close_up * resized_from(close_up.scale);
    out.place = place_of(fitted(photo_bgr, close_up_bgr, place, options, work), close_up_bgr.size(),
                         photo_bgr.size());
  }
  return out;
}

CloseUpAnswer close_up_placed_by_hand(const cv::Mat& photo_bgr, const cv::Mat& close_up_bgr,
                                      const std::vector<PointPair>& pairs,
                                      const CloseUpOptions& options, const Work& work) {
  options.check();
  check_photos(photo_bgr, close_up_bgr);
  std::vector<PointPair> turned_round = pairs;
  for (PointPair& pair : turned_round) std::swap(pair.first_px, pair.second_px);
  Checked by_hand;
  by_hand.photo_from_close_up = warp_by_hand(turned_round).second_from_first;
  CloseUpAnswer out;
  const Checked found = fitted(photo_bgr, close_up_bgr, by_hand, options, work);
  out.strength = found.strength;
  const bool agrees = found.strength > 0;
  out.place = place_of(found, close_up_bgr.size(), photo_bgr.size());
  out.place->is_by_hand = true;
  out.remarks.emplace_back(
      agrees ? "Placed by hand and then fitted to what both photos show."
             : "Placed by hand as it stands: too little of the two photos agrees to refine or to "
               "check it.");
  return out;
}

Rectification close_up_rectification(const CloseUpPlace& place, const Rectification& photo) {
  if (place.photo_size_px != photo.photo_size_px)
    throw Error(
        ErrorKind::bad_input,
        "The close-up was placed on a photo of another size than the one that is straightened; "
        "use that very photo.");
  const cv::Size size = place.close_up_size_px;
  std::vector<PointPair> pairs;
  for (int y = 0; y < k_lattice; ++y)
    for (int x = 0; x < k_lattice; ++x) {
      const cv::Point2d p{x * (size.width - 1.0) / (k_lattice - 1),
                          y * (size.height - 1.0) / (k_lattice - 1)};
      pairs.push_back({p, board_point(photo, mapped(place.photo_from_close_up, p)), 1});
    }
  Rectification r;
  r.way = photo.way;
  r.side = photo.side;
  r.photo_size_px = size;
  r.turn_deg =
      (static_cast<int>(std::lround((photo.turn_deg - place.turn_deg) / 90)) * 90 % 360 + 360) %
      360;
  r.board_from_photo_px = warp_by_hand(pairs).second_from_first;
  r.edge_sd_px = std::max(photo.edge_sd_px, place.rms_px.value) * place.scale;
  r.outline_px = board_seen(place, photo);
  r.outline_is_frame = photo.outline_is_frame || r.outline_px.empty();
  if (r.outline_is_frame) r.outline_px = {frame_through(cv::Matx33d::eye(), size), {}};
  r.outline_board = r.outline_px;
  for (cv::Point2d& p : r.outline_board.outer) p = board_point(r, p);
  for (Ring& hole : r.outline_board.holes)
    for (cv::Point2d& p : hole) p = board_point(r, p);
  r.outline_board.outer = clockwise(std::move(r.outline_board.outer));
  if (photo.has_scale()) {
    const double on_photo_px = std::min(size.width, size.height) / place.scale;
    r.length_rel_sd = std::hypot(photo.length_rel_sd, place.rms_px.value / on_photo_px);
    const double scale = 1 / std::sqrt(pixel_area_board(r, {size.width / 2.0, size.height / 2.0})),
                 half = 1.96 * r.length_rel_sd;
    r.px_per_mm = Interval{scale, scale * (1 - half), scale * (1 + half)};
  }
  return r;
}

}  // namespace verdigrid
