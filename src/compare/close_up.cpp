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

// A close-up being looked for: views that whole pictures correlate at (`places_`, of the close-up
// made small) and views that patches and features were asked about (`looks_`, of the whole one).
class Placing {
 public:
  Placing(const cv::Mat& photo_bgr, const cv::Mat& close_up_bgr, const CloseUpOptions& options,
          const Work& work)
      : photo_(photo_bgr),
        close_up_(close_up_bgr),
        options_(options),
        scaled_(options),
        work_(work),
        working_(working_photo({close_up_bgr, {}}, options.working_long_side_px)) {
    scaled_.least_scale *= working_.scale;
    scaled_.largest_scale *= working_.scale;
    cv::resize(close_up_, small_, working_.grey.size(), 0, 0, cv::INTER_AREA);
    cv::Mat grey;
    cv::cvtColor(photo_, grey, cv::COLOR_BGR2GRAY);
    features_ = tiled_features(grey, options.features_per_tile, work.part(0, 0.2));
  }

  CloseUpAnswer answer() {
    auto guesses = close_up_guesses(features_, working_.grey, scaled_, work_.part(0.2, 0.3));
    const size_t most_votes = guesses.empty() ? 0 : guesses[0].votes;
    for (const CloseUpGuess& guess :
         coarse_guesses(features_, working_.grey, scaled_, work_.part(0.3, 0.4)))
      guesses.push_back(guess);
    for (const CloseUpGuess& guess : guesses) ask_patches(guess.photo_from_close_up);
    if (const auto told = told_by_patches(looks_, close_up_.size(), k_proof_at_once))
      return answer_of(*told);
    for (const CloseUpGuess& guess : guesses) correlate(guess.photo_from_close_up);
    const bool is_sure = most_votes >= k_sure_votes && best_.worth() >= k_sure_worth;
    if (!is_sure)
      for (const CloseUpPeak& p :
           close_up_peaks(photo_, small_, scaled_, k_peaks, work_.part(0.4, 0.9)))
        correlate(p.photo_from_close_up);
    for (const CloseUpPeak& place : places_) ask_patches(place.photo_from_close_up);
    if (const auto told = told_by_patches(looks_, close_up_.size(), k_proof_at_last);
        told && correlates_at(told->place))
      return answer_of(*told);
    if (const auto told = told_by_both(looks_, close_up_.size())) return answer_of(*told);
    work_.report(1);
    return answer_by_whole_look();
  }

 private:
  // A view of the close-up made small as one of the whole close-up.
  cv::Matx33d of_whole(const cv::Matx33d& view) const { return view * resized_by(working_.scale); }

  // Correlates the whole pictures near a view, and keeps the place.
  void correlate(const cv::Matx33d& start) {
    work_.check();
    const double scale = close_up_scale(start, small_.size());
    if (scale < 0.7 * scaled_.least_scale || scale > 1.4 * scaled_.largest_scale ||
        share_on_photo(start, small_.size(), photo_.size()) < k_least_on_photo)
      return;
    const CloseUpPeak peak = sharpened(photo_, small_, start);
    if (!is_in_range(close_up_scale(peak.photo_from_close_up, small_.size()), scaled_)) return;
    places_.push_back(peak);
    if (peak.worth() > best_.worth()) best_ = peak;
  }

  // Asks patches and features near a view, and keeps what they say.
  void ask_patches(const cv::Matx33d& start) {
    work_.check();
    auto look = checked(photo_, close_up_, of_whole(start), options_, work_);
    if (!look ||
        !is_in_range(close_up_scale(look->photo_from_close_up, close_up_.size()), options_))
      return;
    look->features = support_of(common_at(look->photo_from_close_up), look->photo_from_close_up);
    looks_.push_back(*look);
  }

  // Features of both round a view, in px of the whole close-up.
  std::vector<CommonFeature> common_at(const cv::Matx33d& view) const {
    const cv::Matx33d from_small = resized_by(1 / working_.scale);
    auto common = common_features(features_, working_.grey, view * from_small);
    for (CommonFeature& feature : common)
      feature.close_up_px = mapped(from_small, feature.close_up_px);
    return common;
  }

  bool correlates_at(const Checked& place) const {
    return std::any_of(places_.begin(), places_.end(), [&](const CloseUpPeak& p) {
      return p.score >= k_proof_score &&
             is_same_place(place.photo_from_close_up * resized_by(1 / working_.scale),
                           p.photo_from_close_up, small_.size());
    });
  }

  void put(const Checked& place, CloseUpAnswer& out) const {
    const ViewOfBoard board = view_of_board(
        photo_, close_up_, place, [this](const cv::Matx33d& view) { return common_at(view); },
        options_, work_);
    out.place = place_of(board.place, close_up_.size(), photo_.size());
    out.place->scale_range = board.scale_range;
    if (board.next_border_share >= k_heights_alike * board.border_share)
      out.remarks.emplace_back(k_several_heights);
    if (board.place.agreement.agreeing == 0) out.remarks.emplace_back(k_by_whole_look);
  }

  CloseUpAnswer answer_of(const ToldByPatches& told) const {
    CloseUpAnswer out;
    out.strength = told.place.strength;
    out.next_strength = told.next_strength;
    put(told.place, out);
    return out;
  }

  // How far patches back the place that correlates best.
  double backing() const {
    double most = 0;
    for (const Checked& look : looks_)
      if (is_same_place(look.photo_from_close_up, of_whole(best_.photo_from_close_up),
                        close_up_.size()))
        most = std::max(most, look.strength);
    return most;
  }

  // The place that correlates best, if it does so well enough and alone.
  CloseUpAnswer answer_by_whole_look() const {
    CloseUpAnswer out;
    out.strength = best_.worth();
    out.off_share = best_.off_share;
    for (const CloseUpPeak& other : places_)
      if (!is_same_place(best_.photo_from_close_up, other.photo_from_close_up, small_.size()))
        out.next_strength = std::max(out.next_strength, other.worth());
    const double least = backing() >= k_backing_strength
                             ? options_.least_strength
                             : std::max(options_.least_strength, k_alone_strength);
    if (out.strength < least) {
      out.remarks.push_back(std::string("Nothing on the photo looks enough like this close-up. ") +
                            k_way_out);
    } else if (out.strength < options_.least_lead * out.next_strength) {
      out.remarks.push_back(
          std::string("Two places of the photo look like this close-up, and it does not tell "
                      "which one it shows. ") +
          k_way_out);
    } else {
      Checked place;
      place.photo_from_close_up = of_whole(best_.photo_from_close_up);
      put(place, out);
    }
    return out;
  }

  const cv::Mat &photo_, &close_up_;
  const CloseUpOptions& options_;
  CloseUpOptions scaled_;  // to the close-up made small
  const Work& work_;
  WorkingPhoto working_;
  cv::Mat small_;
  Features features_;  // of the photo
  std::vector<CloseUpPeak> places_;
  CloseUpPeak best_;
  std::vector<Checked> looks_;
};

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
  return Placing(photo_bgr, close_up_bgr, options, work).answer();
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
