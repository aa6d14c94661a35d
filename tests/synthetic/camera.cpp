#include "synthetic/camera.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/error.h"

namespace verdigrid::synthetic {

namespace {

constexpr double k_deg = std::numbers::pi / 180;

void refuse(bool wrong, const char* field) {
  if (wrong)
    throw Error(ErrorKind::wrong_use, std::string("The rendered camera's ") + field +
                                          " is out of its range; see tests/synthetic/camera.h.");
}

cv::Matx33d about_z(double a) {
  return {std::cos(a), std::sin(a), 0, -std::sin(a), std::cos(a), 0, 0, 0, 1};
}

// Rotation that leans the plane by `tilt` about the in-plane axis at `direction` (radians).
cv::Matx33d leaning(double tilt, double direction) {
  const cv::Matx33d tip{
      1, 0, 0, 0, std::cos(tilt), -std::sin(tilt), 0, std::sin(tilt), std::cos(tilt)};
  return about_z(direction) * tip * about_z(-direction);
}

struct Pose {
  cv::Matx33d rotation;  // camera frame (x right, y down, z away) from plane frame (y down, z into)
  cv::Matx33d camera;
  cv::Size2d board;
  bool is_mirrored;
};

// Homography photo px from board mm with the board's centre at `offset_mm`, `distance_mm` away.
cv::Matx33d photo_from_board(const Pose& p, double distance_mm, cv::Point2d offset_mm) {
  const double mirror = p.is_mirrored ? -1 : 1;
  const cv::Matx33d centred{mirror, 0, -mirror * p.board.width / 2, 0, 1, -p.board.height / 2, 0,
                            0,      1};
  cv::Matx33d columns;
  for (int r = 0; r < 3; ++r) {
    columns(r, 0) = p.rotation(r, 0);
    columns(r, 1) = p.rotation(r, 1);
    columns(r, 2) = r == 0 ? offset_mm.x : r == 1 ? offset_mm.y : distance_mm;
  }
  return p.camera * columns * centred;
}

Ring corners(cv::Size2d s) { return {{0, 0}, {s.width, 0}, {s.width, s.height}, {0, s.height}}; }

// Distance at which the outline takes `fill` of the frame (bisection; bigger distance, less fill).
double distance_for(const Pose& pose, const CameraSpec& c) {
  const double longest = std::max(pose.board.width, pose.board.height);
  double near = longest * 0.3, far = longest * 60;
  for (int i = 0; i < 60; ++i) {
    const double d = (near + far) / 2;
    const cv::Rect2d box =
        bounding_box(mapped(photo_from_board(pose, d, {0, 0}), corners(pose.board)));
    const double fill = std::max(box.width / c.photo_px.width, box.height / c.photo_px.height);
    (fill > c.fill ? near : far) = d;
  }
  return (near + far) / 2;
}

}  // namespace

const char* name(Background b) {
  constexpr const char* names[]{"desk", "wood", "mat", "paper", "cloth", "dark"};
  return names[static_cast<int>(b)];
}

void CameraSpec::check() const {
  refuse(photo_px.width < 16 || photo_px.height < 16 || photo_px.width > 20000 ||
             photo_px.height > 20000,
         "photo_px");
  refuse(!(fill > 0.05 && fill <= 20), "fill");
  refuse(!(tilt_deg >= 0 && tilt_deg <= 30), "tilt_deg");
  refuse(!(focal_share >= 0.4 && focal_share <= 10), "focal_share");
  refuse(!(std::abs(k1) <= 0.3 && std::abs(k2) <= 0.3), "k1 or k2");
  refuse(!(height_scale >= 0 && height_scale <= 2), "height_scale");
  refuse(!(vignetting >= 0 && vignetting < 1), "vignetting");
  refuse(!(std::abs(light_slope) < 1), "light_slope");
  refuse(!(light_elevation_deg >= 10 && light_elevation_deg <= 90), "light_elevation_deg");
  refuse(!(direct_share >= 0 && direct_share <= 1), "direct_share");
  refuse(!(defocus_px >= 0 && defocus_px <= 30 && defocus_slope_px >= 0 && defocus_slope_px <= 30),
         "defocus_px or defocus_slope_px");
  refuse(!(metering >= 0 && metering <= 1), "metering");
  refuse(!(noise >= 0 && noise <= 0.2), "noise");
  refuse(jpeg_quality < 0 || jpeg_quality > 100, "jpeg_quality");
}

CameraSpec flat_camera(cv::Size photo_px) {
  CameraSpec c;
  c.photo_px = photo_px;
  c.height_scale = c.vignetting = c.light_slope = c.direct_share = c.gloss = c.contrast = 0;
  c.defocus_px = c.noise = 0;
  c.jpeg_quality = 0;
  return c;
}

View view_of(const CameraSpec& c, cv::Size2d board_mm, Side side) {
  c.check();
  const double focal = c.focal_share * std::max(c.photo_px.width, c.photo_px.height);
  const cv::Matx33d camera{
      focal, 0, (c.photo_px.width - 1) / 2.0, 0, focal, (c.photo_px.height - 1) / 2.0, 0, 0, 1};
  const Pose pose{
      leaning(c.tilt_deg * k_deg, c.tilt_direction_deg * k_deg) * about_z(c.rotation_deg * k_deg),
      camera, board_mm, side == Side::back};
  const double distance = distance_for(pose, c);
  const cv::Point2d offset{c.shift.x * c.photo_px.width * distance / focal,
                           c.shift.y * c.photo_px.height * distance / focal};
  const cv::Matx33d h = photo_from_board(pose, distance, offset);
  View v;
  v.board_mm_from_photo_px = h.inv();
  v.lens = {camera, {c.k1, c.k2, 0, 0, 0}, c.photo_px, 0};
  // The eye in the plane frame is -R^T t; its z runs into the board, so up is -z.
  const cv::Vec3d eye = pose.rotation.t() * cv::Vec3d(-offset.x, -offset.y, -distance);
  const double mirror = pose.is_mirrored ? -1 : 1;
  v.eye_mm = {board_mm.width / 2 + mirror * eye[0], board_mm.height / 2 + eye[1], -eye[2]};
  const cv::Point2d centre{board_mm.width / 2, board_mm.height / 2};
  v.px_per_mm = std::sqrt(local_area_scale(h, centre));
  v.tilt_deg = c.tilt_deg;
  return v;
}

cv::Point2d seen_px(const View& v, cv::Point2d p) {
  const cv::Matx33d& k = v.lens.camera;
  const double x = (p.x - k(0, 2)) / k(0, 0), y = (p.y - k(1, 2)) / k(1, 1), r2 = x * x + y * y;
  const double s = 1 + r2 * (v.lens.distortion[0] + r2 * v.lens.distortion[1]);
  return {k(0, 0) * x * s + k(0, 2), k(1, 1) * y * s + k(1, 2)};
}

cv::Point2d undistorted_px(const View& v, cv::Point2d p) {
  const cv::Matx33d& k = v.lens.camera;
  const double xd = (p.x - k(0, 2)) / k(0, 0), yd = (p.y - k(1, 2)) / k(1, 1);
  double x = xd, y = yd;
  for (int i = 0; i < 50; ++i) {
    const double r2 = x * x + y * y,
                 s = 1 + r2 * (v.lens.distortion[0] + r2 * v.lens.distortion[1]);
    x = xd / s;
    y = yd / s;
  }
  return {k(0, 0) * x + k(0, 2), k(1, 1) * y + k(1, 2)};
}

cv::Point2d photo_px_of(const View& v, cv::Point2d board_mm) {
  return seen_px(v, mapped(v.board_mm_from_photo_px.inv(), board_mm));
}

cv::Point2d board_mm_of(const View& v, cv::Point2d seen) {
  return mapped(v.board_mm_from_photo_px, undistorted_px(v, seen));
}

}  // namespace verdigrid::synthetic
