#include "tests/measure/drawn.h"

#include <cmath>
#include <numbers>

#include "base/error.h"

namespace verdigrid {

namespace {

double rad(double deg) { return deg * std::numbers::pi / 180; }

// Pinhole over the board plane: rotation about an in-plane axis through the board's middle.
cv::Matx33d photo_from_board(const DrawnView& v) {
  const double c = std::cos(rad(v.tilt_deg)), s = std::sin(rad(v.tilt_deg));
  const double ax = std::cos(rad(v.axis_deg)), ay = std::sin(rad(v.axis_deg));
  // Rodrigues' formula for the axis (ax, ay, 0), columns of x and y.
  const cv::Vec3d rx{ax * ax + ay * ay * c, ax * ay * (1 - c), -ay * s};
  const cv::Vec3d ry{ax * ay * (1 - c), ay * ay + ax * ax * c, ax * s};
  const cv::Vec3d middle{v.board_mm.width / 2, v.board_mm.height / 2, 0};
  const cv::Vec3d t = cv::Vec3d{0, 0, v.distance_mm} - rx * middle[0] - ry * middle[1];
  const cv::Matx33d camera{v.focal_px, 0,          (v.photo_px.width - 1) / 2.0,
                           0,          v.focal_px, (v.photo_px.height - 1) / 2.0,
                           0,          0,          1};
  return camera * cv::Matx33d{rx[0], ry[0], t[0], rx[1], ry[1], t[1], rx[2], ry[2], t[2]};
}

}  // namespace

Rectification rectification_of(const DrawnView& v, Side side) {
  Rectification r;
  r.way = ScaleWay::board_size_corners;
  r.side = side;
  r.photo_size_px = v.photo_px;
  r.board_from_photo_px = photo_from_board(v).inv();
  if (side == Side::back)  // mirrored about the vertical axis
    r.board_from_photo_px =
        cv::Matx33d{-1, 0, v.board_mm.width, 0, 1, 0, 0, 0, 1} * r.board_from_photo_px;
  if (v.k1 != 0)
    r.lens = Lens{{v.focal_px, 0, (v.photo_px.width - 1) / 2.0, 0, v.focal_px,
                   (v.photo_px.height - 1) / 2.0, 0, 0, 1},
                  {v.k1, 0, 0, 0, 0},
                  v.photo_px,
                  0};
  const double px_per_mm = v.focal_px / v.distance_mm;
  r.px_per_mm = Interval{px_per_mm, px_per_mm, px_per_mm};
  const double w = v.board_mm.width, h = v.board_mm.height;
  r.outline_board = {{{0, 0}, {w, 0}, {w, h}, {0, h}}, {}};
  for (const cv::Point2d p : r.outline_board.outer) r.outline_px.outer.push_back(photo_point(r, p));
  return r;
}

cv::Mat labels_of(const Rectification& r, const std::function<Residue(cv::Point2d)>& residue) {
  cv::Mat labels(r.photo_size_px, CV_8UC1);
  for (int y = 0; y < labels.rows; ++y) {
    std::vector<cv::Point2d> points;
    for (int x = 0; x < labels.cols; ++x) points.emplace_back(x, y);
    const std::vector<BoardPixel> row = board_pixels(r, points);
    for (int x = 0; x < labels.cols; ++x)
      labels.at<std::uint8_t>(y, x) =
          static_cast<std::uint8_t>(residue(row[static_cast<size_t>(x)].p_board));
  }
  return labels;
}

std::function<Residue(cv::Point2d)> disc(cv::Point2d centre_mm, double radius_mm, Residue residue) {
  return
      [=](cv::Point2d p) { return cv::norm(p - centre_mm) < radius_mm ? residue : Residue::none; };
}

const ZoneRow& square_row(const ZoneTable& table, const std::string& name) {
  for (const ZoneRow& row : table.squares)
    if (row.name == name) return row;
  throw Error(ErrorKind::internal, "the table has no square " + name);
}

}  // namespace verdigrid
