#include "synthetic/shot.h"

#include <numeric>
#include <opencv2/core/utility.hpp>

#include "base/error.h"
#include "synthetic/develop.h"
#include "synthetic/scene.h"

namespace verdigrid::synthetic {

namespace {

constexpr double k_oversample = 1.3;  // board px per photo px
constexpr double k_blurred_px = 1.5;
constexpr float k_glare_share = 0.55f, k_glare_light = 0.5f;
constexpr double k_mid_grey = 0.18;

// Share of the light that reaches the sensor: vignetting (cos^4 like, by radius) and uneven light.
float falloff(const CameraSpec& c, cv::Point2d lamp_side, int x, int y) {
  const double u = (x + 0.5) / c.photo_px.width - 0.5, v = (y + 0.5) / c.photo_px.height - 0.5;
  const double r2 = (u * u + v * v) * 2;
  const double slope = 1 + c.light_slope * 2 * (u * lamp_side.x - v * lamp_side.y);
  return static_cast<float>((1 - c.vignetting * r2) * slope);
}

// Even-odd with a short cut for what is well inside or outside a rounded rectangle.
bool is_on_board(const Polygon& outline, cv::Size2d size, double corner_mm, cv::Point2d p) {
  if (p.x < 0 || p.y < 0 || p.x > size.width || p.y > size.height) return false;
  const bool is_middle = p.x > corner_mm && p.x < size.width - corner_mm;
  return is_middle || contains(outline, p);
}

struct Frames {
  cv::Mat light;     // CV_32FC3
  cv::Mat mirrored;  // CV_8UC1, share of mirrored light
  Truth* truth;
};

void render_row(const Scene& scene, const CameraSpec& c, const View& view, const Board& board,
                Frames f, int y) {
  const cv::Matx33d& h = view.board_mm_from_photo_px;
  const cv::Matx33d& k = view.lens.camera;
  const double k1 = view.lens.distortion[0], k2 = view.lens.distortion[1];
  Truth& t = *f.truth;
  const double azimuth = c.light_azimuth_deg * CV_PI / 180;
  const cv::Point2d lamp_side{std::cos(azimuth), std::sin(azimuth)};
  double bend = 1;  // of the pixel before: a good first guess
  for (int x = 0; x < c.photo_px.width; ++x) {
    const double xd = (x - k(0, 2)) / k(0, 0), yd = (y - k(1, 2)) / k(1, 1);
    for (int i = x == 0 ? 40 : 6; i > 0 && (k1 != 0 || k2 != 0); --i) {
      const double r2 = (xd * xd + yd * yd) / (bend * bend);
      bend = 1 + r2 * (k1 + r2 * k2);
    }
    const cv::Vec3d p =
        h * cv::Vec3d(k(0, 0) * xd / bend + k(0, 2), k(1, 1) * yd / bend + k(1, 2), 1);
    const cv::Point2d plane{p[0] / p[2], p[1] / p[2]};
    const Radiance r = scene.radiance(scene.hit(plane));
    const float share = falloff(c, lamp_side, x, y);
    f.light.at<cv::Vec3f>(y, x) = r.bgr * share;
    t.labels.at<uchar>(y, x) = static_cast<uchar>(scene.plane_label(plane));
    t.seen_labels.at<uchar>(y, x) = static_cast<uchar>(r.label);
    t.board.at<uchar>(y, x) =
        is_on_board(board.outline_mm, board.spec.size_mm, board.spec.corner_mm, plane) ? 255 : 0;
    f.mirrored.at<uchar>(y, x) = static_cast<uchar>(r.mirrored * 255);
    t.parts.at<uchar>(y, x) = r.height_mm > 0.5f ? 255 : 0;
  }
}

void mark_blur(const CameraSpec& c, cv::Mat& blur) {
  for (int y = 0; y < blur.rows; ++y)
    for (int x = 0; x < blur.cols; ++x)
      if (defocus_at(c, {double(x), double(y)}) > k_blurred_px) blur.at<uchar>(y, x) = 255;
}

double mean_light(const cv::Mat& light) {
  double sum = 0;
  for (int y = 0; y < light.rows; ++y)
    for (int x = 0; x < light.cols; ++x) {
      const auto& v = light.at<cv::Vec3f>(y, x);
      sum += std::min(0.2126 * v[2] + 0.7152 * v[1] + 0.0722 * v[0], 1.5);
    }
  return sum / static_cast<double>(light.total());
}

// Where so much mirrored light arrives that no colour is left.
void mark_glare(const Frames& f, double gain) {
  for (int y = 0; y < f.light.rows; ++y)
    for (int x = 0; x < f.light.cols; ++x) {
      const auto& v = f.light.at<cv::Vec3f>(y, x);
      const double level = gain * (v[0] + v[1] + v[2]) / 3;
      const bool is_glare =
          f.mirrored.at<uchar>(y, x) > k_glare_share * 255 && level > k_glare_light;
      f.truth->glare.at<uchar>(y, x) = is_glare ? 255 : 0;
    }
}

// The outline as the lens bends it: edges cut into short pieces.
Polygon seen_outline(const View& view, const Polygon& outline) {
  Polygon seen;
  const Ring& ring = outline.outer;
  for (size_t i = 0; i < ring.size(); ++i) {
    const cv::Point2d a = ring[i], b = ring[(i + 1) % ring.size()];
    const int pieces = std::max(1, static_cast<int>(cv::norm(b - a) * view.px_per_mm / 20));
    for (int k = 0; k < pieces; ++k)
      seen.outer.push_back(photo_px_of(view, a + (b - a) * (double(k) / pieces)));
  }
  seen.outer = clockwise(seen.outer);
  return seen;
}

Truth blank_truth(const Board& b, const CameraSpec& c, const View& view) {
  Truth t;
  t.view = view;
  t.side = b.spec.side;
  t.photo_size_px = c.photo_px;
  for (cv::Mat* m : {&t.labels, &t.seen_labels, &t.board, &t.glare, &t.blur, &t.parts})
    *m = cv::Mat(c.photo_px, CV_8UC1, cv::Scalar::all(0));
  t.outline_mm = b.outline_mm;
  t.outline_px = seen_outline(view, b.outline_mm);
  t.px_per_mm = view.px_per_mm;
  t.area_mm2 = b.area_mm2;
  t.squares = b.squares;
  t.grid = b.grid;
  t.reached = b.reached;
  t.holes = b.holes;
  for (const PlacedPart& p : b.spec.parts)
    if (b.spec.is_fitted(p)) t.parts_mm.push_back(p);
  return t;
}

}  // namespace

double Truth::residue_area_mm2() const {
  return std::accumulate(area_mm2.begin(), area_mm2.end(), 0.0);
}

Shot shot(const Board& board, const CameraSpec& camera) {
  const View view = view_of(camera, board.spec.size_mm, board.spec.side);
  Shot s{{}, blank_truth(board, camera, view)};
  const Scene scene(board, camera, view);
  Frames frames{cv::Mat(camera.photo_px, CV_32FC3), cv::Mat(camera.photo_px, CV_8UC1), &s.truth};
  cv::parallel_for_(cv::Range(0, camera.photo_px.height), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) render_row(scene, camera, view, board, frames, y);
  });
  CameraSpec metered = camera;
  metered.exposure_ev +=
      camera.metering * std::log2(k_mid_grey / std::max(mean_light(frames.light), 1e-4));
  if (camera.defocus_px + camera.defocus_slope_px > k_blurred_px) mark_blur(camera, s.truth.blur);
  mark_glare(frames, std::exp2(metered.exposure_ev));
  s.bgr = developed(frames.light, metered);
  if (camera.jpeg_quality > 0) s.bgr = jpeg_round_trip(s.bgr, camera.jpeg_quality);
  return s;
}

