#include "rectify/outline.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "rectify/main_sides.h"
#include "rectify/outline_parts.h"

namespace verdigrid {

namespace {

constexpr double k_least_busy = 0.05;

struct Candidate {
  Ring ring;  // working picture px
  OutlineEvidence evidence;
  double rank = 0;  // confidence weighed by the kind of guess
};

OutlineAnswer refused(OutlineFault fault, const std::string& reason) {
  OutlineAnswer answer;
  answer.fault = fault;
  answer.reason = reason;
  return answer;
}

// Equal guesses are followed once.
bool is_known(const std::vector<Ring>& rings, const Ring& ring) {
  const double size = std::sqrt(std::abs(signed_area(ring)));
  return std::any_of(rings.begin(), rings.end(), [&](const Ring& other) {
    const cv::Rect2d a = bounding_box(other), b = bounding_box(ring);
    const double box_off = std::max({std::abs(a.x - b.x), std::abs(a.y - b.y),
                                     std::abs(a.br().x - b.br().x), std::abs(a.br().y - b.br().y)});
    return box_off < 0.004 * size &&
           std::abs(std::abs(signed_area(other)) - size * size) < 0.005 * size * size;
  });
}

Outline finished(const Photo& photo, const Candidate& best, double scale) {
  Outline outline;
  outline.px.outer = clockwise(scaled_ring(best.ring, scale, 1));
  outline.confidence = std::min(1.0, best.rank);
  outline.edge_sd_px = std::max(1.0, 1.2 * scale);
  for (cv::Point2d& p : outline.px.outer) {
    p.x = std::clamp(p.x, -0.5, photo.bgr.cols - 0.5);
    p.y = std::clamp(p.y, -0.5, photo.bgr.rows - 0.5);
  }
  return outline;
}

// Shared area against the smaller and against both together.
struct Overlap {
  double of_smaller = 0, of_union = 0;
};

Overlap overlap_of(const Ring& a, const Ring& b, cv::Size size) {
  constexpr double k_reduced = 0.25;
  const auto drawn = [&](const Ring& ring) {
    cv::Mat mask(size / 4 + cv::Size(1, 1), CV_8UC1, cv::Scalar(0));
    std::vector<cv::Point> points;
    for (const cv::Point2d p : ring)
      points.emplace_back(static_cast<int>(p.x * k_reduced), static_cast<int>(p.y * k_reduced));
    cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{points}, 255);
    return mask;
  };
  const cv::Mat x = drawn(a), y = drawn(b);
  const double shared = cv::countNonZero(x & y);
  const double nx = cv::countNonZero(x), ny = cv::countNonZero(y);
  return {shared / std::max(1.0, std::min(nx, ny)), shared / std::max(1.0, nx + ny - shared)};
}

bool is_known_thing(const Ring& ring, const LabPicture& picture, const OutlineOptions& options) {
  constexpr double k_mostly = 0.6;
  return std::any_of(options.not_boards_px.begin(), options.not_boards_px.end(),
                     [&](const Polygon& thing) {
                       const Ring other = scaled_ring(thing.outer, 1, picture.scale);
                       return overlap_of(ring, other, picture.lab.size()).of_union > k_mostly;
                     });
}

std::vector<Candidate> candidates_of(const Guesses& guesses, const LabPicture& picture,
                                     const OutlineOptions& options, const Work& work) {
  std::vector<Ring> known;
  std::vector<Candidate> candidates;
  for (const BoardGuess& guess : guesses.boards) {
    if (is_known(known, guess.outline)) continue;
    known.push_back(guess.outline);
    Candidate c;
    c.ring = scaled_ring(guess.outline, guesses.picture.scale, picture.scale);
    c.rank = guess.prior;
    candidates.push_back(std::move(c));
  }
  cv::parallel_for_({0, static_cast<int>(candidates.size())}, [&](const cv::Range& range) {
    for (int i = range.start; i < range.end && !work.stop.stop_requested(); ++i) {
      Candidate& c = candidates[static_cast<size_t>(i)];
      c.ring = straightened(bridged(followed_edge(c.ring, picture.lab, 6, 3), picture.lab), 1.5);
      c.evidence = outline_evidence(c.ring, picture.lab);
      c.rank *= c.evidence.confidence;
    }
  });
  work.check();
  std::erase_if(candidates,
                [&](const Candidate& c) { return is_known_thing(c.ring, picture, options); });
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const Candidate& a, const Candidate& b) { return a.rank > b.rank; });
  return candidates;
}

constexpr const char* k_how_to_lay =
    " Lay the board on an even background that differs from it in colour, with some of it showing "
    "all around.";

bool looks_like_a_board(const OutlineEvidence& e) {
  constexpr double k_edge = 0.75, k_busy = 0.5, k_rectangular = 0.7, k_inside = 0.8;
  return e.edge >= k_edge && e.busy >= k_busy && e.rectangular >= k_rectangular &&
         e.inside >= k_inside;
}

