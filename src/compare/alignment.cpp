#include "compare/alignment.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <span>

#include "base/error.h"
#include "compare/height_shift.h"
#include "compare/refine.h"

namespace verdigrid {

namespace {

constexpr int k_blocks = 6, k_least_in_block = 4;
constexpr int k_least_spacing_px = 4;
constexpr int k_tall_search_px = 12;
constexpr double k_chance_score = 0.4;
constexpr double k_sure_score = 0.7;  // of a patch that is called tall
// Cuts of the fits in turn, in plane_px: first wide, at last without low parts.
constexpr PlaneCut k_wide_cuts[]{{3, 6}, {1.5, 4}};
constexpr PlaneCut k_fine_cuts[]{{1, 3}, {0.6, 1.5}, {0.5, 1}};
constexpr double k_large_px = 1.5;  // working px, of large patches that agree
constexpr double k_large_patches = 1000;
constexpr double k_large_kept = 0.55;  // of those that agreed before
constexpr int k_outline_places = 120, k_outline_rounds = 12;
constexpr double k_outline_cut_px = 30;    // working px: no farther from one outline to the other
constexpr double k_outline_off_px = 0.35;  // working px: good outlines agree within that
constexpr double k_outline_gain = 0.8;     // of the distance that must be left at most
constexpr double k_outline_patches = 0.5;  // of the patches that must fit at least
constexpr double k_wall_reach = 1.5;    // of a tall patch's shift: what its walls cover or uncover
constexpr double k_shift_slack = 0.35;  // of a tall patch's shift, across the way it should go
// Below this share of agreeing patches only pairs by hand stand behind an alignment.
constexpr double k_hand_share = 0.05;

struct Looking {
  WorkingPhoto first, second;  // at about one scale
  PointMap working(const PlaneMap& map) const {
    return [m = map, a = first, b = second](cv::Point2d p) {
      return working_px(b, m(photo_px(a, p)));
    };
  }
};

Looking looking_at(const BoardPhoto& before, const BoardPhoto& after, double scale, int long_side) {
  Looking l{working_photo(before, long_side), working_photo(after, long_side)};
  // `scale`: after px per before px. The finer picture is made as coarse as the other.
  const double ratio = scale * l.second.scale / l.first.scale;
  if (ratio > 1.02) l.second = working_photo_at(after, l.second, l.second.scale / ratio);
  if (ratio < 0.98) l.first = working_photo_at(before, l.first, l.first.scale * ratio);
  return l;
}

// So that about so many patches lie on the board.
int spacing_for(const Looking& l, double patches) {
  const double room =
      l.first.board_px.empty() ? static_cast<double>(l.first.grey.total()) : area(l.first.board_px);
  return static_cast<int>(std::sqrt(room / patches));
}

std::vector<PatchMatch> look(const Looking& l, const PlaneMap& map, int search,
                             const AlignmentOptions& options, const Work& work) {
  PatchOptions patches;
  patches.side_px = options.patch_px;
  patches.search_px = search;
  patches.spacing_px = std::max(k_least_spacing_px, spacing_for(l, options.patches));
  return patch_matches(l.first.grey, l.second.grey, l.working(map), l.first.board_px, patches,
                       work);
}

// Small patches reach middling scores by chance: those hardly count.
double weight_of(double score) {
  const double sure = std::max(0.0, (score - k_chance_score) / (1 - k_chance_score));
  return sure * sure;
}

std::vector<PlanePair> pairs_of(const Looking& l, const std::vector<PatchMatch>& matches,
                                double least_score, const HeightShift& shift) {
  std::vector<PlanePair> pairs;
  for (const PatchMatch& m : matches) {
    if (m.score < least_score) continue;
    const cv::Point2d p = photo_px(l.first, m.first_px);
    pairs.push_back({p, photo_px(l.second, m.second_px), weight_of(m.score), shift(p)});
  }
  return pairs;
}

PlaneMap fitted(const std::vector<PlanePair>& pairs, PlaneMap map, std::span<const PlaneCut> cuts,
                double px) {
  for (const PlaneCut& cut : cuts)
    map = fitted_plane_map(pairs, map, {cut.above_px * px, cut.below_px * px});
  return map;
}

PlaneMap start_of(const Registration& r, cv::Size before, cv::Size after) {
  PlaneMap map;
  map.first = plain_lens(before);
  map.second = plain_lens(after);
  map.second_from_first = r.warp.second_from_first;
  if (!r.warp.is_bent()) return map;
  // The bend holds the lenses: fit them to it over the board.
  std::vector<PlanePair> grid;
  for (const PointPair& pair : r.pairs)
    grid.push_back({pair.first_px, r.warp(pair.first_px), 1, {}});
  const double reach = 0.05 * std::max(after.width, after.height);
  return fitted_plane_map(grid, fitted_plane_map(grid, map, {reach, reach}),
                          {0.3 * reach, 0.3 * reach});
}

// Along the way in which height shifts things, and the right way round.
bool is_shift_of_height(cv::Point2d offset, cv::Point2d shift, double plane_after_px) {
  const double length = cv::norm(shift);
  if (length == 0) return true;
  const cv::Point2d up = shift * (1 / length);
  const double along = offset.dot(up);
  return along > 0 && cv::norm(offset - along * up) <= plane_after_px + k_shift_slack * along;
}

void fill_quality(const Looking& l, const std::vector<PatchMatch>& matches,
                  const AlignmentOptions& options, const Rectification& r, Alignment& out) {
  std::array<cv::Point2d, k_blocks * k_blocks> sum{};
  std::array<int, k_blocks * k_blocks> count{};
  const cv::Size size = l.first.grey.size();
  const HeightShift shift(r, out.after_from_before, out.after_size_px);
  double squares = 0, squares_board = 0;
  size_t n = 0;
  for (const PatchMatch& m : matches) {
    if (m.score < options.least_score) continue;
    const double off = cv::norm(m.offset_px);
    const cv::Point2d p = photo_px(l.first, m.first_px);
    const cv::Point2d offset_after = m.offset_px * (out.scale / l.first.scale);
    if (off > options.plane_px) {
      const cv::Point2d shifted = photo_px(l.second, m.second_px) - out.after_from_before(p);
      if (m.score >= k_sure_score && off > 1.5 * options.plane_px &&
          is_shift_of_height(shifted, shift(p), options.plane_px * out.scale / l.first.scale))
        out.tall.push_back({p, shifted});
      continue;
    }
    ++n;
    squares += offset_after.dot(offset_after);
    const cv::Point2d board =
        board_point(r, photo_px(l.first, m.first_px + m.offset_px)) - board_point(r, p);
    squares_board += board.dot(board);
    const auto block = [](double x, int length) {
      return std::min(k_blocks - 1, static_cast<int>(x / length * k_blocks));
    };
    const auto b = static_cast<size_t>(block(m.first_px.y, size.height) * k_blocks +
                                       block(m.first_px.x, size.width));
    sum[b] += board;
    ++count[b];
  }
  const auto with_interval = [n](double sum_of_squares) {
    const double rms = std::sqrt(sum_of_squares / static_cast<double>(std::max<size_t>(n, 1)));
    const double half = 1.96 / std::sqrt(2.0 * static_cast<double>(std::max<size_t>(n, 1)));
    return Interval{rms, rms * std::max(0.0, 1 - half), rms * (1 + half)};
  };
  out.rms_after_px = with_interval(squares);
  out.rms_board = with_interval(squares_board);
  for (size_t b = 0; b < sum.size(); ++b)
    if (count[b] >= k_least_in_block)
      out.worst_board = std::max(out.worst_board, cv::norm(sum[b]) / count[b]);
  out.agreeing_share =
      matches.empty() ? 0 : static_cast<double>(n) / static_cast<double>(matches.size());
}

// Large patches of the registration's own kind that fit within a px.
size_t agreeing_large(const Looking& l, const PlaneMap& map, const Work& work) {
  PatchOptions large;
  large.spacing_px = std::max(large.spacing_px, spacing_for(l, k_large_patches));
  const auto matches =
      patch_matches(l.first.grey, l.second.grey, l.working(map), l.first.board_px, large, work);
  return agreement_of(matches, k_large_px, k_agree_score).agreeing;
}

struct Fine {
  PlaneMap map;
  long on_plane = 0;  // patches of the last look that lie on it
};

Fine fine_from(const Looking& l, const Rectification& r, PlaneMap map, double to_after,
               cv::Size after_size, const AlignmentOptions& options, const Work& work) {
  const HeightShift shift(r, map, after_size);
  const double px = options.plane_px * to_after;
  map = fitted(pairs_of(l, look(l, map, 8, options, work), options.least_score, shift), map,
               k_wide_cuts, px);
  const auto pairs = pairs_of(l, look(l, map, 5, options, work), options.least_score, shift);
  map = fitted(pairs, map, k_fine_cuts, px);
  return {map, std::count_if(pairs.begin(), pairs.end(), [&](const PlanePair& pair) {
            return cv::norm(map(pair.first_px) - pair.second_px) <= px;
          })};
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
    const cv::Point2d a = ring[i], d = ring[(i + 1) % ring.size()] - a;
    const double t = d.dot(d) > 0 ? std::clamp((p - a).dot(d) / d.dot(d), 0.0, 1.0) : 0;
    if (cv::norm(a + t * d - p) < cv::norm(best - p)) best = a + t * d;
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
      fit.pairs.push_back({p, nearest_on(after, q), 1, {}});
      off.push_back(cv::norm(fit.pairs.back().second_px - q));
    }
  }
  std::nth_element(off.begin(), off.begin() + static_cast<long>(off.size() / 2), off.end());
  fit.off_px = off[off.size() / 2];
  return fit;
}