Shot shot(const BoardSpec& spec, const CameraSpec& camera) {
  const View view = view_of(camera, spec.size_mm, spec.side);
  return shot(render_board(spec, std::clamp(view.px_per_mm * k_oversample, 1.0, 60.0)), camera);
}

Photo photo_of(const Shot& s, const std::string& name) {
  Photo p;
  p.bgr = s.bgr;
  p.meta.name = name;
  p.meta.format = "JPEG";
  p.meta.stored_size_px = s.bgr.size();
  p.meta.sha256 = std::string(64, '0');
  return p;
}

Rectification rectification_from(const Truth& t, double length_rel_sd, double edge_sd_px) {
  Rectification r;
  r.way = ScaleWay::board_size_outline;
  r.side = t.side;
  r.photo_size_px = t.photo_size_px;
  const bool is_bent = t.view.lens.distortion[0] != 0 || t.view.lens.distortion[1] != 0;
  if (is_bent) r.lens = t.view.lens;
  r.board_from_photo_px = t.view.board_mm_from_photo_px;
  const double half = 1.96 * length_rel_sd * t.px_per_mm;
  r.px_per_mm = Interval{t.px_per_mm, t.px_per_mm - half, t.px_per_mm + half};
  r.length_rel_sd = length_rel_sd;
  r.edge_sd_px = edge_sd_px;
  r.tilt_deg = t.view.tilt_deg;
  r.outline_px = t.outline_px;
  r.outline_board = t.outline_mm;
  return r;
}

}  // namespace verdigrid::synthetic