// Other boards, apart from the best and from each other, as far as they are large enough.
std::vector<Polygon> further_boards(const std::vector<Candidate>& candidates, cv::Size size,
                                    double scale, const OutlineOptions& options) {
  constexpr double k_apart = 0.1, k_least_rank = 0.25;
  std::vector<Ring> boards{candidates.front().ring};
  const double best_area = std::abs(signed_area(boards[0]));
  for (const Candidate& other : candidates) {
    if (other.rank < k_least_rank || !looks_like_a_board(other.evidence) ||
        std::abs(signed_area(other.ring)) < options.rival_area_ratio * best_area)
      continue;
    const bool is_apart = std::all_of(boards.begin(), boards.end(), [&](const Ring& board) {
      return overlap_of(board, other.ring, size).of_smaller < k_apart;
    });
    if (is_apart) boards.push_back(other.ring);
  }
  std::vector<Polygon> further;
  for (size_t i = 1; i < boards.size(); ++i)
    further.push_back({clockwise(scaled_ring(boards[i], scale, 1)), {}});
  return further;
}

// A second outline, not cut by the photo's frame, that is nearly as good and says something else.
bool is_doubtful(const std::vector<Candidate>& candidates, cv::Size size) {
  constexpr double k_nearly_as_good = 0.6, k_same_thing = 0.8;
  constexpr double k_whole = 0.95;  // of the outline's length away from the photo's frame
  const Candidate& best = candidates.front();
  return std::any_of(candidates.begin(), candidates.end(), [&](const Candidate& other) {
    return other.evidence.inside >= k_whole && other.rank > k_nearly_as_good * best.rank &&
           overlap_of(best.ring, other.ring, size).of_union < k_same_thing;
  });
}

OutlineAnswer several_boards(std::vector<Polygon> further) {
  OutlineAnswer answer = refused(
      OutlineFault::several_boards,
      fmt::format(
          "{} boards seem to be in view; photograph them one by one, or give the corners of "
          "the one that is meant.",
          further.size() + 1));
  answer.other_boards = std::move(further);
  return answer;
}

OutlineAnswer judged(const Photo& photo, const LabPicture& picture,
                     const std::vector<Candidate>& candidates, const OutlineOptions& options) {
  constexpr double k_perhaps_a_board = 0.4;  // rank below which nothing is said of several boards
  const Candidate& best = candidates.front();
  if (best.evidence.busy < k_least_busy)
    return refused(OutlineFault::no_board,
                   std::string("Nothing in the photo looks like a board with parts or traces.") +
                       k_how_to_lay);
  const cv::Size size = picture.lab.size();
  if (best.rank >= k_perhaps_a_board)
    if (auto further = further_boards(candidates, size, picture.scale, options); !further.empty())
      return several_boards(std::move(further));
  Outline outline = finished(photo, best, picture.scale);
  const auto corners = main_sides(outline.px.outer);
  if (!corners || outline.confidence < options.least_confidence)
    return refused(OutlineFault::unsure,
                   std::string("The board's outline could not be made out surely.") + k_how_to_lay);
  if (is_doubtful(candidates, size))
    return refused(OutlineFault::unsure,
                   std::string("Two different outlines fit the photo about equally well, so none "
                               "was taken.") +
                       k_how_to_lay);
  outline.corners_px = *corners;
  OutlineAnswer answer;
  answer.outline = std::move(outline);
  return answer;
}

}  // namespace

void OutlineOptions::check() const {
  const auto refuse = [](const char* field, const char* range) {
    throw Error(ErrorKind::wrong_use, fmt::format("Outline finding: {} must be {}.", field, range));
  };
  if (working_long_side_px < 200 || working_long_side_px > 4000)
    refuse("working_long_side_px", "between 200 and 4000");
  if (!(least_confidence >= 0 && least_confidence <= 1)) refuse("least_confidence", "0 to 1");
  if (!(least_area_share > 0 && least_area_share < 1))
    refuse("least_area_share", "above 0 and below 1");
  if (!(rival_area_ratio > 0 && rival_area_ratio <= 1))
    refuse("rival_area_ratio", "above 0 and at most 1");
}

OutlineAnswer find_outline(const Photo& photo, const OutlineOptions& options, const Work& work) {
  options.check();
  work.check();
  constexpr int k_least_photo_px = 64;
  constexpr double k_longest_shape = 6;
  const auto [short_px, long_px] = std::minmax(photo.bgr.cols, photo.bgr.rows);
  if (short_px < k_least_photo_px)
    return refused(OutlineFault::no_board,
                   "The photo is too small to find a board's outline in it.");
  if (long_px > k_longest_shape * short_px)
    return refused(OutlineFault::no_board,
                   "The photo is too long and narrow to find a board's outline in it.");
  const LabPicture picture = lab_picture(photo.bgr, options.working_long_side_px);
  const Guesses guesses = board_guesses(picture, options);
  work.check();
  work.report(0.6);
  const std::vector<Candidate> candidates = candidates_of(guesses, picture, options, work);
  if (candidates.empty())
    return refused(OutlineFault::no_board,
                   std::string("No board was found in the photo.") + k_how_to_lay);
  OutlineAnswer answer = judged(photo, picture, candidates, options);
  work.report(1);
  return answer;
}

}  // namespace verdigrid
