// Placing on rendered boards of exact truth: other units of one type, seen by another camera with
// other dirt and damage and with parts missing; and wrong pairs, which must be refused.
//
//   rendered_pairs [SAME [WRONG [WIDTHxHEIGHT [FIRST_SEED]]]]     default 20 20 1200x900 1
//
// One line per pair; at the end the figures: error of the placed layout over the whole board in mm,
// rms and worst, and how the wrong pairs (other type, other side, mirrored, in turn) were answered.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <opencv2/imgproc.hpp>
#include <string>

#include "compare/place_layout.h"
#include "synthetic/shot.h"

using namespace verdigrid;

namespace {

struct Arguments {
  int same = 20, wrong = 20;
  cv::Size photo_px{1200, 900};
  int first_seed = 1;
};

Arguments arguments_of(int argc, char** argv) {
  Arguments a;
  if (argc > 1) a.same = std::stoi(argv[1]);
  if (argc > 2) a.wrong = std::stoi(argv[2]);
  if (argc > 3) std::sscanf(argv[3], "%dx%d", &a.photo_px.width, &a.photo_px.height);
  if (argc > 4) a.first_seed = std::stoi(argv[4]);
  return a;
}

synthetic::CameraSpec camera(std::uint64_t seed, cv::Size photo_px, double rotation_deg) {
  synthetic::CameraOptions options;
  options.tilt_at_most_deg = 15;
  options.rotation_at_most_deg = rotation_deg;
  return synthetic::random_camera(seed, photo_px, options);
}

BoardPhoto with_outline(const synthetic::Shot& shot) { return {shot.bgr, shot.truth.outline_px}; }

struct Errors {
  double rms_mm = 0, worst_mm = 0;
};

// Over a grid of places inside the outline: where the placed layout puts them against the truth.
Errors errors_of(const Rectification& placed, const synthetic::Truth& truth) {
  const cv::Rect2d box = bounding_box(truth.outline_mm.outer);
  Errors e;
  int n = 0;
  for (double y = box.y; y <= box.y + box.height; y += box.height / 20)
    for (double x = box.x; x <= box.x + box.width; x += box.width / 20) {
      if (!contains(truth.outline_mm, {x, y})) continue;
      const cv::Point2d seen = synthetic::photo_px_of(truth.view, {x, y});
      const double off = cv::norm(board_point(placed, seen) - cv::Point2d(x, y));
      e.rms_mm += off * off;
      e.worst_mm = std::max(e.worst_mm, off);
      ++n;
    }
  e.rms_mm = std::sqrt(e.rms_mm / std::max(1, n));
  return e;
}

bool same_pair(const Arguments& a, int i, Errors& errors) {
  const auto seed = static_cast<std::uint64_t>(a.first_seed + i);
  const synthetic::BoardSpec board = synthetic::random_board(seed);
  const synthetic::BoardSpec unit = synthetic::other_unit(board, seed + 5000, {}, i % 9);
  const auto first = synthetic::shot(board, camera(seed * 2, a.photo_px, 3));
  const auto second = synthetic::shot(unit, camera(seed * 2 + 1, a.photo_px, i % 2 == 0 ? 5 : 180));
  const Layout layout = layout_over(first.truth.outline_mm, true);
  const PlacedLayout placed =
      place_layout(layout, with_outline(first), rectification_from(first.truth), {second.bgr, {}});
  const Registration& r = placed.registration;
  errors = {};
  if (placed.rectification) errors = errors_of(*placed.rectification, second.truth);
  fmt::print(
      "same {}: {} {} rms {:.3f} worst {:.3f} mm | said {:.3f} | {:.1f} px/mm tilt {:.0f} gone {} "
      "inliers {} share {:.3f} coverage {:.2f} turn {:.0f} {}\n",
      i, placed.rectification ? "placed" : "REFUSED", name(r.match), errors.rms_mm, errors.worst_mm,
      placed.rms_board.value, second.truth.px_per_mm, second.truth.view.tilt_deg, i % 9,
      r.feature_inliers, r.agreement.share, r.agreement.coverage, r.turn_deg,
      placed.rectification && placed.rectification->lens ? "lens" : "");
  std::fflush(stdout);
  return placed.rectification.has_value();
}

// Other type, other side, mirrored, in turn. Answers the kind it should be told.
Match wrong_pair(const Arguments& a, int i, Registration& out) {
  const auto seed = static_cast<std::uint64_t>(a.first_seed + 700 + i);
  synthetic::BoardSpec board = synthetic::random_board(seed), other = board;
  Match truth = Match::wrong_board;
  if (i % 3 == 0) {
    synthetic::BoardOptions options;
    options.size_mm = board.size_mm;  // same size and mask: the hardest
    options.mask = board.mask;
    other = synthetic::random_board(seed + 9000, options);
  } else if (i % 3 == 1) {
    other.side = Side::back;
    truth = Match::other_side;
  } else {
    truth = Match::mirrored;
  }
  const auto first = synthetic::shot(board, camera(seed * 2, a.photo_px, 3));
  auto second = synthetic::shot(other, camera(seed * 2 + 1, a.photo_px, 5));
  BoardPhoto photo = with_outline(second);
  if (truth == Match::mirrored) {
    cv::Mat flipped;
    cv::flip(photo.bgr, flipped, 1);
    photo.bgr = flipped;
    for (cv::Point2d& p : photo.board_px.outer) p.x = flipped.cols - 1 - p.x;
    photo.board_px.outer = clockwise(photo.board_px.outer);
  }
  out = registered(with_outline(first), photo);
  fmt::print("wrong {}: {} (truth {}) inliers {} share {:.3f} coverage {:.2f}\n", i,
             name(out.match), name(truth), out.feature_inliers, out.agreement.share,
             out.agreement.coverage);
  std::fflush(stdout);
  return truth;
}

}  // namespace

int main(int argc, char** argv) {
  const Arguments a = arguments_of(argc, argv);
  int placed = 0, within = 0, accepted = 0, told = 0;
  double worst_rms = 0, worst = 0;
  for (int i = 0; i < a.same; ++i) {
    Errors e;
    if (!same_pair(a, i, e)) continue;
    ++placed;
    within += e.rms_mm <= 0.3 && e.worst_mm <= 0.8;
    worst_rms = std::max(worst_rms, e.rms_mm);
    worst = std::max(worst, e.worst_mm);
  }
  for (int i = 0; i < a.wrong; ++i) {
    Registration r;
    const Match truth = wrong_pair(a, i, r);
    accepted += r.is_placed();
    told += r.match == truth || (truth == Match::wrong_board && r.match == Match::revision);
  }
  fmt::print(
      "same: {} of {} placed, {} within 0.3 mm rms and 0.8 mm worst; largest rms {:.3f} mm, worst "
      "{:.3f} mm\nwrong: {} of {} accepted, {} told for what they are\n",
      placed, a.same, within, worst_rms, worst, accepted, a.wrong, told);
  return 0;
}
