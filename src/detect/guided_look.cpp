#include "detect/guided_look.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "detect/forest.h"
#include "detect/look_features.h"
#include "detect/look_places.h"
#include "detect/regions.h"

namespace verdigrid {
namespace {

// How the samples weigh against each other; our own rules, found by playing the look over photos.
constexpr float k_answer_weight = 1.F;       // of one superpixel of an answer
constexpr float k_answer_weight_most = 30;   // of all superpixels of one answer
constexpr int k_answer_samples = 90;         // superpixels of one answer at most
constexpr int k_background_samples = 500;    // superpixels nobody asked about, taken as clean
constexpr float k_background_weight = 40;    // of all of them together
constexpr float k_automatic_weight = 6;      // of the automatic map, all its findings, at first
constexpr float k_automatic_fading = 0.12F;  // and how fast answers take over from it
constexpr float k_lesson_weight = 0.5F;
// Damage comes in clusters: the odds rise close to a yes and fall far from one.
constexpr double k_near_gain = 3.0, k_far_loss = 0.3, k_near_of_diagonal = 0.06;

int label_of(const Answer& a, Residue guess) {
  if (a.kind == AnswerKind::no) return 0;
  if (a.residue) return static_cast<int>(*a.residue);
  return static_cast<int>(guess == Residue::none ? Residue::unsure : guess);
}

std::vector<float> row_of(const cv::Mat& features, int i) {
  return {features.ptr<float>(i), features.ptr<float>(i) + features.cols};
}

void add_answer(const LookBase& base, const Answer& a, const std::vector<int>& members,
                std::vector<Sample>& samples) {
  if (a.kind == AnswerKind::not_sure || members.empty()) return;
  const auto n = static_cast<int>(members.size());
  const int taken = std::min(n, k_answer_samples);
  const float weight = std::min(k_answer_weight, k_answer_weight_most / static_cast<float>(taken));
  for (int k = 0; k < taken; ++k) {
    const int i = members[static_cast<std::size_t>(static_cast<long>(k) * n / taken)];
    samples.push_back(
        {row_of(base.features, i), label_of(a, base.labels[static_cast<std::size_t>(i)]), weight});
  }
}

void add_automatic(const LookBase& base, const std::vector<char>& is_asked, std::size_t answers,
                   std::vector<Sample>& samples) {
  float total = 0;
  for (std::size_t i = 0; i < base.labels.size(); ++i)
    if (!is_asked[i] && base.labels[i] != Residue::none) total += base.prior[i];
  if (total <= 0) return;
  const float weight = k_automatic_weight / (1 + k_automatic_fading * static_cast<float>(answers));
  const float gain = std::min(1.F, weight / total);
  for (std::size_t i = 0; i < base.labels.size(); ++i)
    if (!is_asked[i] && base.labels[i] != Residue::none && base.prior[i] > 0)
      samples.push_back({row_of(base.features, static_cast<int>(i)),
                         static_cast<int>(base.labels[i]), gain * base.prior[i]});
}

void add_background(const LookBase& base, const std::vector<char>& is_asked, std::uint64_t seed,
                    std::vector<Sample>& samples) {
  const int n = base.superpixels.count();
  cv::RNG rng(seed);
  const float weight = k_background_weight / k_background_samples;
  for (int k = 0; k < k_background_samples; ++k) {
    const int i = rng.uniform(0, n);
    const auto u = static_cast<std::size_t>(i);
    if (is_asked[u] || base.labels[u] != Residue::none) continue;
    samples.push_back({row_of(base.features, i), 0, weight * (1.001F - base.prior[u])});
  }
}

double odds_near(double distance) {
  return k_far_loss + (k_near_gain - k_far_loss) * std::exp(-distance / k_near_of_diagonal);
}

// Distance of every superpixel to the nearest yes, as a share of the board's diagonal; empty
// without a yes.
std::vector<double> distance_to_yes(const LookBase& base, const std::vector<Answer>& answers,
                                    const std::vector<std::vector<int>>& members) {
  cv::Mat far(base.image.lab.size(), CV_8UC1, cv::Scalar(255));
  bool any = false;
  for (std::size_t a = 0; a < answers.size(); ++a) {
    if (answers[a].kind != AnswerKind::yes) continue;
    for (const int i : members[a]) {
      const cv::Point2f c = base.superpixels.centre_px[static_cast<std::size_t>(i)];
      far.at<uchar>(cvRound(c.y), cvRound(c.x)) = 0;
      any = true;
    }
  }
  if (!any) return {};
  cv::Mat distance;
  cv::distanceTransform(far, distance, cv::DIST_L2, 3);
  std::vector<double> d;
  for (const cv::Point2f c : base.superpixels.centre_px)
    d.push_back(static_cast<double>(distance.at<float>(cvRound(c.y), cvRound(c.x))) /
                base.image.diagonal_px);
  return d;
}

double with_odds(double p, double gain) {
  const double q = std::clamp(p, 1e-6, 1 - 1e-6);
  const double odds = q / (1 - q) * gain;
  return odds / (1 + odds);
}

// Neighbours of like colour share some of their probability.
std::vector<double> smoothed(const LookBase& base, const std::vector<double>& p) {
  std::vector<double> out(p.size());
  for (std::size_t i = 0; i < p.size(); ++i) {
    double sum = 2 * p[i], weight = 2;
    const auto* own = base.features.ptr<float>(static_cast<int>(i));
    for (const int j : base.superpixels.neighbours[i]) {
      const auto* other = base.features.ptr<float>(j);
      double d2 = 0;
      for (int c = 0; c < 3; ++c) d2 += (own[c] - other[c]) * (own[c] - other[c]);
      const double w = std::exp(-d2 / (2 * 6.0 * 6.0));
      sum += w * p[static_cast<std::size_t>(j)];
      weight += w;
    }
    out[i] = sum / weight;
  }
  return out;
}

Residue likeliest(const ClassShares& shares) {
  std::size_t best = 1;
  for (std::size_t c = 2; c < shares.size(); ++c)
    if (shares[c] > shares[best]) best = c;
  return shares[best] > 0 ? static_cast<Residue>(best) : Residue::unsure;
}

// What the answers themselves settle.
void settle(const std::vector<Answer>& answers, const std::vector<std::vector<int>>& members,
            std::vector<double>& p) {
  for (std::size_t a = 0; a < answers.size(); ++a)
    for (const int i : members[a]) {
      auto& v = p[static_cast<std::size_t>(i)];
      if (answers[a].kind == AnswerKind::no) v = std::min(v, 0.02);
      if (answers[a].kind == AnswerKind::yes && v > 0.25) v = std::max(v, 0.9);
    }
}

// On the odds of what the automatic map flags and nobody was asked about yet, so that answers about
// other places do not lose it: 1 where the map is hardly sure, 17 where it is.
constexpr double k_flagged_gain = 16;

// Before the first yes: how much one no lowers what looks like it, on these features (lightness, a
// and b; the same against 12 px around; middle texture), each divided by its unit.
constexpr double k_doubt = 0.6;
constexpr std::array<int, 7> k_doubt_features{0, 1, 2, 8, 9, 10, 19};
constexpr std::array<double, 7> k_doubt_units{12, 8, 8, 12, 8, 8, 3};

struct Belief {
  std::vector<double> p;
  std::vector<Residue> residue;
};

Belief automatic_belief(const LookBase& base) {
  Belief belief;
  for (std::size_t i = 0; i < base.prior.size(); ++i) {
    belief.p.push_back(base.prior[i]);
    belief.residue.push_back(base.labels[i] == Residue::none ? Residue::unsure : base.labels[i]);
  }
  return belief;
}

std::array<double, k_doubt_features.size()> looks_of(const LookBase& base, int i) {
  std::array<double, k_doubt_features.size()> looks{};
  for (std::size_t f = 0; f < looks.size(); ++f)
    looks[f] =
        static_cast<double>(base.features.at<float>(i, k_doubt_features[f])) / k_doubt_units[f];
  return looks;
}

void doubt(const LookBase& base, const std::vector<int>& members, std::vector<double>& p) {
  std::array<double, k_doubt_features.size()> mean{};
  for (const int i : members) {
    const auto looks = looks_of(base, i);
    for (std::size_t f = 0; f < mean.size(); ++f)
      mean[f] += looks[f] / static_cast<double>(members.size());
  }
  for (std::size_t i = 0; i < p.size(); ++i) {
    const auto looks = looks_of(base, static_cast<int>(i));
    double d2 = 0;
    for (std::size_t f = 0; f < mean.size(); ++f) d2 += (looks[f] - mean[f]) * (looks[f] - mean[f]);
    p[i] *= 1 - k_doubt * std::exp(-d2 / 2);
  }
  for (const int i : members) p[static_cast<std::size_t>(i)] = 0;
}

// Before the first yes there is nothing to learn from what residue looks like here: the automatic
// map, lowered where it looks like what was answered with no.
Belief doubted_belief(const LookBase& base, const std::vector<Answer>& answers,
                      const std::vector<std::vector<int>>& members) {
  Belief belief = automatic_belief(base);
  for (std::size_t a = 0; a < answers.size(); ++a)
    if (answers[a].kind == AnswerKind::no && !members[a].empty()) doubt(base, members[a], belief.p);
  return belief;
}

Belief taught_belief(const LookBase& base, const std::vector<Answer>& answers,
                     const std::vector<std::vector<int>>& members,
                     const std::vector<char>& is_asked, const LookOptions& options) {
  std::vector<Sample> samples;
  for (std::size_t a = 0; a < answers.size(); ++a)
    add_answer(base, answers[a], members[a], samples);
  for (const auto& lesson : options.lessons)
    samples.push_back({lesson.features, static_cast<int>(lesson.residue), k_lesson_weight});
  add_automatic(base, is_asked, answers.size(), samples);
  add_background(base, is_asked, options.seed, samples);
  if (samples.empty()) return automatic_belief(base);
  ForestOptions forest;
  forest.seed = options.seed;
  const auto shares = Forest(samples, forest).shares(base.features);
  Belief belief;
  for (const auto& s : shares) {
    belief.p.push_back(1 - static_cast<double>(s[0]));
    belief.residue.push_back(likeliest(s));
  }
  belief.p = smoothed(base, belief.p);
  const auto distance = distance_to_yes(base, answers, members);
  for (std::size_t i = 0; i < distance.size(); ++i)
    belief.p[i] = with_odds(belief.p[i], odds_near(distance[i]));
  for (std::size_t i = 0; i < belief.p.size(); ++i)
    if (base.labels[i] != Residue::none && !is_asked[i])
      belief.p[i] = with_odds(belief.p[i], 1 + k_flagged_gain * base.prior[i]);
  settle(answers, members, belief.p);
  return belief;
}

void paint(const LookBase& base, const Belief& belief, double flag_from, Look& look) {
  std::vector<uchar> label, confidence;
  for (std::size_t i = 0; i < belief.p.size(); ++i) {
    confidence.push_back(cv::saturate_cast<uchar>(255 * belief.p[i]));
    label.push_back(belief.p[i] >= flag_from ? static_cast<uchar>(belief.residue[i]) : uchar{0});
  }
  look.labels = cv::Mat(base.image.lab.size(), CV_8UC1, cv::Scalar(0));
  look.confidence = look.labels.clone();
  for (int y = 0; y < look.labels.rows; ++y)
    for (int x = 0; x < look.labels.cols; ++x) {
      const int i = base.superpixels.of_px.at<int>(y, x);
      if (i < 0) continue;
      look.labels.at<uchar>(y, x) = label[static_cast<std::size_t>(i)];
      look.confidence.at<uchar>(y, x) = confidence[static_cast<std::size_t>(i)];
    }
}

}  // namespace

const char* name(AnswerKind kind) {
  switch (kind) {
    case AnswerKind::yes:
      return "yes";
    case AnswerKind::no:
      return "no";
    case AnswerKind::not_sure:
      return "not-sure";
  }
  require(false, "an answer is one of three");
  return "";
}

const char* name(Asked asked) { return asked == Asked::shown ? "shown" : "pointed"; }

void LookOptions::check() const {
  const auto refuse = [](const char* sentence) { throw Error(ErrorKind::wrong_use, sentence); };
  if (places_at_most < 1) refuse("places_at_most must be 1 or more.");
  if (least_shown < 0) refuse("least_shown must be 0 or more.");
  if (!(end_below >= 0 && end_below <= 1)) refuse("end_below must lie between 0 and 1.");
  if (!(end_unproven_below >= 0 && end_unproven_below <= 1))
    refuse("end_unproven_below must lie between 0 and 1.");
  if (!(flag_from > 0 && flag_from <= 1)) refuse("flag_from must lie above 0 and not above 1.");
  for (const auto& lesson : lessons)
    if (static_cast<int>(lesson.features.size()) != k_look_feature_count)
      refuse("a lesson has another number of features than this version computes.");
}

LookBase look_base(const Photo& photo, const Rectification& rectification,
                   const ResidueMap& automatic, const Work& work) {
  require(
      automatic.labels.size() == photo.size_px() && automatic.confidence.size() == photo.size_px(),
      "a residue map has the size of its photo");
  LookBase base;
  base.image = working_image(photo, rectification);
  work.check();
  base.superpixels = superpixels_of(base.image.lab, base.image.board);
  work.check();
  work.report(0.5);
  cv::Mat confidence, labels;
  const cv::Rect whole({0, 0}, base.image.lab.size() * base.image.factor);
  cv::resize(automatic.confidence(whole), confidence, base.image.lab.size(), 0, 0, cv::INTER_AREA);
  cv::resize(automatic.labels(whole), labels, base.image.lab.size(), 0, 0, cv::INTER_NEAREST);
  base.features = look_features(base.image, base.superpixels, confidence);
  for (const float v : means_over(confidence, base.superpixels)) base.prior.push_back(v / 255);
  base.labels = voted_labels(labels, base.superpixels);
  work.report(1);
  return base;
}

Look look_after(const LookBase& base, const std::vector<Answer>& answers,
                const LookOptions& options) {
  options.check();
  Look look;
  look.labels = look.confidence = cv::Mat(base.image.lab.size(), CV_8UC1, cv::Scalar(0));
  look.is_finished = true;
  if (base.superpixels.count() == 0) return look;
  std::vector<std::vector<int>> members;
  AskedPlaces asked{std::vector<char>(base.prior.size(), 0), {}};
  int shown = 0;
  bool any_yes = false;
  for (const auto& a : answers) {
    members.push_back(members_of(base, a.region_px));
    for (const int i : members.back()) asked.is_asked[static_cast<std::size_t>(i)] = 1;
    if (a.kind == AnswerKind::not_sure) asked.not_sure.push_back(members.back());
    shown += a.asked == Asked::shown;
    any_yes |= a.kind == AnswerKind::yes;
  }
  const Belief belief = !any_yes && options.lessons.empty()
                            ? doubted_belief(base, answers, members)
                            : taught_belief(base, answers, members, asked.is_asked, options);
  paint(base, belief, options.flag_from, look);
  look.places =
      look_places(base, belief.p, belief.residue, asked,
                  any_yes ? LookFor::most_change : LookFor::first_yes, options.places_at_most);
  if (!look.places.empty())
    for (const auto& p : look.places)
      look.nothing_left_above = std::max(look.nothing_left_above, p.confidence);
  const bool is_low =
      look.nothing_left_above < (any_yes ? options.end_below : options.end_unproven_below);
  look.is_finished = look.places.empty() || (is_low && shown >= options.least_shown);
  return look;
}

ResidueMap look_map(const LookBase& base, const Look& look) {
  return {at_photo_size(look.labels, base.image), at_photo_size(look.confidence, base.image)};
}

std::vector<Lesson> lessons_of(const LookBase& base, const std::vector<Answer>& answers) {
  std::vector<Lesson> lessons;
  for (const auto& a : answers) {
    std::vector<Sample> samples;
    add_answer(base, a, members_of(base, a.region_px), samples);
    for (auto& s : samples)
      lessons.push_back({std::move(s.features), static_cast<Residue>(s.label)});
  }
  return lessons;
}

}  // namespace verdigrid
