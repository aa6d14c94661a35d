#include "rectify/outline.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "rectify/main_sides.h"
#include "rectify/outline_parts.h"

namespace verdigrid {

namespace {

struct Candidate {
  Ring ring;  // working picture px
  OutlineEvidence evidence;
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
  outline.confidence = best.evidence.confidence;
  outline.edge_sd_px = std::max(0.7, 0.7 * scale);
  for (cv::Point2d& p : outline.px.outer) {
    p.x = std::clamp(p.x, -0.5, photo.bgr.cols - 0.5);
    p.y = std::clamp(p.y, -0.5, photo.bgr.rows - 0.5);
  }
  return outline;
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
  if (std::min(photo.bgr.cols, photo.bgr.rows) < k_least_photo_px)
    return refused(OutlineFault::no_board,
                   "The photo is too small to find a board's outline in it.");
  const Guesses guesses = board_guesses(photo.bgr, options);
  work.check();
  work.report(0.5);
  const LabPicture picture = lab_picture(photo.bgr, options.working_long_side_px);
  std::vector<Ring> known;
  std::vector<Candidate> candidates;
  for (const BoardGuess& guess : guesses.boards) {
    if (is_known(known, guess.outline)) continue;
    known.push_back(guess.outline);
    const Ring rough = scaled_ring(guess.outline, guesses.picture.scale, picture.scale);
    Candidate c;
    c.ring = straightened(followed_edge(rough, picture.lab, 6, 3), 1.5);
    c.evidence = outline_evidence(c.ring, picture.lab);
    candidates.push_back(c);
    work.check();
  }
  if (candidates.empty())
    return refused(
        OutlineFault::no_board,
        "No board was found in the photo; lay it on an even background that differs from "
        "it in colour and leave some of that background around it.");
  const Candidate& best = *std::max_element(candidates.begin(), candidates.end(),
                                            [](const Candidate& a, const Candidate& b) {
                                              return a.evidence.confidence < b.evidence.confidence;
                                            });
  OutlineAnswer answer;
  Outline outline = finished(photo, best, picture.scale);
  const auto corners = main_sides(outline.px.outer);
  if (!corners || outline.confidence < options.least_confidence)
    return refused(OutlineFault::unsure,
                   "The board's outline could not be made out surely; lay the board on an even "
                   "background that differs from it in colour and leave some of it all around.");
  outline.corners_px = *corners;
  answer.outline = std::move(outline);
  work.report(1);
  return answer;
}

}  // namespace verdigrid