// The outline laid on the outline: a place may slide along an edge, not off it.
PlaneMap map_by_outline(const Ring& before, const Ring& after, PlaneMap map, double to_after) {
  map.first.k = map.second.k = {};
  for (int round = 0; round < k_outline_rounds; ++round) {
    const double cut = (round < k_outline_rounds / 2 ? k_outline_cut_px : 3) * to_after;
    map = fitted_plane_map(outline_fit(before, after, map).pairs, map, {cut, cut});
  }
  return map;
}

PlaneMap fine_map(const Looking& l, const BoardPhoto& before, const BoardPhoto& after,
                  const Rectification& r, const PlaneMap& start, const AlignmentOptions& options,
                  const Work& work) {
  const double to_after =
      std::sqrt(local_area_scale(
          start.second_from_first,
          photo_px(l.first, cv::Point2d(l.first.grey.cols / 2.0, l.first.grey.rows / 2.0)))) /
      l.first.scale;
  const Fine first = fine_from(l, r, start, to_after, after.bgr.size(), options, work);
  // Photos that have little in common but their large features: these then know better.
  if (static_cast<double>(agreeing_large(l, first.map, work)) <
      k_large_kept * static_cast<double>(agreeing_large(l, start, work)))
    return start;
  if (before.board_px.empty() || after.board_px.empty()) return first.map;
  const Ring &a = before.board_px.outer, &b = after.board_px.outer;
  const double off = outline_fit(a, b, first.map).off_px;
  if (off <= k_outline_off_px * to_after) return first.map;
  const Fine other = fine_from(l, r, map_by_outline(a, b, start, to_after), to_after,
                               after.bgr.size(), options, work);
  const bool is_nearer = outline_fit(a, b, other.map).off_px < k_outline_gain * off;
  const bool is_seen = static_cast<double>(other.on_plane) >=
                       k_outline_patches * static_cast<double>(first.on_plane);
  return is_nearer && is_seen ? other.map : first.map;
}

