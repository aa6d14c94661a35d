// Lens calibration: from photos of a chessboard to a Lens, and its file.
//
// Z. Zhang, "A flexible new technique for camera calibration", IEEE PAMI 22(11), 2000, 1330-1334,
// through OpenCV. May be called from any thread.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "base/work.h"
#include "photo/photo.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct LensOptions {
  cv::Size inner_corners{9, 6};  // of the chessboard, columns x rows
  double square_mm = 25;
  int least_photos = 5;      // on which the chessboard is found
  double most_rms_px = 2.0;  // of the fit at 1000 px photo width and more; above it: refused

  void check() const;
};

struct LensCalibration {
  Lens lens;
  std::vector<std::string> used, not_used;           // names of the photos
  std::vector<std::vector<cv::Point2d>> corners_px;  // of the used ones, row by row
};

// Inner corners of the chessboard, row by row, to sub-pixel; empty when it is not found whole.
std::vector<cv::Point2d> chessboard_corners(const Photo& photo, const LensOptions& options);

// All photos must have one size. Throws Error{bad_input} for mixed sizes, Error{no_result} when too
// few show the chessboard or the fit is poor.
LensCalibration calibrated_lens(const std::vector<Photo>& photos, const LensOptions& options = {},
                                const Work& work = {});

// JSON of format "verdigrid-lens", version 1. load throws Error{bad_input}, or Error{storage} for a
// newer version.
std::string lens_json(const Lens& lens);
Lens lens_from_json(std::string_view text, const std::string& name);
void save_lens(const std::filesystem::path& path, const Lens& lens);
Lens load_lens(const std::filesystem::path& path);

}  // namespace verdigrid
