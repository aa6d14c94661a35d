#include "detect/map_edit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "detect/regions.h"

namespace verdigrid {

namespace {

constexpr uchar k_certain = 255;

// The pixels of some polygons, as a picture over their own box.
struct Patch {
  cv::Rect box_px;
  cv::Mat on;  // CV_8UC1, 0 or 255
};

Patch patch_of(const std::vector<Polygon>& polygons, cv::Size photo_px) {
  cv::Rect2d around;
  for (const Polygon& p : polygons) around |= bounding_box(p.outer);
  const cv::Point from(static_cast<int>(std::floor(around.x)),
                       static_cast<int>(std::floor(around.y))),
      to(static_cast<int>(std::ceil(around.br().x)) + 1,
         static_cast<int>(std::ceil(around.br().y)) + 1);
  const cv::Rect box = cv::Rect(from, to) & cv::Rect({0, 0}, photo_px);
  if (box.empty()) return {};
  std::vector<Polygon> shifted = polygons;
  const cv::Point2d shift(box.tl());
  for (Polygon& p : shifted) {
    for (cv::Point2d& q : p.outer) q -= shift;
    for (Ring& hole : p.holes)
      for (cv::Point2d& q : hole) q -= shift;
  }
  return {box, picture_of(shifted, box.size(), 1)};
}

void apply(const MapEdit& edit, ResidueMap& map, const Polygon& board_px) {
  if (edit.region_px.empty()) return;
  Patch patch = patch_of(edit.region_px, map.labels.size());
  if (patch.box_px.empty()) return;
  cv::Mat labels = map.labels(patch.box_px), confidence = map.confidence(patch.box_px);
  const auto label = static_cast<uchar>(edit.residue.value_or(Residue::unsure));
  switch (edit.kind) {
    case EditKind::accept:
      confidence.setTo(k_certain, patch.on & (labels != 0));
      return;
    case EditKind::relabel: {
      const cv::Mat flagged = patch.on & (labels != 0);
      labels.setTo(label, flagged);
      confidence.setTo(k_certain, flagged);
      return;
    }
    case EditKind::draw: {
      if (!board_px.empty()) {
        Polygon board = board_px;
        for (cv::Point2d& p : board.outer) p -= cv::Point2d(patch.box_px.tl());
        board.holes.clear();
        patch.on &= picture_of(std::vector<Polygon>{board}, patch.box_px.size(), 1);
      }
      labels.setTo(label, patch.on);
      confidence.setTo(k_certain, patch.on);
      return;
    }
    case EditKind::dismiss:
    case EditKind::erase:
      labels.setTo(0, patch.on);
      confidence.setTo(0, patch.on);
      return;
    case EditKind::split:
    case EditKind::merge:
      return;
  }
}

void take_back(const Answer& answer, const ResidueMap& look, ResidueMap& map) {
  const Patch patch = patch_of(answer.region_px, map.labels.size());
  if (patch.box_px.empty()) return;
  look.labels(patch.box_px).copyTo(map.labels(patch.box_px), patch.on);
  look.confidence(patch.box_px).copyTo(map.confidence(patch.box_px), patch.on);
}

cv::Point2d middle_of(const cv::Rect& r) {
  return {r.x + 0.5 * (r.width - 1), r.y + 0.5 * (r.height - 1)};
}

bool decides(const MapEdit& edit, const LookPlace& place) {
  const auto covers = [&](cv::Point2d p) {
    return std::any_of(edit.region_px.begin(), edit.region_px.end(),
                       [&](const Polygon& polygon) { return contains(polygon, p); });
  };
  if (covers(middle_of(place.crop_px))) return true;
  // Most of the place's own corners.
  size_t inside = 0, all = 0;
  for (const Polygon& p : place.region_px)
    for (const cv::Point2d q : p.outer) inside += covers(q), ++all;
  return all > 0 && 2 * inside > all;
}

}  // namespace

const char* name(EditKind kind) {
  switch (kind) {
    case EditKind::accept:
      return "accept";
    case EditKind::dismiss:
      return "dismiss";
    case EditKind::relabel:
      return "relabel";
    case EditKind::draw:
      return "draw";
    case EditKind::erase:
      return "erase";
    case EditKind::split:
      return "split";
    case EditKind::merge:
      return "merge";
  }
  throw Error(ErrorKind::internal, "Internal fault: a kind of edit has no name. Please report it.");
}

void check(const MapEdit& e) {
  const auto refuse = [&](const char* what) {
    throw Error(ErrorKind::bad_input,
                fmt::format("The review's change \"{}\": {}", name(e.kind), what));
  };
  const bool is_line = e.kind == EditKind::split || e.kind == EditKind::merge,
             has_class = e.kind == EditKind::relabel || e.kind == EditKind::draw;
  if (is_line && (e.line_px.size() != 2 || !e.region_px.empty()))
    refuse("needs two points and no region.");
  if (!is_line && (e.region_px.empty() || !e.line_px.empty())) refuse("needs a region.");
  for (const Polygon& p : e.region_px)
    if (p.empty()) refuse("a region needs at least three points.");
  if (has_class != e.residue.has_value() || e.residue == Residue::none)
    refuse(has_class ? "needs a residue class." : "takes no residue class.");
  if (e.after_answers < 0) refuse("after_answers must be 0 or more.");
}

ResidueMap edited_map(const ResidueMap& look, const std::vector<Answer>& answers,
                      const std::vector<MapEdit>& edits, const Polygon& board_px) {
  if (edits.empty()) return look;
  ResidueMap map{look.labels.clone(), look.confidence.clone()};
  size_t next = 0;
  for (size_t a = 0; a < answers.size(); ++a) {
    while (next < edits.size() && edits[next].after_answers <= static_cast<int>(a))
      apply(edits[next++], map, board_px);
    if (next > 0) take_back(answers[a], look, map);
  }
  while (next < edits.size()) apply(edits[next++], map, board_px);
  return map;
}

Grouping grouping_of(const std::vector<MapEdit>& edits) {
  Grouping steps;
  for (const MapEdit& e : edits) {
    if (e.kind == EditKind::split)
      steps.push_back({GroupingStep::Kind::split, e.line_px.at(0), e.line_px.at(1)});
    if (e.kind == EditKind::merge)
      steps.push_back({GroupingStep::Kind::merge, e.line_px.at(0), e.line_px.at(1)});
  }
  return steps;
}

std::vector<LookPlace> undecided(std::vector<LookPlace> places, const std::vector<MapEdit>& edits) {
  std::erase_if(places, [&](const LookPlace& place) {
    return std::any_of(edits.begin(), edits.end(),
                       [&](const MapEdit& e) { return decides(e, place); });
  });
  return places;
}

std::vector<Polygon> brushed_region(const std::vector<cv::Point2d>& stroke_px, double radius_px,
                                    cv::Size photo_px) {
  require(!stroke_px.empty() && radius_px > 0, "a stroke has a point and a radius");
  cv::Rect2d around = bounding_box(stroke_px);
  const int margin = static_cast<int>(std::ceil(radius_px)) + 2;
  const cv::Rect box = cv::Rect(static_cast<int>(std::floor(around.x)) - margin,
                                static_cast<int>(std::floor(around.y)) - margin,
                                static_cast<int>(std::ceil(around.width)) + 2 * margin + 1,
                                static_cast<int>(std::ceil(around.height)) + 2 * margin + 1) &
                       cv::Rect({0, 0}, photo_px);
  if (box.empty()) return {};
  // A pixel is covered when its centre lies within the radius of the stroke; sixteenths of a pixel.
  constexpr int k_shift = 4;
  constexpr double k_fraction = 1 << k_shift;
  cv::Mat on(box.size(), CV_8UC1, cv::Scalar(0));
  const auto fixed = [&](cv::Point2d p) {
    return cv::Point(cvRound((p.x - box.x) * k_fraction), cvRound((p.y - box.y) * k_fraction));
  };
  for (size_t i = 0; i < stroke_px.size(); ++i) {
    cv::circle(on, fixed(stroke_px[i]), cvRound(radius_px * k_fraction), 255, cv::FILLED,
               cv::LINE_8, k_shift);
    if (i > 0 && radius_px >= 0.75)
      cv::line(on, fixed(stroke_px[i - 1]), fixed(stroke_px[i]), 255,
               std::max(1, cvRound(2 * radius_px)), cv::LINE_8, k_shift);
  }
  return border_polygons(on, box.tl());
}

}  // namespace verdigrid
