#include "compare/registration.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/calib3d.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "base/parallel.h"
#include "compare/features.h"
#include "compare/other_side.h"
#include "compare/refine.h"
#include "compare/revision_signs.h"

namespace verdigrid {

namespace {

constexpr size_t k_least_inliers = 10;
constexpr double k_largest_scale = 12;  // between the two photos, each way
constexpr int k_blocks = 6;
// Features of pictures this size place most photos, at a quarter of the cost; a place by them must
// be so many times surer.
constexpr int k_quick_long_side_px = 800, k_quick_features = 3000;
constexpr double k_quick_strength = 2;

struct Coarse {
  Warp warp;  // photo px
  size_t inliers = 0;
};

// A view of a flat board: keeps its sense, no vanishing line across it, a scale that photos have.
bool is_plausible(const cv::Matx33d& h, cv::Size size) {
  double smallest = 1e300, largest = 0;
  for (const cv::Point2d& p :
       {cv::Point2d(0, 0), cv::Point2d(size.width, 0), cv::Point2d(size.width, size.height),
        cv::Point2d(0, size.height), cv::Point2d(size.width / 2.0, size.height / 2.0)}) {
    const double w = h(2, 0) * p.x + h(2, 1) * p.y + h(2, 2);
    if (w * h(2, 2) <= 0) return false;
    const double det = cv::determinant(h) / (w * w * w);
    if (det <= 0) return false;
    smallest = std::min(smallest, std::sqrt(det));
    largest = std::max(largest, std::sqrt(det));
  }
  return smallest > 1 / k_largest_scale && largest < k_largest_scale && largest < 4 * smallest;
}

std::optional<Coarse> coarse_fit(const std::vector<PointPair>& pairs, const WorkingPhoto& first,
                                 const WorkingPhoto& second, const RegistrationOptions& options,
                                 std::vector<char>& is_inlier) {
  is_inlier.assign(pairs.size(), 0);
  if (pairs.size() < k_least_inliers) return std::nullopt;
  std::vector<cv::Point2d> a, b;
  for (const PointPair& pair : pairs) {
    a.push_back(pair.first_px);
    b.push_back(pair.second_px);
  }
  cv::UsacParams params;
  params.threshold = options.feature_tolerance_px;
  params.confidence = 0.9999;
  params.maxIterations = 20000;
  params.score = cv::SCORE_METHOD_MAGSAC;
  params.loMethod = cv::LOCAL_OPTIM_SIGMA;
  params.randomGeneratorState = static_cast<int>(options.seed & 0x7FFFFFFF);
  cv::Mat inliers;
  const cv::Mat h = cv::findHomography(a, b, inliers, params);
  if (h.empty()) return std::nullopt;
  Coarse out;
  for (size_t i = 0; i < pairs.size(); ++i) {
    is_inlier[i] = inliers.at<uchar>(static_cast<int>(i)) != 0;
    out.inliers += is_inlier[i] != 0;
  }
  Warp warp;
  warp.second_from_first = cv::Matx33d(h.ptr<double>());
  if (out.inliers < k_least_inliers || !is_plausible(warp.second_from_first, first.grey.size()))
    return std::nullopt;
  out.warp = from_working(warp, first, second);
  return out;
}

// A photo to place, and its features: those of a smaller picture where that will do.
struct Featured {
  BoardPhoto photo;
  WorkingPhoto work;  // that the fit is refined on
  WorkingPhoto seen;  // that the features are px of
  Features features;
};

// Both at once.
std::array<Features, 2> features_of_both(const WorkingPhoto& first, const WorkingPhoto& second,
                                         int count) {
  std::array<Features, 2> out;
  in_parallel(2, [&](size_t k) {
    const WorkingPhoto& work = k == 0 ? first : second;
    out[k] = features_of(work.grey, work.board_px, count);
  });
  return out;
}

struct Attempt {
  Refined refined;
  size_t inliers = 0;
  bool has_fit = false;
};

bool is_good(const Attempt& a, const RegistrationOptions& options) {
  return a.has_fit && strength(a.refined.agreement) >= options.least_strength;
}

// The best of up to two homographies: the second one from what the first leaves over.
Attempt attempt(const Featured& first, const Featured& second, const RegistrationOptions& options,
                const Work& work) {
  work.check();
  std::vector<PointPair> pairs = feature_pairs(first.features, second.features, options.ratio);
  Attempt best;
  for (int round = 0; round < 2; ++round) {
    work.check();
    std::vector<char> is_inlier;
    const auto coarse = coarse_fit(pairs, first.seen, second.seen, options, is_inlier);
    if (coarse) {
      best.inliers = std::max(best.inliers, coarse->inliers);
      Attempt now{refined(first.photo, second.photo, first.work, second.work, coarse->warp, work),
                  coarse->inliers, true};
      if (!best.has_fit || strength(now.refined.agreement) > strength(best.refined.agreement))
        best = std::move(now);
      if (is_good(best, options)) break;
    }
    std::vector<PointPair> rest;
    for (size_t i = 0; i < pairs.size(); ++i)
      if (!is_inlier[i]) rest.push_back(pairs[i]);
    if (rest.size() == pairs.size()) break;
    pairs = std::move(rest);
  }
  return best;
}

// By the strongest features of smaller pictures; without a fit where these are not sure, or not
// smaller.
Attempt quick_attempt(const BoardPhoto& first, const BoardPhoto& second, const WorkingPhoto& wa,
                      const WorkingPhoto& wb, const RegistrationOptions& options,
                      const Work& work) {
  const auto smaller = [](const WorkingPhoto& work_photo) {
    const int longer = std::max(work_photo.grey.cols, work_photo.grey.rows);
    return smaller_photo(work_photo, static_cast<double>(k_quick_long_side_px) / longer);
  };
  const WorkingPhoto sa = smaller(wa), sb = smaller(wb);
  if (sa.scale == wa.scale && sb.scale == wb.scale) return {};
  work.check();
  RegistrationOptions quick = options;
  quick.feature_count = std::min(k_quick_features, options.feature_count);
  quick.feature_tolerance_px *= sb.scale / wb.scale;
  quick.least_strength = std::min(1.0, k_quick_strength * options.least_strength);
  const auto [fa, fb] = features_of_both(sa, sb, quick.feature_count);
  Attempt found = attempt({first, wa, sa, fa}, {second, wb, sb, fb}, quick, work);
  return is_good(found, quick) ? found : Attempt{};
}

double turn_of(const cv::Matx33d& h, cv::Point2d at) {
  const cv::Point2d d = mapped(h, at + cv::Point2d(1, 0)) - mapped(h, at - cv::Point2d(1, 0));
  return std::atan2(d.y, d.x) * 180 / CV_PI;
}

// Mean offset of each block, the largest of them, working px.
double worst_block(const std::vector<PatchMatch>& matches, cv::Size size) {
  std::vector<cv::Point2d> sum(k_blocks * k_blocks);
  std::vector<int> count(sum.size(), 0);
  for (const PatchMatch& m : matches) {
    if (m.score < k_agree_score || cv::norm(m.offset_px) > k_agree_px) continue;
    const int bx = std::min(k_blocks - 1, static_cast<int>(m.first_px.x / size.width * k_blocks));
    const int by = std::min(k_blocks - 1, static_cast<int>(m.first_px.y / size.height * k_blocks));
    const auto b = static_cast<size_t>(by * k_blocks + bx);
    sum[b] += m.offset_px;
    ++count[b];
  }
  double worst = 0;
  for (size_t b = 0; b < sum.size(); ++b)
    if (count[b] >= 4) worst = std::max(worst, cv::norm(sum[b]) / count[b]);
  return worst;
}

cv::Point2d board_middle(const BoardPhoto& photo) {
  if (photo.board_px.empty()) return {photo.bgr.cols / 2.0, photo.bgr.rows / 2.0};
  const cv::Rect2d box = bounding_box(photo.board_px.outer);
  return {box.x + box.width / 2, box.y + box.height / 2};
}

void fill_figures(Registration& out, const Attempt& found, const BoardPhoto& first) {
  const Refined& r = found.refined;
  out.warp = r.warp;
  out.agreement = r.agreement;
  out.feature_inliers = found.inliers;
  const cv::Point2d middle = board_middle(first);
  out.turn_deg = turn_of(r.warp.second_from_first, middle);
  out.scale = std::sqrt(local_area_scale(r.warp.second_from_first, middle));
  const double to_second = out.scale / r.first.scale;  // second photo px per working px
  const auto n = static_cast<double>(std::max<size_t>(1, r.agreement.agreeing));
  const double rms = r.agreement.rms_px * to_second, half = 1.96 / std::sqrt(2 * n);
  out.rms_px = {rms, rms * std::max(0.0, 1 - half), rms * (1 + half)};
  out.worst_px = worst_block(r.matches, r.first.grey.size()) * to_second;
  const Warp working = to_working(r.warp, r.first, r.second);
  for (const PatchMatch& m : r.matches) {
    if (m.score < k_agree_score || cv::norm(m.offset_px) > k_agree_px) continue;
    // The pair's second point is where the patch was really found.
    const cv::Point2d off = m.second_px - working(m.first_px);
    const cv::Point2d p = photo_px(r.first, m.first_px);
    out.pairs.push_back({p, r.warp(p) + off * (1 / r.second.scale), m.score});
  }
}

void say_turn(Registration& out) {
  const double quarter = std::round(out.turn_deg / 90) * 90;
  if (quarter == 0) return;
  if (std::abs(out.turn_deg - quarter) > 30) return;
  const int turn = static_cast<int>(quarter);
  out.remarks.push_back(turn == 180 || turn == -180
                            ? "The photo is turned by 180 degrees against the other one."
                            : fmt::format("The photo is turned by 90 degrees {} against the other "
                                          "one.",
                                          turn > 0 ? "clockwise" : "counter-clockwise"));
}

void check_photo(const BoardPhoto& photo) {
  require(photo.bgr.type() == CV_8UC3, "registration needs BGR photos");
  if (photo.bgr.cols < 64 || photo.bgr.rows < 64)
    throw Error(ErrorKind::bad_input,
                "The photo is smaller than 64 x 64 px; take a larger one to compare it.");
}

}  // namespace

const char* name(Match match) {
  switch (match) {
    case Match::same:
      return "same";
    case Match::differs:
      return "differs";
    case Match::revision:
      return "revision";
    case Match::other_side:
      return "other side";
    case Match::mirrored:
      return "mirrored";
    case Match::wrong_board:
      return "wrong board";
  }
  return "";
}

void RegistrationOptions::check() const {
  const auto refuse = [](const char* what) {
    throw Error(ErrorKind::wrong_use, fmt::format("Registration: {}.", what));
  };
  if (working_long_side_px < 400 || working_long_side_px > 6000)
    refuse("working_long_side_px must be 400 to 6000");
  if (feature_count < 200 || feature_count > 50'000) refuse("feature_count must be 200 to 50000");
  if (!(ratio >= 0.5 && ratio <= 1)) refuse("ratio must be 0.5 to 1");
  if (!(feature_tolerance_px > 0 && feature_tolerance_px <= 50))
    refuse("feature_tolerance_px must be above 0 and at most 50");
  if (!(least_strength > 0 && least_strength <= 1))
    refuse("least_strength must be above 0 and at most 1");
}

Registration registered(const BoardPhoto& first, const BoardPhoto& second,
                        const RegistrationOptions& options, const Work& work) {
  options.check();
  check_photo(first);
  check_photo(second);
  const WorkingPhoto wa = working_photo(first, options.working_long_side_px),
                     wb = working_photo(second, options.working_long_side_px);
  Attempt direct = quick_attempt(first, second, wa, wb, options, work);
  std::optional<Featured> of_first;
  if (!direct.has_fit) {
    const auto [fa, fb] = features_of_both(wa, wb, options.feature_count);
    of_first = {first, wa, wa, fa};
    direct = attempt(*of_first, {second, wb, wb, fb}, options, work);
  }
  Registration out;
  if (direct.has_fit) fill_figures(out, direct, first);
  if (is_good(direct, options)) {
    out.match = Match::same;
    say_turn(out);
    for (std::string& sign : revision_signs(first, second, out)) {
      out.match = Match::differs;
      out.remarks.push_back(std::move(sign));
    }
    return out;
  }
  work.report(0.5);
  const auto is_same_as_first = [&](const BoardPhoto& photo) {
    const WorkingPhoto wp = working_photo(photo, options.working_long_side_px);
    const Features fp = features_of(wp.grey, wp.board_px, options.feature_count);
    return is_good(attempt(*of_first, {photo, wp, wp, fp}, options, work), options);
  };
  const Likeness likeness{direct.has_fit ? strength(direct.refined.agreement) : 0, direct.inliers};
  out.match = refused_match(first, second, likeness, is_same_as_first, work, out.remarks);
  return out;
}

Registration registered_by_hand(const BoardPhoto& first, const BoardPhoto& second,
                                const std::vector<PointPair>& pairs,
                                const RegistrationOptions& options, const Work& work) {
  options.check();
  check_photo(first);
  check_photo(second);
  const Warp start = warp_by_hand(pairs);
  const WorkingPhoto wa = working_photo(first, options.working_long_side_px);
  const WorkingPhoto wb = working_photo(second, options.working_long_side_px);
  Attempt found{refined(first, second, wa, wb, start, work), 0, true};
  const bool agrees = is_good(found, options);
  if (!agrees) found.refined.warp = start;
  Registration out;
  fill_figures(out, found, first);
  if (!agrees) out.pairs = pairs;
  out.match = agrees ? Match::same : Match::differs;
  out.remarks.push_back(agrees
                            ? "Placed by hand and then fitted to what both photos show."
                            : "Placed by hand as it stands: too little of the two photos agrees to "
                              "refine or to check it.");
  return out;
}

}  // namespace verdigrid
