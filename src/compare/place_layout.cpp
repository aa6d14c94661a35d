#include "compare/place_layout.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/error.h"
#include "compare/lens_fit.h"

namespace verdigrid {

namespace {

constexpr int k_blocks = 6;

cv::Point2d outline_middle(const Rectification& r) {
  const cv::Rect2d box = bounding_box(r.outline_board.outer);
  return {box.x + box.width / 2, box.y + box.height / 2};
}

// Residuals of the pairs on the board: rms with its interval, and the worst mean of a block.
void fill_residuals(const std::vector<BoardPair>& pairs, PlacedLayout& out) {
  Ring places;
  for (const BoardPair& pair : pairs) places.push_back(pair.board);
  const cv::Rect2d box = bounding_box(places);
  std::array<cv::Point2d, k_blocks * k_blocks> sum{};
  std::array<int, k_blocks * k_blocks> count{};
  double squares = 0;
  for (const BoardPair& pair : pairs) {
    const cv::Point2d off = board_point(*out.rectification, pair.photo_px) - pair.board;
    squares += off.dot(off);
    const auto block = [](double x, double length) {
      return std::clamp(static_cast<int>(x / std::max(length, 1e-9) * k_blocks), 0, k_blocks - 1);
    };
    const auto b = static_cast<size_t>(block(pair.board.y - box.y, box.height) * k_blocks +
                                       block(pair.board.x - box.x, box.width));
    sum[b] += off;
    ++count[b];
  }
  const auto n = static_cast<double>(pairs.size());
  const double rms = std::sqrt(squares / n), half = 1.96 / std::sqrt(2 * n);
  out.rms_board = {rms, rms * std::max(0.0, 1 - half), rms * (1 + half)};
  for (size_t b = 0; b < sum.size(); ++b)
    if (count[b] >= 4) out.worst_board = std::max(out.worst_board, cv::norm(sum[b]) / count[b]);
}

int quarter_turn(double deg) {
  const int quarter = static_cast<int>(std::lround(deg / 90)) * 90;
  return ((quarter % 360) + 360) % 360;
}

Rectification rectification_for(const Layout& layout, const Rectification& reference,
                                const Registration& registration,
                                const std::vector<BoardPair>& pairs, cv::Size photo_size_px) {
  const BoardView view = board_view(pairs, photo_size_px);
  Rectification r;
  r.way = reference.has_scale() ? ScaleWay::layout : ScaleWay::none;
  r.side = reference.side;
  r.turn_deg = quarter_turn(reference.turn_deg - registration.turn_deg);
  r.photo_size_px = photo_size_px;
  r.lens = view.lens;
  r.board_from_photo_px = view.board_from_photo_px;
  r.edge_sd_px = std::max(0.5, view.rms_px);
  r.outline_board = layout.outline.empty() ? reference.outline_board : layout.outline;
  const auto to_photo = [&](Ring& ring) {
    for (cv::Point2d& p : ring) p = photo_point(r, p);
  };
  r.outline_px = r.outline_board;
  to_photo(r.outline_px.outer);
  for (Ring& hole : r.outline_px.holes) to_photo(hole);
  r.outline_px.outer = clockwise(std::move(r.outline_px.outer));
  if (reference.has_scale()) {
    r.length_rel_sd = reference.length_rel_sd;
    const cv::Point2d at = photo_point(r, outline_middle(r));
    const double scale = 1 / std::sqrt(pixel_area_board(r, at));
    const double half = 1.96 * r.length_rel_sd;
    r.px_per_mm = Interval{scale, scale * (1 - half), scale * (1 + half)};
  }
  return r;
}

PlacedLayout placed(const Layout& layout, const Rectification& reference,
                    Registration&& registration, cv::Size photo_size_px) {
  PlacedLayout out;
  out.remarks = registration.remarks;
  if (registration.is_placed()) {
    std::vector<BoardPair> pairs;
    for (const PointPair& pair : registration.pairs)
      pairs.push_back({board_point(reference, pair.first_px), pair.second_px, pair.weight});
    if (pairs.size() < 4) {
      // Three pairs by hand: the affine view is carried by a fourth corner of its own.
      const cv::Point2d p = registration.pairs[0].first_px + registration.pairs[1].first_px -
                            registration.pairs[2].first_px;
      pairs.push_back({board_point(reference, p), registration.warp(p), 1});
    }
    out.rectification = rectification_for(layout, reference, registration, pairs, photo_size_px);
    out.rectification->remarks = out.remarks;
    fill_residuals(pairs, out);
  }
  out.registration = std::move(registration);
  return out;
}

void check_reference(const BoardPhoto& reference, const Rectification& rectification) {
  if (reference.bgr.size() != rectification.photo_size_px)
    throw Error(ErrorKind::bad_input,
                "The reference photo has another size than the one that the layout is tied to; "
                "use that very photo.");
}

}  // namespace

PlacedLayout place_layout(const Layout& layout, const BoardPhoto& reference,
                          const Rectification& reference_rectification, const BoardPhoto& photo,
                          const RegistrationOptions& options, const Work& work) {
  check_reference(reference, reference_rectification);
  return placed(layout, reference_rectification, registered(reference, photo, options, work),
                photo.bgr.size());
}

PlacedLayout place_layout_by_hand(const Layout& layout, const BoardPhoto& reference,
                                  const Rectification& reference_rectification,
                                  const BoardPhoto& photo, const std::vector<PointPair>& pairs,
                                  const RegistrationOptions& options, const Work& work) {
  check_reference(reference, reference_rectification);
  return placed(layout, reference_rectification,
                registered_by_hand(reference, photo, pairs, options, work), photo.bgr.size());
}

std::optional<Rectification> reference_of(const Layout& layout, Side side) {
  for (const ReferencePhoto& photo : layout.reference_photos) {
    if (photo.side != side) continue;
    Rectification r;
    r.way = layout.has_mm ? ScaleWay::layout : ScaleWay::none;
    r.side = side;
    r.photo_size_px = photo.size_px;
    r.board_from_photo_px = photo.board_from_photo_px;
    if (photo.lens)
      r.lens = Lens{photo.lens->camera,
                    {photo.lens->distortion.begin(), photo.lens->distortion.end()},
                    photo.size_px,
                    0};
    r.outline_board = layout.outline;
    r.outline_px = layout.outline;
    for (cv::Point2d& p : r.outline_px.outer) p = photo_point(r, p);
    for (Ring& hole : r.outline_px.holes)
      for (cv::Point2d& p : hole) p = photo_point(r, p);
    r.outline_px.outer = clockwise(std::move(r.outline_px.outer));
    if (layout.has_mm && !layout.outline.empty()) {
      const double scale = 1 / std::sqrt(pixel_area_board(r, photo_point(r, outline_middle(r))));
      r.px_per_mm = Interval{scale, scale, scale};
    }
    return r;
  }
  return std::nullopt;
}

Layout tied_layout(const Layout& layout, const Rectification& rectification,
                   const std::string& file, const std::string& sha256) {
  ReferencePhoto photo;
  photo.file = file;
  photo.sha256 = sha256;
  photo.side = rectification.side;
  photo.size_px = rectification.photo_size_px;
  photo.board_from_photo_px = rectification.board_from_photo_px;
  if (rectification.lens) {
    ReferenceLens lens;
    lens.camera = rectification.lens->camera;
    const std::vector<double>& d = rectification.lens->distortion;
    std::copy_n(d.begin(), std::min(d.size(), lens.distortion.size()), lens.distortion.begin());
    photo.lens = lens;
  }
  Layout out = layout;
  std::erase_if(out.reference_photos,
                [&](const ReferencePhoto& p) { return p.side == photo.side; });
  out.reference_photos.push_back(std::move(photo));
  return out;
}

}  // namespace verdigrid
