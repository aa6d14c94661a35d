// A rendered photo of an invented board, with its truth. Include this one in tests:
//
//   const auto s = synthetic::shot(synthetic::random_board(7), synthetic::random_camera(7, {640,
//   480})); survey_of(photo_of(s), rectification_from(s.truth), ...)  against  s.truth.area_mm2
//
// Cost: about 0.2 s for a 640x480 photo of a 150x100 mm board, in proportion to the pixels. May be
// called from any thread; the same specs give the same bytes on any number of threads.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "photo/photo.h"
#include "synthetic/board.h"
#include "synthetic/camera.h"
#include "synthetic/generate.h"

namespace verdigrid::synthetic {

struct Truth {
  View view;
  Side side = Side::front;
  cv::Size photo_size_px;
  // Residue ids at photo px, CV_8UC1: `labels` is the board plane's nearest label (areas come out
  // right: it looks through parts that lean over a place); `seen_labels` that of what the photo
  // shows there.
  cv::Mat labels;
  cv::Mat seen_labels;
  cv::Mat board;       // CV_8UC1 0 or 255: the board plane inside the outline
  cv::Mat glare;       // CV_8UC1 0 or 255: so much mirrored light that no colour is left
  cv::Mat blur;        // CV_8UC1 0 or 255: blurred by more than 1.5 px (sigma)
  cv::Mat parts;       // CV_8UC1 0 or 255: a part taller than 0.5 mm is seen there
  Polygon outline_px;  // as seen, distorted
  Polygon outline_mm;
  double px_per_mm = 0;  // at the outline's centre
  AreaByClass area_mm2{};
  std::vector<SquareArea> squares;
  Grid grid;
  std::vector<PlacedPart> parts_mm;  // fitted ones, both sides
  std::vector<ReachedPart> reached;
  std::vector<RoundHole> holes;

  double residue_area_mm2() const;
};

struct Shot {
  cv::Mat bgr;  // CV_8UC3 sRGB, after the JPEG round trip where one was asked for
  Truth truth;
};

// `board` may be rendered once and photographed often.
Shot shot(const Board& board, const CameraSpec& camera);

// Renders the board at 1.3 times the photo's px per mm (1 to 60).
Shot shot(const BoardSpec& spec, const CameraSpec& camera);

// A Photo as the decoder would give it, named `name`.
Photo photo_of(const Shot& shot, const std::string& name = "rendered.jpg");

// The rectification that a perfect outline finder would give: way board_size_outline, scale exact.
// `length_rel_sd` and `edge_sd_px` are those that the caller wants to be told.
Rectification rectification_from(const Truth& truth, double length_rel_sd = 0.0,
                                 double edge_sd_px = 0.5);

}  // namespace verdigrid::synthetic
