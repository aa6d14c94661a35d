// Connected patches of one suspected class on the working image, and what can be measured on each:
// the figures from which the first method judges whether a patch looks like residue.
//
// Units: px and colours of the working image (see working_image.h). May be called from any thread.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "detect/working_image.h"

namespace verdigrid {

struct Patch {
  cv::Rect box_px;
  int id = 0;  // in PatchMap::ids
  long area_px = 0;
  double share_of_board = 0;
  cv::Vec3f lab;  // mean
  double lightness_sd = 0;
  double chroma = 0, chroma_sd = 0, chroma_peak = 0;  // flattened (flattened_chroma)
  double hue_deg = 0;                                 // circular mean, 0..360
  double hue_sd_deg = 0;
  double contrast = 0, contrast_peak = 0;  // see SuspectMap
  double fine_texture = 0;                 // rms lightness of detail below about 1.5 px
  double colour_texture = 0;               // the same for a and b together
  double solidity = 0;     // area / area of the convex hull (pixel-centre hull: may exceed 1)
  double slenderness = 0;  // short side / long side of the least rectangle, 0..1
  double own_share = 0;    // how common its colours are on this board, 0..1 (see OwnColours)
};

// CV_8UC1: bit 0 may belong to a patch, bit 1 is a seed (a patch needs k_least_seeds of them).
// `contrast` CV_32FC1: how far the colour departs from its surroundings toward the suspected class.
struct SuspectMap {
  cv::Mat bits;
  cv::Mat contrast;
};

struct PatchMap {
  std::vector<Patch> patches;
  cv::Mat ids;  // CV_32SC1, 0 none; ids that are not in `patches` were too small
};

// How common each chroma is on this board: shares of a 32 x 32 histogram of flattened chroma (4
// units a side) over the board, lightly smoothed.
class OwnColours {
 public:
  explicit OwnColours(const WorkingImage& image);
  float share(const cv::Point2f& chroma) const;

 private:
  cv::Mat shares_;  // CV_32FC1, 32 x 32
};

// Mean square of the detail below about 1.5 px that the photo has everywhere: camera noise. From
// the median over the board, which parts and edges do not move.
struct Noise {
  double lightness2 = 0, colour2 = 0;
};
Noise noise_of(const WorkingImage& image, const cv::Mat& smooth_lab);

PatchMap patches_of(const WorkingImage& image, const cv::Mat& smooth_lab, const OwnColours& own,
                    const SuspectMap& suspects, long least_area_px);

}  // namespace verdigrid
