// Another lamp is not a change: the photo after brought to the light and colours of the photo
// before, on what did not change; and where the two still differ in look.
//
// Works at a reduced size. Model, per channel: log(before) = slope x log(after) + a quadratic in x
// and y, fitted with Tukey's biweight to block means, so that a lamp, a white balance, an exposure
// and a camera's contrast go and changed places do not pull. Lab is float, L 0..100. May be called
// from any thread.
#pragma once

#include <array>
#include <opencv2/core.hpp>

#include "base/work.h"
#include "compare/alignment.h"
#include "compare/point_map.h"

namespace verdigrid {

struct Harmony {
  // Per channel B, G, R: slope, then the terms 1, u, v, uu, uv, vv of u, v = px / longer side of
  // the photo before, -0.5..0.5 about its middle.
  std::array<std::array<double, 7>, 3> terms{};
  double rest_lab = 0;  // what is left on unchanged places, CIE 1976 difference, robust rms
  bool operator==(const Harmony&) const = default;
};

struct LookChangeOptions {
  int long_side_px = 1600;      // of the photo before at which looks are compared, 200..4000
  double least_difference = 5;  // CIE 1976 difference below which a look is the same, above 0
  double noise_factor = 3;      // and at least so many times what is left on unchanged places
  int slack_px = 2;             // places are compared within so many reduced px, 0..20
  void check() const;           // throws Error{wrong_use} naming the field
};

struct LookChange {
  Harmony harmony;
  double scale = 1;       // reduced px per px of the photo before
  cv::Mat before, after;  // CV_8UC3 BGR, reduced; `after` aligned and harmonised, black outside
  cv::Mat in_both;        // CV_8UC1 0 or 255: both photos show it
  // CV_8UC1 0 or 255: the photo before has a look there that the photo after has nowhere near
  // (something went), and the other way round (something came).
  cv::Mat went, came;
  double threshold = 0;  // the difference that counted
};

// Reduced px per px of the photo before.
double look_scale_of(cv::Size before_px, const LookChangeOptions& options);

// `left_out` CV_8UC1, of any size that shows the whole photo before, or empty: non-zero where
// residue lies in one of the two, and outside the board; left out of the fit.
LookChange look_change(const cv::Mat& before_bgr, const cv::Mat& after_bgr,
                       const Alignment& alignment, const cv::Mat& left_out,
                       const LookChangeOptions& options = {}, const Work& work = {});

// The alignment for a reduced or full size of the photo before.
PointMap reduced_map(const Alignment& alignment, cv::Size size);

// The photo after as seen from the photo before: `size` is a reduced or full size of the photo
// before. Outside black. Harmonised when `harmony` is given.
cv::Mat aligned_after(const cv::Mat& after_bgr, const Alignment& alignment, cv::Size size,
                      const Harmony* harmony);

}  // namespace verdigrid
