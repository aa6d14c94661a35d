#include "tests/compare/rendered_change.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "synthetic/random.h"

namespace verdigrid {

namespace {

constexpr double k_border_px = 1.5;  // of the photo before

synthetic::CameraSpec camera(std::uint64_t seed, cv::Size photo_px, double rotation_deg) {
  synthetic::CameraOptions options;
  options.tilt_at_most_deg = 15;
  options.rotation_at_most_deg = rotation_deg;
  return synthetic::random_camera(seed, photo_px, options);
}

}  // namespace

const char* name(Wash w) {
  switch (w) {
    case Wash::unchanged:
      return "unchanged";
    case Wash::nothing_there:
      return "nothing there";
    case Wash::partly:
      return "partly";
    case Wash::wholly:
      return "wholly";
    case Wash::with_new:
      return "with new";
  }
  return "";
}

RenderedChange rendered_change(int number, cv::Size photo_px) {
  const auto seed = static_cast<std::uint64_t>(number) + 40'000;
  RenderedChange out;
  out.wash = static_cast<Wash>(number % 5);
  synthetic::BoardOptions board;
  if (out.wash == Wash::nothing_there) board.residue_amount = 0;
  out.before_spec = synthetic::random_board(seed, board);
  out.after_spec = out.before_spec;
  synthetic::Random random(synthetic::mixed(seed, 7));
  if (out.wash == Wash::nothing_there) out.before_spec.deposits.clear();
  if (out.wash != Wash::unchanged) {
    const double removed = out.wash == Wash::wholly   ? 1
                           : out.wash == Wash::partly ? random.uniform(0.3, 0.9)
                                                      : random.uniform(0, 0.5);
    out.parts_gone = random.whole(0, 10);
    out.after_spec = synthetic::washed(out.before_spec, seed + 1, removed, out.parts_gone,
                                       out.wash == Wash::with_new ? random.whole(1, 3) : 0);
  }
  const synthetic::CameraSpec first = camera(seed * 2, photo_px, number % 3 == 0 ? 180 : 5),
                              second = camera(seed * 2 + 1, photo_px, number % 2 == 0 ? 5 : 180);
  const double px_per_mm =
      1.3 * std::max(view_of(first, out.before_spec.size_mm, Side::front).px_per_mm,
                     view_of(second, out.before_spec.size_mm, Side::front).px_per_mm);
  out.before_board = synthetic::render_board(out.before_spec, std::clamp(px_per_mm, 1.0, 60.0));
  out.after_board = synthetic::render_board(out.after_spec, std::clamp(px_per_mm, 1.0, 60.0));
  out.before = synthetic::shot(out.before_board, first);
  out.after = synthetic::shot(out.after_board, second);
  return out;
}

AlignmentError error_of(const Alignment& alignment, const RenderedChange& pair) {
  const synthetic::View &a = pair.before.truth.view, &b = pair.after.truth.view;
  const cv::Rect2d box = bounding_box(pair.before.truth.outline_mm.outer);
  const cv::Rect2d frame(0, 0, pair.before.bgr.cols - 1, pair.before.bgr.rows - 1);
  AlignmentError e;
  int n = 0;
  for (double y = box.y; y <= box.y + box.height; y += box.height / 20)
    for (double x = box.x; x <= box.x + box.width; x += box.width / 20) {
      if (!contains(pair.before.truth.outline_mm, {x, y})) continue;
      const cv::Point2d p = photo_px_of(a, {x, y}), q = photo_px_of(b, {x, y});
      if (!frame.contains(p) || !frame.contains(q)) continue;
      const double off = cv::norm(alignment.after_from_before(p) - q);
      e.rms_px += off * off;
      e.worst_px = std::max(e.worst_px, off);
      ++n;
    }
  e.rms_px = std::sqrt(e.rms_px / std::max(1, n));
  return e;
}

TrueChange true_change(const RenderedChange& pair, const cv::Mat& classes) {
  const synthetic::Board &b = pair.before_board, &a = pair.after_board;
  TrueChange out;
  out.board_mm2 = area(b.outline_mm);
  const double px_mm2 = 1 / (b.px_per_mm * b.px_per_mm);
  const int near = cvRound(k_border_px * b.px_per_mm / pair.before.truth.px_per_mm);
  const cv::Mat disc = cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * near + 1, 2 * near + 1});
  cv::Mat beyond, came = (a.labels != 0) & (b.labels == 0);
  cv::dilate(b.labels != 0, beyond, disc);
  beyond = came & ~beyond;
  cv::dilate(beyond, beyond, disc);
  came &= beyond;
  for (int y = 0; y < b.labels.rows; ++y)
    for (int x = 0; x < b.labels.cols; ++x) {
      const bool was = b.labels.at<uchar>(y, x) != 0, is = a.labels.at<uchar>(y, x) != 0;
      if (!was && !is) continue;
      const cv::Point2d mm = b.origin_mm + cv::Point2d(x + 0.5, y + 0.5) / b.px_per_mm;
      const cv::Point2d p = photo_px_of(pair.before.truth.view, mm);
      const cv::Point at(cvRound(p.x), cvRound(p.y));
      if (!cv::Rect({}, classes.size()).contains(at)) continue;
      const auto c = static_cast<ChangeClass>(classes.at<uchar>(at));
      if (c == ChangeClass::part_changed || c == ChangeClass::not_compared) continue;
      out.residue_before += was ? px_mm2 : 0;
      out.residue_after += is ? px_mm2 : 0;
      out.fresh += came.at<uchar>(y, x) ? px_mm2 : 0;
    }
  out.removed = std::max(0.0, out.residue_before - out.residue_after + out.fresh);
  return out;
}

