// How comparisons do on rendered boards of exact truth: alignment, removed area, false change,
// verdicts, and whether the intervals hold what they promise.
//
//   compare_pairs [PAIRS [WIDTHxHEIGHT [FIRST [DETECTOR [FOLDER]]]]]      default 200 800x600 0
//   true
//
// FOLDER, an existing one: NUMBER-before.png, -after.png (aligned, harmonised) and -change.png
// (classes times 30) of each pair.
// DETECTOR: true (true labels), align (alignment only), first (first method), or the path of a
// model. One line per pair, then the figures; a pair that was refused counts as a failure.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>

#include "base/files.h"
#include "detect/trained_detector.h"
#include "photo/encode.h"
#include "tests/compare/rendered_change.h"

using namespace verdigrid;

namespace {

struct Arguments {
  int pairs = 200, first = 0;
  cv::Size photo_px{800, 600};
  std::string detector = "true", folder;
};

Arguments arguments_of(int argc, char** argv) {
  Arguments a;
  if (argc > 1) a.pairs = std::stoi(argv[1]);
  if (argc > 2) std::sscanf(argv[2], "%dx%d", &a.photo_px.width, &a.photo_px.height);
  if (argc > 3) a.first = std::stoi(argv[3]);
  if (argc > 4) a.detector = argv[4];
  if (argc > 5) a.folder = argv[5];
  return a;
}

// Regions of changed parts that lie on no part which was taken off, and the parts that one covers.
struct PartScore {
  int told = 0, wrong = 0, gone = 0, found = 0;
};

PartScore part_score(const RenderedChange& pair, const Comparison& c) {
  PartScore s;
  std::vector<Ring> bodies;
  for (const synthetic::PlacedPart& part : pair.before_spec.parts)
    if (part.side == Side::front && pair.before_spec.is_fitted(part) &&
        !pair.after_spec.is_fitted(part))
      bodies.push_back(synthetic::body_ring(part));
  s.gone = static_cast<int>(bodies.size());
  std::vector<bool> is_found(bodies.size(), false);
  for (const PartChange& change : c.part_changes) {
    ++s.told;
    bool is_right = false;
    for (size_t i = 0; i < bodies.size(); ++i) {
      const cv::Rect2d box = bounding_box(bodies[i]);
      Ring region = change.region_px.outer;
      for (cv::Point2d& p : region) p = board_point(c.rectification, p);
      if ((bounding_box(region) & box).area() <= 0) continue;
      is_right = true;
      is_found[i] = true;
    }
    s.wrong += !is_right;
  }
  s.found = static_cast<int>(std::count(is_found.begin(), is_found.end(), true));
  return s;
}

struct Score {
  PartScore parts;
  int pairs = 0, refused = 0, area_right = 0, verdict_right = 0, covered = 0, unchanged = 0,
      unchanged_right = 0;
  std::vector<double> rms, worst, said;
  double worst_false_percent = 0;
};

double quantile(std::vector<double> v, double share) {
  if (v.empty()) return 0;
  std::sort(v.begin(), v.end());
  return v[static_cast<size_t>(std::lround(share * static_cast<double>(v.size() - 1)))];
}

double true_k(const synthetic::Truth& t) {
  const double focal = t.view.lens.camera(0, 0),
               longer = std::max(t.photo_size_px.width, t.photo_size_px.height);
  return t.view.lens.distortion[0] * longer * longer / (focal * focal);
}

void add_alignment(const RenderedChange& pair, const Alignment& a, Score& score) {
  const AlignmentError e = error_of(a, pair);
  score.rms.push_back(e.rms_px);
  score.worst.push_back(e.worst_px);
  score.said.push_back(a.rms_after_px.value);
  fmt::print(
      "rms {:.2f} worst {:.2f} px said {:.2f} px tall {} share {:.2f} k {:.3f} {:.3f} true {:.3f} "
      "{:.3f}",
      e.rms_px, e.worst_px, a.rms_after_px.value, a.tall.size(), a.agreeing_share,
      a.after_from_before.first.k[0], a.after_from_before.second.k[0], true_k(pair.before.truth),
      true_k(pair.after.truth));
}

void write_pictures(const std::string& folder, int number, const RenderedChange& pair,
                    const Comparison& c) {
  const std::string start = fmt::format("{}/{}-", folder, number);
  write_file(start + "before.png", png_bytes(pair.before.bgr));
  write_file(start + "after.png", png_bytes(aligned_after(pair.after.bgr, c.alignment,
                                                          pair.before.bgr.size(), &c.harmony)));
  write_file(start + "change.png", png_bytes(c.classes * 30));
}

void one_pair(const Arguments& args, int number, const Detector* detector, Score& score) {
  const RenderedChange pair = rendered_change(number, args.photo_px);
  fmt::print("{} {} ({} parts off, {:.1f} px/mm): ", number, name(pair.wash), pair.parts_gone,
             pair.before.truth.px_per_mm);
  ++score.pairs;
  const Photo before = photo_of(pair.before, "before"), after = photo_of(pair.after, "after");
  const auto survey = [&](const synthetic::Shot& shot, const Photo& photo, int seed) {
    return detector ? survey_of(photo, rectification_from(shot.truth, 0.001, 0.2), *detector, {})
                    : true_survey(shot, seed);
  };
  try {
    ComparisonOptions options;
    options.verdict.after = Dryness::dry;
    if (args.detector == "align") {
      add_alignment(pair,
                    alignment_of({before.bgr, slipped_outline(pair.before.truth, number)},
                                 rectification_from(pair.before.truth),
                                 {after.bgr, slipped_outline(pair.after.truth, number + 1)},
                                 options.alignment),
                    score);
      fmt::print("\n");
      std::fflush(stdout);
      return;
    }
    const Survey sb = survey(pair.before, before, number),
                 sa = survey(pair.after, after, number + 1);
    const Comparison c = comparison_of({before, sb}, {after, sa}, options);
    add_alignment(pair, c.alignment, score);
    if (!args.folder.empty()) write_pictures(args.folder, number, pair, c);
    const ChangeRow& t = c.table.total;
    const TrueChange truth = true_change(pair, c.classes);
    const double off = std::abs(t.removed.value - truth.removed);
    const bool is_right = off <= std::max(1.0, 0.05 * truth.removed);
    const bool is_covered = t.removed.contains(truth.removed);
    const ChangeVerdict verdict = true_verdict(truth, options.verdict);
    score.area_right += is_right;
    score.covered += is_covered;
    score.verdict_right += t.verdict == verdict;
    double false_percent = 0;
    if (pair.wash == Wash::unchanged || pair.wash == Wash::nothing_there) {
      ++score.unchanged;
      false_percent =
          100 * (t.removed.value + t.fresh.value - truth.removed - truth.fresh) / truth.board_mm2;
      score.unchanged_right += false_percent <= 0.1;
      score.worst_false_percent = std::max(score.worst_false_percent, false_percent);
    }
    const PartScore parts = part_score(pair, c);
    score.parts.told += parts.told;
    score.parts.wrong += parts.wrong;
    score.parts.gone += parts.gone;
    score.parts.found += parts.found;
    fmt::print(
        " | before {:.1f} ({:.1f}) after {:.1f} ({:.1f}) removed {:.1f} [{:.1f} {:.1f}] "
        "({:.1f}){}{} new {:.1f} ({:.1f}) uncertain {:.1f} {:.1f} parts {} ({} wrong, {} of {} "
        "found) aside {:.1f} % false {:.3f} % | "
        "{}{} rest {:.1f}\n",
        t.before.value, truth.residue_before, t.after.value, truth.residue_after, t.removed.value,
        t.removed.low, t.removed.high, truth.removed, is_right ? "" : " AREA",
        is_covered ? "" : " UNCOVERED", t.fresh.value, truth.fresh, t.uncertain_gone,
        t.uncertain_new, parts.told, parts.wrong, parts.found, parts.gone, 100 - t.compared_percent,
        false_percent, name(t.verdict),
        t.verdict == verdict ? "" : fmt::format(" NOT {}", name(verdict)), c.harmony.rest_lab);
  } catch (const Error& e) {
    ++score.refused;
    fmt::print("REFUSED {}\n", e.what());
  }
  std::fflush(stdout);
}

}  // namespace

