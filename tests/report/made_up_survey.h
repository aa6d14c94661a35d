// A small photo and a survey of it, made up for the drawing tests: a 300 x 200 mm board at 2 px per
// mm, one finding of each class, places on the first of them.
#pragma once

#include <opencv2/imgproc.hpp>
#include <string>

#include "measure/survey.h"

namespace verdigrid::made_up {

inline constexpr double k_px_per_mm = 2;

inline Photo photo() {
  Photo p;
  p.bgr = cv::Mat(480, 680, CV_8UC3, cv::Scalar(90, 90, 90));
  cv::rectangle(p.bgr, cv::Rect(40, 40, 600, 400), cv::Scalar(40, 90, 30), cv::FILLED);
  p.meta.name = "made up.png";
  return p;
}

inline Finding finding(int id, Residue residue, const cv::Rect& box) {
  Finding f;
  f.id = id;
  f.residue = residue;
  f.box_px = box;
  f.area_px = box.area();
  f.centre_px = cv::Point2d(box.x + (box.width - 1) / 2.0, box.y + (box.height - 1) / 2.0);
  f.confidence = 0.62;
  f.reason = "teal, matt, on solder joints";
  const double l = box.x - 0.5, t = box.y - 0.5, r = l + box.width, u = t + box.height;
  f.regions_px = {Polygon{{{l, t}, {r, t}, {r, u}, {l, u}}, {}}};
  return f;
}

inline Rectification rectification(int turn_deg = 0) {
  Rectification r;
  r.way = ScaleWay::board_size_corners;
  r.turn_deg = turn_deg;
  r.photo_size_px = {680, 480};
  r.outline_px.outer = {{39.5, 39.5}, {639.5, 39.5}, {639.5, 439.5}, {39.5, 439.5}};
  r.outline_board.outer = {{0, 0}, {300, 0}, {300, 200}, {0, 200}};
  r.board_from_photo_px = {0.5, 0, -19.75, 0, 0.5, -19.75, 0, 0, 1};
  r.px_per_mm = Interval{k_px_per_mm, 1.98, 2.02};
  return r;
}

// `findings`: how many of the seven classes are found.
inline Survey survey(int findings, int turn_deg = 0) {
  Survey s;
  s.program_version = "1.2.3";
  s.detector_id = "made up";
  s.photo = photo().meta;
  s.photo_size_px = {680, 480};
  s.rectification = rectification(turn_deg);
  s.zones.has_mm = true;
  s.zones.grid = grid_over({0, 0, 300, 200}, true);
  s.zones.total.unseen.total_percent = 3.4;
  for (int i = 0; i < findings; ++i) {
    const cv::Rect box(70 + 80 * i, 100 + 30 * i, 40, 36);
    s.findings.findings.push_back(finding(i + 1, k_residues[static_cast<size_t>(i)], box));
    s.findings.places.push_back({i + 1, box + cv::Size(20, 20), {i + 1}, 1.0 / (i + 1)});
    Amount& amount = s.zones.total.by_class[static_cast<size_t>(i) + 1];
    amount = {box.area(), {360, 340, 380}, {0.6, 0.57, 0.63}};
  }
  return s;
}

}  // namespace verdigrid::made_up
