#include "tests/measure/sample_survey.h"

#include <cmath>
#include <limits>

#include "layout/layout.h"
#include "tests/measure/drawn.h"

namespace verdigrid {

namespace {

PhotoMeta photo_meta() {
  PhotoMeta meta;
  meta.name = "front, \"arrival\" \xc3\xa9.jpg";
  meta.sha256 = std::string(64, 'a');
  meta.format = "JPEG";
  meta.stored_size_px = {225, 300};
  meta.exif_orientation = 6;
  meta.captured_at = "1999-12-31 23:59:59";
  meta.camera = "Box camera";
  return meta;
}

PhotoCheck photo_check_result() {
  PhotoCheck check;
  check.verdict = Verdict::usable;
  check.items = {{"focus", 1.0 / 3, "px", 1, 2, "own rule", Verdict::usable,
                  "The corner at the top left is soft: hold the camera parallel to the board."},
                 {"resolution", std::numeric_limits<double>::quiet_NaN(), "px per mm", 5,
                  std::numeric_limits<double>::infinity(), "own rule", Verdict::unknown,
                  "No scale is known."}};
  check.hidden = cv::Mat::zeros(45, 60, CV_8UC1);
  check.hidden(cv::Rect(20, 10, 7, 5)).setTo(1);
  check.hidden(cv::Rect(24, 12, 9, 9)) |= 2;
  check.hidden_scale = 0.2;
  return check;
}

// One finding per disc, with its pixels' outline as whole-pixel rows.
Finding finding_of(int id, Residue residue, const cv::Mat& labels, cv::Mat& ids) {
  Finding f;
  f.id = id;
  f.residue = residue;
  f.confidence = 0.1 + 0.7 / id;
  f.reason = "teal, matt, 41 from the board's own green";
  cv::Point2d sum;
  cv::Rect box;
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x)
      if (labels.at<std::uint8_t>(y, x) == static_cast<int>(residue)) {
        ids.at<std::uint16_t>(y, x) = static_cast<std::uint16_t>(id);
        sum += cv::Point2d(x, y);
        ++f.area_px;
        box |= cv::Rect(x, y, 1, 1);
        f.regions_px.push_back(
            {{{x - 0.5, y - 0.5}, {x + 0.5, y - 0.5}, {x + 0.5, y + 0.5}, {x - 0.5, y + 0.5}}, {}});
      }
  f.box_px = box;
  f.centre_px = sum / static_cast<double>(f.area_px);
  return f;
}

Findings findings_in(const cv::Mat& labels) {
  Findings out;
  out.finding_of_px = cv::Mat::zeros(labels.size(), CV_16UC1);
  int id = 0;
  for (const Residue r : {Residue::copper_salt, Residue::attacked_joint})
    out.findings.push_back(finding_of(++id, r, labels, out.finding_of_px));
  out.places = {{1, {100, 60, 64, 64}, {2}, 7.25}, {2, {20, 20, 80, 80}, {1}, 0.1}};
  return out;
}

Layout sample_layout() {
  Layout layout;
  layout.board_type = "drawn, \"A\"";
  layout.revision = "2";
  Part can;
  can.designator = "C1";
  can.kind = PartKind::aluminium_radial;
  can.centre = {27, 30};
  can.body = {5, 5};
  can.negative_end = NegativeEnd::left;
  can.joints = {{"1", {60, 40}, 1.5, true}, {"2", {65, 40}, 1.5, true}};
  Part far = can;
  far.designator = "U9";
  far.kind = PartKind::ic;
  far.side = Side::back;
  far.joints.clear();
  layout.parts = {can, far};
  Zone zone;
  zone.name = "power, \"left\"";
  zone.polygon = {{{10, 10}, {50, 10}, {50, 50}, {10, 50}}, {}};
  layout.zones = {zone};
  layout.holes = {{{31, 31}, 0.6, true}};
  return layout;
}

}  // namespace

Survey sample_survey() {
  Survey s;
  s.program_version = "0.1.0";
  s.detector_id = "drawn 1";
  s.photo = photo_meta();
  s.photo_size_px = {300, 225};
  s.rectification =
      rectification_of({.photo_px = s.photo_size_px, .tilt_deg = 7, .focal_px = 375, .k1 = -0.05});
  s.rectification.tilt_deg = 7.125;
  s.rectification.length_rel_sd = 0.003;
  s.rectification.remarks = {"A remark."};
  s.check = photo_check_result();
  const auto salt = disc({30, 30}, 4, Residue::copper_salt);
  const auto joint = disc({60, 40}, 1.5, Residue::attacked_joint);
  s.map.labels = labels_of(s.rectification, [&](cv::Point2d p) {
    return salt(p) == Residue::none ? joint(p) : salt(p);
  });
  s.map.confidence = s.map.labels * 31 + 3;
  s.findings = findings_in(s.map.labels);
  s.options.check.px_per_mm = s.rectification.px_per_mm->value;
  s.options.check.tilt_deg = 7.125;
  s.options.check.board_px = s.rectification.outline_px;
  s.options.measure.label_error.board[0] = {0.1, 0.2, 1e-4, 2e-4};
  s.options.measure.label_error.square[3] = {-0.1, 0.3, 0, 1.0 / 3};
  const Layout layout = sample_layout();
  s.options.measure.peeked = {"U9"};
  s.zones =
      zone_table({s.map.labels, s.findings.finding_of_px, s.check.hidden, s.check.hidden_scale},
                 s.rectification, layout, s.options.measure);
  s.layout = LayoutName{layout.board_type, layout.revision};
  s.sources = likely_sources(s.findings, s.rectification, layout, s.options.sources);
  s.other_side = other_side_looks(s.findings, s.rectification, layout, s.zones.grid);
  return s;
}

Survey empty_survey() {
  Survey s;
  s.program_version = "0.1.0";
  s.detector_id = "drawn 1";
  s.photo.name = "x.png";
  s.photo.sha256 = std::string(64, '0');
  s.photo.format = "PNG";
  s.photo_size_px = s.photo.stored_size_px = {32, 20};
  s.rectification.photo_size_px = s.photo_size_px;
  s.rectification.outline_is_frame = true;
  s.map.labels = s.map.confidence = cv::Mat::zeros(s.photo_size_px, CV_8UC1);
  s.zones = zone_table({s.map.labels, {}, {}, 1}, s.rectification, s.options.measure);
  return s;
}

}  // namespace verdigrid