Polygon slipped_outline(const synthetic::Truth& truth, int seed) {
  synthetic::Random random(synthetic::mixed(static_cast<std::uint64_t>(seed), 19));
  const auto slip = [&random] { return 0.5 * random.normal(); };
  const cv::Rect2d box = bounding_box(truth.outline_px.outer);
  const cv::Point2d corner = box.tl();
  const cv::Point2d moved{slip(), slip()}, across{slip(), slip()}, down{slip(), slip()};
  Polygon out = truth.outline_px;
  for (cv::Point2d& p : out.outer)
    p += moved + across * ((p.x - corner.x) / box.width) + down * ((p.y - corner.y) / box.height);
  return out;
}

Survey true_survey(const synthetic::Shot& shot, int seed) {
  Survey s;
  s.program_version = program_version();
  s.detector_id = "true labels";
  s.photo = photo_of(shot).meta;
  s.photo_size_px = shot.truth.photo_size_px;
  s.rectification = rectification_from(shot.truth, 0.001, 0.2);
  s.rectification.outline_px = slipped_outline(shot.truth, seed);
  s.map.labels = shot.truth.labels;
  s.map.confidence = (shot.truth.labels != 0);
  s.options.measure.label_edge_sd_px = 1 / std::sqrt(12.0);
  s.findings = findings_of(photo_of(shot), s.rectification, s.map, s.options.findings);
  s.zones = zone_table({s.map.labels, s.findings.finding_of_px, {}, 1}, s.rectification,
                       s.options.measure);
  return s;
}

ChangeVerdict true_verdict(const TrueChange& change, const VerdictOptions& options) {
  if (change.residue_before <= 0 && change.residue_after <= 0)
    return ChangeVerdict::nothing_flagged;
  if (change.residue_before > options.least_area_mm2 &&
      change.residue_after <= options.least_area_mm2)
    return ChangeVerdict::nothing_left;
  const double less = change.residue_before - change.residue_after;
  const double counts =
      std::max(options.least_change_mm2, options.least_change_share * change.residue_before);
  if (less > counts) return ChangeVerdict::improved;
  if (-less > counts) return ChangeVerdict::worse;
  return ChangeVerdict::no_significant_change;
}

}  // namespace verdigrid