[[noreturn]] void throw_not_placed(const Registration& r) {
  std::string why;
  for (const std::string& remark : r.remarks) why += " " + remark;
  throw Error(ErrorKind::no_result,
              fmt::format("The two photos were not aligned ({}).{} If they do show the same side "
                          "of one board, set three or four pairs of the same place by hand.",
                          name(r.match), why));
}

}  // namespace

void AlignmentOptions::check() const {
  const auto refuse = [](const char* what) {
    throw Error(ErrorKind::wrong_use, fmt::format("Alignment: {}.", what));
  };
  registration.check();
  if (fine_long_side_px < 400 || fine_long_side_px > 6000)
    refuse("fine_long_side_px must be 400 to 6000");
  if (patch_px < 9 || patch_px > 99 || patch_px % 2 == 0) refuse("patch_px must be odd, 9 to 99");
  if (patches < 200 || patches > 100'000) refuse("patches must be 200 to 100000");
  if (!(plane_px > 0 && plane_px <= 10)) refuse("plane_px must be above 0 and at most 10");
  if (!(least_score > 0 && least_score < 1)) refuse("least_score must lie between 0 and 1");
}

Alignment alignment_of(const BoardPhoto& before, const Rectification& before_rectification,
                       const BoardPhoto& after, const AlignmentOptions& options, const Work& work) {
  options.check();
  if (before.bgr.size() != before_rectification.photo_size_px)
    throw Error(ErrorKind::bad_input,
                "The rectification was made for a photo of another size than the photo before.");
  const bool by_hand = !options.by_hand.empty();
  const Registration r = by_hand
                             ? registered_by_hand(before, after, options.by_hand,
                                                  options.registration, work.part(0, 0.6))
                             : registered(before, after, options.registration, work.part(0, 0.6));
  if (!r.is_placed()) throw_not_placed(r);
  work.report(0.6);
  Alignment out;
  out.before_size_px = before.bgr.size();
  out.after_size_px = after.bgr.size();
  out.is_by_hand = by_hand;
  out.match = r.match;
  out.turn_deg = r.turn_deg;
  out.scale = r.scale;
  out.remarks = r.remarks;
  const Looking l = looking_at(before, after, r.scale, options.fine_long_side_px);
  PlaneMap map = start_of(r, out.before_size_px, out.after_size_px);
  if (!by_hand || r.match == Match::same) {
    map = fine_map(l, before, after, before_rectification, map, options, work);
    work.report(0.8);
  }
  out.after_from_before = map;
  const auto matches = look(l, map, k_tall_search_px, options, work);
  out.patch_px = options.patch_px / l.first.scale;
  fill_quality(l, matches, options, before_rectification, out);
  if (by_hand && out.agreeing_share < k_hand_share)
    out.remarks.emplace_back(
        "Hardly anything of the two photos agrees: only the pairs set by hand stand behind this "
        "alignment.");
  work.report(1);
  return out;
}

cv::Mat tall_places(const Alignment& alignment, cv::Size size, double scale) {
  cv::Mat on = cv::Mat::zeros(size, CV_8UC1);
  const double before_per_after = 1 / std::max(alignment.scale, 1e-6);
  for (const TallPatch& t : alignment.tall) {
    const double reach =
        alignment.patch_px / 2 + k_wall_reach * cv::norm(t.offset_px) * before_per_after;
    cv::circle(on, {cvRound(t.before_px.x * scale), cvRound(t.before_px.y * scale)},
               cvCeil(scale * reach), cv::Scalar(255), cv::FILLED);
  }
  return on;
}

}  // namespace verdigrid
