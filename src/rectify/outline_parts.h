// The steps of outline finding; used inside this folder only.
//
// "Picture px" are px of the photo reduced to a working size; pixel (0,0) has its centre at (0,0)
// in both, so a point moves by (p + 0.5) * scale - 0.5.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "base/geometry.h"
#include "rectify/outline.h"

namespace verdigrid {

// The photo at a working size: CV_8UC3 and as float Lab (CV_32FC3).
struct LabPicture {
  cv::Mat bgr, lab;
  double scale = 1;  // photo px per picture px
};

LabPicture lab_picture(const cv::Mat& bgr, int long_side_px);

cv::Point2d photo_from_picture(cv::Point2d p, double scale);
Ring scaled_ring(const Ring& ring_px, double from_scale, double to_scale);

// The photo's own colours, grouped: every pixel belongs to one of at most k_palette_size groups of
// colour and texture.
inline constexpr int k_palette_size = 32;
struct Palette {
  std::vector<cv::Vec4f> centres;  // L a b texture, weighted
};

// How much likelier a colour group is on the background than on the board, natural logarithm.
using GroupOdds = std::vector<float>;

struct BoardGuess {
  Ring outline;               // picture px of the guessing picture
  GroupOdds background_odds;  // per palette group
  double prior = 1;           // how much this kind of guess is trusted before it is looked at
  double frame_share = 0;     // of the outline's length that runs along the photo's frame
};

struct Guesses {
  LabPicture picture;
  Palette palette;
  cv::Mat groups;  // CV_8UC1, group of each pixel of `picture`
  std::vector<BoardGuess> boards;
};

Guesses board_guesses(const LabPicture& picture, const OutlineOptions& options);

// Morphology with an octagon on maps of 0 and 255. Beyond the picture there is nothing for grown,
// more of the same for shrunk.
cv::Mat grown(const cv::Mat& map, int radius_px);
cv::Mat shrunk(const cv::Mat& map, int radius_px);
cv::Mat opened(const cv::Mat& map, int radius_px);
cv::Mat closed(const cv::Mat& map, int radius_px);

// Pixels whose colour is that of the board's solder mask, 0 or 255.
cv::Mat solder_mask_pixels(const cv::Mat& groups, const Palette& palette, const cv::Mat& board,
                           const GroupOdds& odds);

// `board` (0 or 255) without shadows and parts that reach over its edge.
struct TrimView {
  const cv::Mat& lab;
  const cv::Mat& groups;
  const Palette& palette;
  const GroupOdds& odds;
};
struct Trimmed {
  cv::Mat board;
  int tongues = 0;  // connector tongues seen and kept
};
Trimmed trimmed(const cv::Mat& board, const cv::Mat& solder_mask, const TrimView& view);

// The photo's most frequent hues, each as a map of its pixels (0 or 255).
std::vector<cv::Mat> colour_islands(const cv::Mat& groups, const Palette& palette);

// Group of one colour (texture 0 when it is not known).
cv::Vec4f palette_feature(const cv::Vec3f& lab, float texture);
int nearest_group(const Palette& palette, const cv::Vec4f& feature);

// Points at equal distances along a ring.
Ring resampled(const Ring& ring, double spacing);

// The ring moved along its normals, at most `reach_px` each way, to where colour changes most, as a
// smooth whole (dynamic programming; A. Amini, T. Weymouth, R. Jain, IEEE PAMI 12(9), 1990,
// 855-867).
Ring followed_edge(const Ring& ring, const cv::Mat& lab, int reach_px, double spacing_px);

// Straight runs replaced by fitted lines that meet in sharp corners; `tolerance_px` is how far a
// run may leave its line.
Ring straightened(const Ring& ring, double tolerance_px);

// Bites across which a main side goes on as a visible edge are closed.
Ring bridged(const Ring& ring, const cv::Mat& lab);

// Change of colour (Lab difference) across an edge at p; a thin line is none.
float edge_step(const cv::Mat& lab, cv::Point2d p, cv::Point2d outwards);

// What can be seen along an outline in a working picture, all 0..1, more is better.
struct OutlineEvidence {
  double edge = 0;         // share of the length with a clear change of colour
  double contrast = 0;     // how far inside and outside differ in colour groups
  double straight = 0;     // share of the length in long straight runs
  double rectangular = 0;  // area against that of the four main sides
  double inside = 0;       // share of the length that does not run along the photo's frame
  double busy = 0;         // parts and lines inside against outside
  double confidence = 0;
};
OutlineEvidence outline_evidence(const Ring& ring, const cv::Mat& lab);

}  // namespace verdigrid
