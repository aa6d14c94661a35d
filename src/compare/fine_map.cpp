#include "compare/fine_map.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

#include "base/geometry.h"
#include "base/parallel.h"
#include "base/segment.h"
#include "compare/fine_patches.h"
#include "compare/height_shift.h"
#include "compare/robust.h"
#include "measure/photo_outline.h"

namespace verdigrid {

namespace {

constexpr int k_wide_px = 8, k_narrow_px = 5;  // how far off patches are looked for
constexpr int k_blocks = 8;                    // each way over the photo before
constexpr double k_most_lift = 4;              // of the weight of patches in a block that has few
// Where no patch tells, a map that bends as a lens may swings away: there the first look counts.
// Chosen on real and rendered pairs among 0.005 to 0.08, which differ little.
constexpr double k_hold_share = 0.04;
constexpr double k_alike_px = 0.25;  // in plane_px
// Cuts of the fits in turn, in plane_px: first wide, at last without low parts.
constexpr PlaneCut k_wide_cuts[]{{3, 6}, {1.5, 4}};
constexpr PlaneCut k_fine_cuts[]{{1, 3}, {0.6, 1.5}, {0.5, 1}};
constexpr double k_large_px = 1.5;  // working px, of large patches that agree
constexpr double k_large_patches = 1000;
constexpr double k_large_kept = 0.55;  // of those that agreed before
constexpr int k_outline_places = 240, k_outline_rounds = 12;
// Of a place of the outline against a patch that fits exactly: outlines as found are half a px off
// along a whole side. Chosen on rendered pairs.
constexpr double k_outline_weight = 0.3;
constexpr double k_outline_cut_px = 30;    // working px: no farther from one outline to the other
constexpr double k_outline_off_px = 0.35;  // working px: good outlines agree within that
constexpr double k_outline_support = 0.1;  // of the outline's places against a block's root
constexpr double k_part_height = 0.025;    // of the root of the board's area: 3 mm on 150 x 100
constexpr int k_slide_rounds = 3;          // of a fit that the outline takes part in
// In plane_px: what supports a map lies within that.
constexpr double k_support_px = 0.7, k_outline_support_px = 1.2;

size_t block_of(const Looking& l, const PlanePair& pair) {
  const cv::Point2d p = working_px(l.first, pair.first_px);
  const auto along = [](double x, int length) {
    return std::clamp(static_cast<int>(x / length * k_blocks), 0, k_blocks - 1);
  };
  return static_cast<size_t>(along(p.y, l.first.grey.rows) * k_blocks +
                             along(p.x, l.first.grey.cols));
}

// Patches crowd where much is printed or soldered, and there they err together (low parts, joints).
// So that these do not tilt and bow the map over all others, each block of the photo before counts
// alike, as far as few patches can speak for it.
std::vector<PlanePair> evened_out(const Looking& l, std::vector<PlanePair> pairs) {
  std::array<double, k_blocks * k_blocks> sum{};
  double total = 0;
  for (const PlanePair& pair : pairs) {
    sum[block_of(l, pair)] += pair.weight;
    total += pair.weight;
  }
  const auto filled = std::count_if(sum.begin(), sum.end(), [](double s) { return s > 0; });
  for (PlanePair& pair : pairs)
    if (const double here = sum[block_of(l, pair)]; here > 0)
      pair.weight *= std::min(k_most_lift, total / static_cast<double>(filled) / here);
  return pairs;
}

// Large patches of the registration's own kind that fit within a px.
size_t agreeing_large(const Looking& l, const PlaneMap& map, const Work& work) {
  PatchOptions large;
  large.spacing_px = std::max(large.spacing_px, spacing_for(l, k_large_patches));
  const auto matches =
      patch_matches(l.first.grey, l.second.grey, l.working(map), l.first.board_px, large, work);
  return agreement_of(matches, k_large_px, k_agree_score).agreeing;
}

// Where the tops of parts outnumber what shows of the board, they can pass for its plane; the
// outline lies on the board itself.
struct OutlineFit {
  std::vector<PlanePair> pairs;  // places of the outline before, the nearest of the one after
  double off_px = 0;             // median distance, px of the photo after
};

cv::Point2d nearest_on(const Ring& ring, cv::Point2d p) {
  cv::Point2d best = ring.front();
  for (size_t i = 0; i < ring.size(); ++i) {
    const cv::Point2d q = nearest_on_segment(p, ring[i], ring[(i + 1) % ring.size()]);
    if (cv::norm(q - p) < cv::norm(best - p)) best = q;
  }
  return best;
}

OutlineFit outline_fit(const Ring& before, const Ring& after, const PlaneMap& map) {
  OutlineFit fit;
  double length = 0;
  for (size_t i = 0; i < before.size(); ++i)
    length += cv::norm(before[(i + 1) % before.size()] - before[i]);
  std::vector<double> off;
  for (size_t i = 0; i < before.size(); ++i) {
    const cv::Point2d a = before[i], d = before[(i + 1) % before.size()] - a;
    const int n = std::max(1, cvRound(cv::norm(d) / length * k_outline_places));
    for (int k = 0; k < n; ++k) {
      const cv::Point2d p = a + d * (static_cast<double>(k) / n), q = map(p);
      fit.pairs.push_back({p, nearest_on(after, q), k_outline_weight, {}});
      off.push_back(cv::norm(fit.pairs.back().second_px - q));
    }
  }
  std::nth_element(off.begin(), off.begin() + static_cast<long>(off.size() / 2), off.end());
  fit.off_px = off[off.size() / 2];
  return fit;
}

// What is aligned.
struct ToAlign {
  const BoardPhoto &before, &after;
  const Rectification& rectification;  // of the photo before
  FitPictures pictures;
  double px = 1;  // options.plane_px in px of the photo after
  PlaneMixture mixture;
  bool has_outlines() const { return !before.board_px.empty() && !after.board_px.empty(); }
};

// A grid of places over the board, where `map` puts them.
PlaneHold hold_of(const Looking& l, const ToAlign& s, const PlaneMap& map) {
  PlaneHold hold{{}, k_hold_share};
  for (int y = 0; y < k_blocks; ++y)
    for (int x = 0; x < k_blocks; ++x) {
      const cv::Point2d p = photo_px(l.first, {(x + 0.5) * l.first.grey.cols / k_blocks,
                                               (y + 0.5) * l.first.grey.rows / k_blocks});
      if (s.before.board_px.empty() || contains(s.before.board_px, p))
        hold.places.push_back({p, map(p), 1, {}});
    }
  return hold;
}

enum class Outlines { left_out, taken_in };

// To the patches and, where asked for and known, to the outlines: a place may slide along an edge,
// not off it.
PlaneMap fitted(const std::vector<PlanePair>& patches, const ToAlign& s, Outlines outlines,
                PlaneMap map, std::span<const PlaneCut> cuts, const PlaneHold& hold) {
  const bool with_outlines = outlines == Outlines::taken_in && s.has_outlines();
  for (const PlaneCut& cut : cuts)
    for (int round = 0; round < (with_outlines ? k_slide_rounds : 1); ++round) {
      std::vector<PlanePair> pairs = patches;
      if (with_outlines) {
        const OutlineFit outline =
            outline_fit(s.before.board_px.outer, s.after.board_px.outer, map);
        pairs.insert(pairs.end(), outline.pairs.begin(), outline.pairs.end());
      }
      map = fitted_plane_map(pairs, map, {cut.above_px * s.px, cut.below_px * s.px}, hold);
    }
  return map;
}

// A map, and the patches looked for around it, evened out.
struct Fine {
  PlaneMap map;
  std::vector<PlanePair> pairs;
};

double outline_support(const std::vector<PlanePair>& pairs, const PlaneMap& map, double cut_px) {
  double sum = 0;
  for (const PlanePair& pair : pairs)
    sum += pair.weight * biweight(cv::norm(map(pair.first_px) - pair.second_px), cut_px);
  return sum;
}

double patch_support(const Looking& l, const std::vector<PlanePair>& pairs, const PlaneMap& map,
                     double cut_px) {
  std::array<double, k_blocks * k_blocks> sum{};
  for (const PlanePair& pair : pairs)
    if (const double w = biweight(cv::norm(map(pair.first_px) - pair.second_px), cut_px); w > 0)
      sum[block_of(l, pair)] += pair.weight * w;
  double support = 0;
  for (double s : sum) support += std::sqrt(s);
  return support;
}

// The map that most of the board and of the outline stand behind. What was looked for around one
// map favours it a little: all are held against the patches of all. That much of a block agrees
// counts for less than that all blocks do.
PlaneMap most_supported(const Looking& l, const ToAlign& s, const std::vector<Fine>& all) {
  const auto support = [&](const PlaneMap& map) {
    double sum = 0;
    for (const Fine& around : all) sum += patch_support(l, around.pairs, map, k_support_px * s.px);
    sum /= static_cast<double>(all.size());
    if (!s.has_outlines()) return sum;
    const auto places = outline_fit(s.before.board_px.outer, s.after.board_px.outer, map).pairs;
    return sum + k_outline_support * outline_support(places, map, k_outline_support_px * s.px);
  };
  std::vector<double> of(all.size());
  in_parallel(all.size(), [&](size_t i) { of[i] = support(all[i].map); });
  return all[static_cast<size_t>(std::max_element(of.begin(), of.end()) - of.begin())].map;
}

// Where two maps part by no more than that, one of them will do.
bool are_alike(const Looking& l, const PlaneMap& a, const PlaneMap& b, double most_px) {
  const cv::Size size = l.first.grey.size();
  double apart = 0;
  for (const cv::Point2d share : {cv::Point2d(0, 0), {1, 0}, {0, 1}, {1, 1}, {0.5, 0.5}}) {
    const cv::Point2d p = photo_px(l.first, {share.x * size.width, share.y * size.height});
    apart = std::max(apart, cv::norm(a(p) - b(p)));
  }
  return apart <= most_px;
}

std::vector<PlanePair> with_shift(std::vector<PlanePair> pairs, const HeightShift& shift) {
  for (PlanePair& pair : pairs) pair.shift_px = shift(pair.first_px);
  return pairs;
}

// From a wide look round `start` a narrow one. Few patches that fit by chance can lead the wide fit
// astray where they count for a whole block, many tops of parts where all count alike: both ways
// are tried.
std::vector<Fine> fine_from(const Looking& l, const ToAlign& s, const PlaneMap& start,
                            const std::vector<PlanePair>& wide, Outlines outlines,
                            const HeightShift& shift, const AlignmentOptions& options,
                            const Work& work) {
  const PlaneHold hold = outlines == Outlines::left_out ? hold_of(l, s, start) : PlaneHold{};
  std::vector<PlaneMap> maps{fitted(evened_out(l, wide), s, outlines, start, k_wide_cuts, hold),
                             fitted(wide, s, outlines, start, k_wide_cuts, hold)};
  if (are_alike(l, maps[0], maps[1], k_alike_px * s.px)) maps.pop_back();
  std::vector<Fine> found;
  for (const PlaneMap& map : maps) {
    const auto narrow = fit_pairs(l, s.pictures, map, k_narrow_px, options, shift, work);
    const auto even = evened_out(l, narrow);
    for (const auto& pairs : {even, narrow})
      found.push_back(
          {fitted_plane_and_parts(pairs, fitted(pairs, s, outlines, map, k_fine_cuts, hold),
                                  s.mixture, hold),
           even});
  }
  return found;
}

// From a first fit of the wide look round `start`, whose shifts are `assumed`. Held by nothing: a
// start on the tops of parts would tell other cameras.
HeightShift first_shift(const Looking& l, const ToAlign& s, const PlaneMap& start,
                        const std::vector<PlanePair>& wide, const HeightShift& assumed,
                        const AlignmentOptions& options, const Work& work) {
  const PlaneMap map =
      fitted(evened_out(l, wide), s, Outlines::left_out, start, k_wide_cuts, PlaneHold{});
  return likely_height_shift(s.rectification, map, s.after.bgr.size(),
                             fit_pairs(l, s.pictures, map, k_wide_px, options, assumed, work),
                             s.mixture);
}

// Once more, with the shift as the map shows it now.
PlaneMap settled(const Looking& l, const ToAlign& s, const PlaneMap& map, const HeightShift& shift,
                 const AlignmentOptions& options, const Work& work) {
  const auto pairs = fit_pairs(l, s.pictures, map, k_narrow_px, options, shift, work);
  const HeightShift now =
      likely_height_shift(s.rectification, map, s.after.bgr.size(), pairs, s.mixture);
  return fitted_plane_and_parts(evened_out(l, with_shift(pairs, now)), map, s.mixture,
                                hold_of(l, s, map));
}

// The outline laid on the outline, then its sides bent alike.
PlaneMap map_by_outline(const ToAlign& s, PlaneMap map) {
  map.first.k = map.second.k = {};
  for (int round = 0; round < k_outline_rounds; ++round) {
    const double cut = (round < k_outline_rounds / 2 ? k_outline_cut_px : 3) * s.px;
    map = fitted_plane_map(outline_fit(s.before.board_px.outer, s.after.board_px.outer, map).pairs,
                           map, {cut, cut});
  }
  return map;
}

}  // namespace

PlaneMap fine_map(const Looking& l, const BoardPhoto& before, const BoardPhoto& after,
                  const Rectification& rectification, const PlaneMap& start,
                  const AlignmentOptions& options, const Work& work) {
  const cv::Point2d middle =
      photo_px(l.first, cv::Point2d(l.first.grey.cols / 2.0, l.first.grey.rows / 2.0));
  const double to_after =
      std::sqrt(local_area_scale(start.second_from_first, middle)) / l.first.scale;
  const ToAlign s{before,
                  after,
                  rectification,
                  fit_pictures(l),
                  options.plane_px * to_after,
                  {to_after, k_part_height * std::sqrt(area(measured_outline(rectification)))}};
  const HeightShift assumed(rectification, start, after.bgr.size());
  auto wide = fit_pairs(l, s.pictures, start, k_wide_px, options, assumed, work);
  const HeightShift shift = first_shift(l, s, start, wide, assumed, options, work);
  wide = with_shift(std::move(wide), shift);
  std::vector<Fine> all = fine_from(l, s, start, wide, Outlines::left_out, shift, options, work);
  const PlaneMap first = most_supported(l, s, all);
  // Photos that have little in common but their large features: these may know better.
  const bool has_lost = static_cast<double>(agreeing_large(l, first, work)) <
                        k_large_kept * static_cast<double>(agreeing_large(l, start, work));
  const bool is_off = s.has_outlines() &&
                      outline_fit(s.before.board_px.outer, s.after.board_px.outer, first).off_px >
                          k_outline_off_px * s.px;
  // Where the tops of parts outnumber what shows of the board, they can pass for its plane.
  if (s.has_outlines() && (has_lost || is_off)) {
    const PlaneMap by_outline = map_by_outline(s, start);
    const auto round_it = fit_pairs(l, s.pictures, by_outline, k_wide_px, options, shift, work);
    for (const Fine& from : {Fine{start, wide}, Fine{by_outline, round_it}}) {
      const auto more =
          fine_from(l, s, from.map, from.pairs, Outlines::taken_in, shift, options, work);
      all.insert(all.end(), more.begin(), more.end());
    }
  }
  if (has_lost) all.push_back({start, evened_out(l, wide)});
  const PlaneMap best = has_lost || is_off ? most_supported(l, s, all) : first;
  return settled(l, s, best, shift, options, work);
}

}  // namespace verdigrid
