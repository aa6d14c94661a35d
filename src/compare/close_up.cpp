#include "compare/close_up.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "compare/close_up_board.h"
#include "compare/close_up_contrast.h"
#include "compare/close_up_correlation.h"
#include "compare/close_up_search.h"
#include "compare/features.h"
#include "compare/other_side.h"
#include "compare/refine.h"
#include "compare/registration.h"

namespace verdigrid {

namespace {

constexpr double k_scale_slack = 1.05;
constexpr size_t k_peaks = 10;
// So many features at one place need no search of the whole photo.
constexpr size_t k_sure_votes = 20;
constexpr double k_sure_worth = 0.55;

// Of a place that may be given; guesses may lie farther off.
bool is_in_range(double scale, const CloseUpOptions& options) {
  return scale >= options.least_scale / k_scale_slack &&
         scale <= options.largest_scale * k_scale_slack;
}

void check_photos(const cv::Mat& photo, const cv::Mat& close_up) {
  require(photo.type() == CV_8UC3 && close_up.type() == CV_8UC3, "close-ups need BGR photos");
  if (std::min({photo.cols, photo.rows, close_up.cols, close_up.rows}) < 64)
    throw Error(ErrorKind::bad_input,
                "The photo or the close-up is smaller than 64 x 64 px; take a larger one.");
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

// Patches and features are two looks that chance seldom fools at one place: the shares of both that
// agree, multiplied. Other places of the board and other boards reach 0.025 (rendered pairs).
constexpr double k_joint = 0.04, k_joint_lead = 2;
constexpr size_t k_joint_patches = 15, k_joint_features = 8;

double joint_share(const Checked& look) { return look.agreement.share * look.features.share(); }

struct ToldByPatches {
  Checked place;
  double next_strength = 0;  // of the best other place
};

// The place that patches all over the close-up agree with, and with no other one nearly as much.
std::optional<ToldByPatches> told_by_patches(const std::vector<Checked>& looks, cv::Size close_up,
                                             const PatchProof& proof) {
  const auto best =
      std::max_element(looks.begin(), looks.end(),
                       [](const Checked& a, const Checked& b) { return a.strength < b.strength; });
  if (best == looks.end() || best->strength < proof.least_strength ||
      best->agreement.agreeing < proof.least_patches)
    return std::nullopt;
  ToldByPatches out{*best, 0};
  for (const Checked& other : looks)
    if (!is_same_place(best->photo_from_close_up, other.photo_from_close_up, close_up))
      out.next_strength = std::max(out.next_strength, other.strength);
  if (proof.lead * out.next_strength > best->strength) return std::nullopt;
  return out;
}

// The place that patches and features agree with in so many, and with no other one half as well.
std::optional<ToldByPatches> told_by_both(const std::vector<Checked>& looks, cv::Size close_up) {
  const auto best = std::max_element(
      looks.begin(), looks.end(),
      [](const Checked& a, const Checked& b) { return joint_share(a) < joint_share(b); });
  if (best == looks.end() || joint_share(*best) < k_joint ||
      best->agreement.agreeing < k_joint_patches || best->features.agreeing < k_joint_features)
    return std::nullopt;
  ToldByPatches out{*best, 0};
  for (const Checked& other : looks) {
    if (is_same_place(best->photo_from_close_up, other.photo_from_close_up, close_up)) continue;
    if (k_joint_lead * joint_share(other) > joint_share(*best)) return std::nullopt;
    out.next_strength = std::max(out.next_strength, other.strength);
  }
  return out;
}

constexpr const char* k_by_whole_look =
    "Placed by its look as a whole: too few places of both agree to tell the board from the tops "
    "of tall parts, which are seen some way beside it. Look whether it lies right.";
// A view that holds so much of the border as the board's may be the board's too.
constexpr double k_heights_alike = 1.0 / 3;
constexpr const char* k_several_heights =
    "What this close-up shows lies at several heights, and the photo shows these some way apart. "
    "It was placed by what holds most of its border, which should be the board. Look whether it "
    "lies right.";
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
  const Features features = tiled_features(photo, options.features_per_tile, work.part(0, 0.2));
  auto guesses = close_up_guesses(features, close_up.grey, scaled, work.part(0.2, 0.3));
  const size_t most_votes = guesses.empty() ? 0 : guesses[0].votes;
  for (const CloseUpGuess& guess :
       coarse_guesses(features, close_up.grey, scaled, work.part(0.3, 0.4)))
    guesses.push_back(guess);
  std::vector<Checked> looks;
  const auto common_at = [&](const cv::Matx33d& view) {
    auto common = common_features(features, close_up.grey, view * resized_by(1 / close_up.scale));
    for (CommonFeature& feature : common)
      feature.close_up_px = mapped(resized_by(1 / close_up.scale), feature.close_up_px);
    return common;
  };
  const auto check_at = [&](const cv::Matx33d& start) {
    work.check();
    const cv::Matx33d h = start * resized_by(close_up.scale);
    auto look = checked(photo_bgr, close_up_bgr, h, options, work);
    if (!look ||
        !is_in_range(close_up_scale(look->photo_from_close_up, close_up_bgr.size()), options))
      return;
    look->features = support_of(common_at(look->photo_from_close_up), look->photo_from_close_up);
    looks.push_back(*look);
  };
  const auto place_at = [&](const Checked& place, CloseUpAnswer& out) {
    const ViewOfBoard board =
        view_of_board(photo_bgr, close_up_bgr, place, common_at, options, work);
    out.place = place_of(board.place, close_up_bgr.size(), photo_bgr.size());
    out.place->scale_range = board.scale_range;
    if (board.next_border_share >= k_heights_alike * board.border_share)
      out.remarks.emplace_back(k_several_heights);
    if (board.place.agreement.agreeing == 0) out.remarks.emplace_back(k_by_whole_look);
  };
  const auto answer_of = [&](const ToldByPatches& told) {
    CloseUpAnswer out;
    out.strength = told.place.strength;
    out.next_strength = told.next_strength;
    place_at(told.place, out);
    return out;
  };
  for (const CloseUpGuess& guess : guesses) check_at(guess.photo_from_close_up);
  if (const auto told = told_by_patches(looks, close_up_bgr.size(), k_proof_at_once))
    return answer_of(*told);
  for (const CloseUpGuess& guess : guesses) look_at(guess.photo_from_close_up);
  const bool is_sure = most_votes >= k_sure_votes && best.worth() >= k_sure_worth;
  if (!is_sure)
    for (const CloseUpPeak& p :
         close_up_peaks(photo_bgr, small, scaled, k_peaks, work.part(0.4, 0.9)))
      look_at(p.photo_from_close_up);
  for (const CloseUpPeak& place : places) check_at(place.photo_from_close_up);
  const auto correlates_at = [&](const Checked& place) {
    return std::any_of(places.begin(), places.end(), [&](const CloseUpPeak& p) {
      return p.score >= k_proof_score &&
             is_same_place(place.photo_from_close_up * resized_by(1 / close_up.scale),
                           p.photo_from_close_up, small.size());
    });
  };
  if (const auto told = told_by_patches(looks, close_up_bgr.size(), k_proof_at_last);
      told && correlates_at(told->place))
    return answer_of(*told);
  if (const auto told = told_by_both(looks, close_up_bgr.size())) return answer_of(*told);
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
                      best.photo_from_close_up * resized_by(close_up.scale), close_up_bgr.size()))
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
    place.photo_from_close_up = best.photo_from_close_up * resized_by(close_up.scale);
    place_at(place, out);
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
  const Checked found = fitted_place(photo_bgr, close_up_bgr, by_hand, options, work);
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

}  // namespace verdigrid
