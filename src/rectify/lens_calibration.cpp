#include <fmt/format.h>

#include <algorithm>
#include <opencv2/calib3d.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "rectify/lens_file.h"

namespace verdigrid {

namespace {

std::vector<cv::Point3f> square_grid(const LensOptions& options) {
  std::vector<cv::Point3f> grid;
  for (int y = 0; y < options.inner_corners.height; ++y)
    for (int x = 0; x < options.inner_corners.width; ++x)
      grid.emplace_back(static_cast<float>(x * options.square_mm),
                        static_cast<float>(y * options.square_mm), 0.F);
  return grid;
}

// Least distance between neighbouring corners, so that the refinement window holds one corner only.
double corner_pitch_px(const std::vector<cv::Point2f>& corners, int columns) {
  double least = 1e9;
  for (size_t i = 0; i + 1 < corners.size(); ++i)
    if ((i + 1) % static_cast<size_t>(columns) != 0)
      least = std::min(least, cv::norm(corners[i + 1] - corners[i]));
  return least;
}

Lens fitted_lens(const std::vector<std::vector<cv::Point2f>>& seen, cv::Size size,
                 const LensOptions& options) {
  const std::vector<std::vector<cv::Point3f>> board(seen.size(), square_grid(options));
  cv::Mat camera, distortion;
  std::vector<cv::Mat> turns, shifts;
  Lens lens;
  lens.rms_px = cv::calibrateCamera(board, seen, size, camera, distortion, turns, shifts);
  lens.camera = cv::Matx33d(camera);
  lens.distortion.assign(distortion.begin<double>(), distortion.begin<double>() + 5);
  lens.photo_size_px = size;
  return lens;
}

}  // namespace

void LensOptions::check() const {
  if (inner_corners.width < 3 || inner_corners.height < 3)
    throw Error(ErrorKind::wrong_use,
                "The chessboard needs at least 3x3 inner corners; count where four squares meet.");
  if (!(square_mm > 0))
    throw Error(ErrorKind::wrong_use, "The chessboard's square must have a positive size in mm.");
  if (least_photos < 3)
    throw Error(ErrorKind::wrong_use, "At least 3 photos are needed for a lens calibration.");
  if (!(most_rms_px > 0))
    throw Error(ErrorKind::wrong_use,
                "The largest residual of a lens calibration must be positive.");
}

std::vector<cv::Point2d> chessboard_corners(const Photo& photo, const LensOptions& options) {
  cv::Mat grey, small;
  cv::cvtColor(photo.bgr, grey, cv::COLOR_BGR2GRAY);
  constexpr double k_search_long_side_px = 1600;
  const double scale = std::max(1.0, std::max(grey.cols, grey.rows) / k_search_long_side_px);
  if (scale > 1)
    cv::resize(grey, small, {}, 1 / scale, 1 / scale, cv::INTER_AREA);
  else
    small = grey;
  std::vector<cv::Point2f> corners;
  if (!cv::findChessboardCorners(
          small, options.inner_corners, corners,
          cv::CALIB_CB_ADAPTIVE_THRESH | cv::CALIB_CB_NORMALIZE_IMAGE | cv::CALIB_CB_FAST_CHECK))
    return {};
  for (cv::Point2f& p : corners)
    p = (p + cv::Point2f(0.5F, 0.5F)) * static_cast<float>(scale) - cv::Point2f(0.5F, 0.5F);
  const int half = std::clamp(
      static_cast<int>(corner_pitch_px(corners, options.inner_corners.width) / 3), 2, 11);
  cv::cornerSubPix(grey, corners, {half, half}, {-1, -1},
                   cv::TermCriteria(cv::TermCriteria::COUNT | cv::TermCriteria::EPS, 60, 0.001));
  return {corners.begin(), corners.end()};
}

LensCalibration calibrated_lens(const std::vector<Photo>& photos, const LensOptions& options,
                                const Work& work) {
  options.check();
  LensCalibration result;
  std::vector<std::vector<cv::Point2f>> seen;
  for (size_t i = 0; i < photos.size(); ++i) {
    work.check();
    work.report(static_cast<double>(i) / static_cast<double>(photos.size()));
    if (photos[i].size_px() != photos[0].size_px())
      throw Error(
          ErrorKind::bad_input,
          fmt::format("{} has {}x{} px, {} has {}x{} px; calibrate a lens with photos of one "
                      "size and orientation.",
                      photos[i].meta.name, photos[i].bgr.cols, photos[i].bgr.rows,
                      photos[0].meta.name, photos[0].bgr.cols, photos[0].bgr.rows));
    const std::vector<cv::Point2d> corners = chessboard_corners(photos[i], options);
    (corners.empty() ? result.not_used : result.used).push_back(photos[i].meta.name);
    if (corners.empty()) continue;
    result.corners_px.push_back(corners);
    seen.emplace_back(corners.begin(), corners.end());
  }
  if (static_cast<int>(seen.size()) < options.least_photos)
    throw Error(ErrorKind::no_result,
                fmt::format("The chessboard with {}x{} inner corners was found whole on {} of {} "
                            "photos; {} are needed. Fill the frame with it, at different slants.",
                            options.inner_corners.width, options.inner_corners.height, seen.size(),
                            photos.size(), options.least_photos));
  result.lens = fitted_lens(seen, photos[0].size_px(), options);
  const double allowed_px = options.most_rms_px * std::max(1.0, photos[0].bgr.cols / 1000.0);
  if (!(result.lens.rms_px <= allowed_px))
    throw Error(
        ErrorKind::no_result,
        fmt::format("The lens calibration is off by {:.2f} px rms, more than {:.2f} px; use "
                    "sharp photos of a flat chessboard, all with one zoom setting.",
                    result.lens.rms_px, allowed_px));
  work.report(1);
  return result;
}

}  // namespace verdigrid
