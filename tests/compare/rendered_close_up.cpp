#include "tests/compare/rendered_close_up.h"

#include <algorithm>
#include <cmath>

#include "synthetic/random.h"

namespace verdigrid {

namespace {

// Of both boards and lenses: what a phone and a macro lens have.
constexpr double k_photo_fill = 0.9, k_macro_focal = 5;
// The board is rendered no finer than this: two to three times as fine as the photo.
constexpr double k_sharpest_px_per_mm = 36;
constexpr int k_lattice = 9;
constexpr double k_board_mm = 0.3;  // joints and flat dirt lie as low as that
constexpr double k_tallest_mm = 40, k_step_mm = 0.05;

synthetic::CameraSpec camera(std::uint64_t seed, cv::Size photo_px, double tilt_deg) {
  synthetic::CameraOptions options;
  options.tilt_at_most_deg = tilt_deg;
  options.rotation_at_most_deg = 180;
  options.glare_probability = 0.1;
  return synthetic::random_camera(seed, photo_px, options);
}

// A deposit, else a part of this side, at random, and up to 3 mm beside its middle.
cv::Point2d place_worth_a_look(const synthetic::BoardSpec& spec, synthetic::Random& random) {
  std::vector<cv::Point2d> places;
  for (const synthetic::Deposit& d : spec.deposits) {
    const cv::Rect2d board({}, spec.size_mm);
    if (board.contains(d.centre_mm)) places.push_back(d.centre_mm);
  }
  if (places.empty())
    for (const synthetic::PlacedPart& part : spec.parts)
      if (part.side == Side::front) places.push_back(part.centre_mm);
  if (places.empty()) places.emplace_back(spec.size_mm.width / 2, spec.size_mm.height / 2);
  const int last = static_cast<int>(places.size()) - 1;
  return places[static_cast<size_t>(random.whole(0, last))] +
         cv::Point2d(random.uniform(-3, 3), random.uniform(-3, 3));
}

// What the camera sees at a px: from above down along its ray to the first surface. mm, z up.
cv::Point3d surface_seen(const synthetic::Board& board, const synthetic::View& view,
                         cv::Point2d p_px) {
  const cv::Point2d on_plane = board_mm_of(view, p_px);
  const cv::Point3d foot(on_plane.x, on_plane.y, 0), eye = view.eye_mm;
  for (double z = k_tallest_mm; z > 0; z -= k_step_mm) {
    const cv::Point3d at = foot + (eye - foot) * (z / eye.z);
    const cv::Point cell(cvFloor((at.x - board.origin_mm.x) * board.px_per_mm),
                         cvFloor((at.y - board.origin_mm.y) * board.px_per_mm));
    if (cv::Rect({}, board.height_mm.size()).contains(cell) && board.height_mm.at<float>(cell) >= z)
      return at;
  }
  return foot;
}

// Where a camera shows a point above the board.
cv::Point2d shown_at(const synthetic::View& view, cv::Point3d p) {
  const cv::Point3d eye = view.eye_mm, on_plane = eye + (p - eye) * (eye.z / (eye.z - p.z));
  return photo_px_of(view, {on_plane.x, on_plane.y});
}

double px_per_mm_at(const synthetic::View& view, cv::Point2d mm) {
  const cv::Point2d dx(0.5, 0), dy(0, 0.5);
  const cv::Point2d across = photo_px_of(view, mm + dx) - photo_px_of(view, mm - dx),
                    down = photo_px_of(view, mm + dy) - photo_px_of(view, mm - dy);
  return std::sqrt(std::abs(across.cross(down)));
}

}  // namespace

RenderedCloseUp rendered_close_up(int number, cv::Size photo_px) {
  const auto seed = static_cast<std::uint64_t>(number) + 80'000;
  synthetic::Random random(synthetic::mixed(seed, 5));
  RenderedCloseUp out;
  synthetic::BoardOptions board;
  const double width_mm = random.uniform(90, 150);
  board.size_mm = cv::Size2d(width_mm, width_mm * random.uniform(0.6, 0.8));
  board.part_density = 0.9;
  out.spec = synthetic::random_board(seed, board);
  synthetic::CameraSpec wide = camera(2 * seed, photo_px, 10);
  wide.fill = k_photo_fill;
  wide.rotation_deg = std::remainder(wide.rotation_deg, 10.0);
  synthetic::CameraSpec close = camera(2 * seed + 1, photo_px, 10);
  out.scale = std::exp(random.uniform(std::log(3.0), std::log(10.0)));
  const double wide_px_per_mm = view_of(wide, out.spec.size_mm, Side::front).px_per_mm;
  close.focal_share = k_macro_focal;
  close.k1 = close.k2 = 0;
  close.fill = 1;
  close.fill = out.scale * wide_px_per_mm / view_of(close, out.spec.size_mm, Side::front).px_per_mm;
  // The place is brought to the middle: the shift is in shares of the frame.
  const cv::Point2d at = place_worth_a_look(out.spec, random);
  const cv::Point2d middle{(photo_px.width - 1) / 2.0, (photo_px.height - 1) / 2.0};
  for (int round = 0; round < 8; ++round) {
    const cv::Point2d off = photo_px_of(view_of(close, out.spec.size_mm, Side::front), at) - middle;
    close.shift -= cv::Point2d(off.x / photo_px.width, off.y / photo_px.height);
  }
  const auto board_at = [&](double px_per_mm) {
    return synthetic::render_board(out.spec, std::clamp(px_per_mm, 1.0, k_sharpest_px_per_mm));
  };
  out.photo = synthetic::shot(board_at(1.3 * wide_px_per_mm), wide);
  const synthetic::Board fine = board_at(out.scale * wide_px_per_mm);
  out.close_up = synthetic::shot(fine, close);
  out.scale = px_per_mm_at(out.close_up.truth.view, at) / px_per_mm_at(out.photo.truth.view, at);
  for (int y = 0; y < k_lattice; ++y)
    for (int x = 0; x < k_lattice; ++x) {
      const cv::Point2d p{(x + 0.5) * photo_px.width / k_lattice,
                          (y + 0.5) * photo_px.height / k_lattice};
      const cv::Point3d seen = surface_seen(fine, out.close_up.truth.view, p);
      out.seen.push_back({shown_at(out.photo.truth.view, seen), p, 1});
      out.height_mm.push_back(seen.z);
    }
  return out;
}

CloseUpError error_of(const cv::Matx33d& photo_from_close_up, const RenderedCloseUp& pair) {
  std::vector<double> all_mm, board_mm;
  for (size_t i = 0; i < pair.seen.size(); ++i) {
    const PointPair& p = pair.seen[i];
    all_mm.push_back(cv::norm(mapped(photo_from_close_up, p.second_px) - p.first_px) /
                     pair.photo.truth.px_per_mm);
    if (pair.height_mm[i] <= k_board_mm) board_mm.push_back(all_mm.back());
  }
  std::sort(all_mm.begin(), all_mm.end());
  std::sort(board_mm.begin(), board_mm.end());
  const std::vector<double>& told = board_mm.size() * 5 >= all_mm.size() ? board_mm : all_mm;
  return {told[told.size() / 2], told.back(), all_mm[all_mm.size() / 2]};
}

}  // namespace verdigrid