int main(int argc, char** argv) {
  const Arguments args = arguments_of(argc, argv);
  std::unique_ptr<Detector> detector;
  if (args.detector == "first")
    detector = first_method();
  else if (args.detector != "true" && args.detector != "align")
    detector = trained_detector(args.detector);
  Score s;
  for (int i = 0; i < args.pairs; ++i) one_pair(args, args.first + i, detector.get(), s);
  const auto percent = [&](int n, int of) { return 100.0 * n / std::max(1, of); };
  fmt::print(
      "alignment: {} of {} refused; rms median {:.2f}, 95 % {:.2f}, most {:.2f} px; worst "
      "place median {:.2f}, 95 % {:.2f}, most {:.2f} px\n",
      s.refused, s.pairs, quantile(s.rms, 0.5), quantile(s.rms, 0.95), quantile(s.rms, 1),
      quantile(s.worst, 0.5), quantile(s.worst, 0.95), quantile(s.worst, 1));
  if (args.detector == "align") return 0;
  fmt::print(
      "removed area within 5 % or 1 mm2: {:.1f} %; interval holds the truth: {:.1f} %; "
      "verdict right: {:.1f} %; unchanged boards with at most 0.1 % false change: {} of {}, "
      "most {:.3f} %\n",
      percent(s.area_right, s.pairs), percent(s.covered, s.pairs),
      percent(s.verdict_right, s.pairs), s.unchanged_right, s.unchanged, s.worst_false_percent);
  fmt::print(
      "parts, without a layout: {} of {} taken off were seen, {} of {} regions told are "
      "wrong\n",
      s.parts.found, s.parts.gone, s.parts.wrong, s.parts.told);
  return 0;
}
