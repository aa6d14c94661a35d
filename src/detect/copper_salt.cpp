#include "detect/copper_salt.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace verdigrid {
namespace {

// Membership that rises from 0 at `from` to 1 at `to` (falls when to < from).
double ramp(double v, double from, double to) {
  return std::clamp((v - from) / (to - from), 0., 1.);
}

// Copper salts lie at hue 140-300 (computed from USGS spectra, Kokaly et al. 2017: malachite
// 144-172, verdigris 201, chrysocolla 196-209, azurite 290); the part that green solder mask and
// blue sleeves own is left to contrast and texture.
constexpr float k_hue_from_deg = 158, k_hue_to_deg = 258;
constexpr float k_least_chroma = 7, k_least_flat_chroma = 9;
constexpr float k_grow_contrast = 5, k_seed_contrast = 9;
// Direction of more copper salt in the a b plane, from the hue of the blue-green salts.
constexpr float k_toward_a = -0.6F, k_toward_b = -0.8F;
constexpr double k_least_share = 3e-5, k_largest_share = 8e-3;

double unflattened_peak(const Patch& p) {
  return p.chroma_peak * (static_cast<double>(p.lab[0]) + 20) / 70;
}

}  // namespace

SuspectMap copper_salt_suspects(const WorkingImage& image, const cv::Mat& smooth) {
  SuspectMap map{cv::Mat(smooth.size(), CV_8UC1), cv::Mat(smooth.size(), CV_32FC1)};
  cv::parallel_for_(cv::Range(0, smooth.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) {
      const auto* lab = smooth.ptr<cv::Vec3f>(y);
      const auto* around = image.local.ptr<cv::Vec3f>(y);
      const auto* board = image.board.ptr<uchar>(y);
      auto* bits = map.bits.ptr<uchar>(y);
      auto* contrast = map.contrast.ptr<float>(y);
      for (int x = 0; x < smooth.cols; ++x) {
        bits[x] = 0;
        const auto& v = lab[x];
        const float d = k_toward_a * (v[1] - around[x][1]) + k_toward_b * (v[2] - around[x][2]);
        const float gain = 70.F / (std::max(v[0], around[x][0]) + 20.F);
        contrast[x] = d * gain;
        if (!board[x] || contrast[x] <= k_grow_contrast || v[1] > 4) continue;
        const float c = std::hypot(v[1], v[2]);
        if (c < k_least_chroma * 0.6F || c * 70.F / (v[0] + 20.F) < k_least_flat_chroma) continue;
        const float hue = cv::fastAtan2(v[2], v[1]);
        if (hue < k_hue_from_deg || hue > k_hue_to_deg) continue;
        bits[x] = contrast[x] > k_seed_contrast ? 3 : 1;
      }
    }
  });
  return map;
}

double company_score(const Patch& p) {
  const double hue = ramp(p.hue_deg, 160, 170) * ramp(p.hue_deg, 258, 250);
  const double light = ramp(p.lab[0], 15, 25) * ramp(p.lab[0], 86, 78);
  const double strong = ramp(p.contrast, 7, 9) * ramp(p.contrast_peak, 10, 14);
  const double matt = ramp(p.fine_texture, 8, 6) * ramp(p.colour_texture, 2.8, 2);
  const double size = ramp(p.share_of_board, k_largest_share, k_largest_share / 2);
  return std::sqrt(hue * light * strong * matt * size * ramp(p.own_share, 0.04, 0.02));
}

double copper_salt_score(const Patch& p) {
  const double hue = ramp(p.hue_deg, 162, 176) * ramp(p.hue_deg, 256, 248);
  const double light = ramp(p.lab[0], 18, 30) * ramp(p.lab[0], 84, 76);
  const double varied = ramp(p.hue_sd_deg, 5, 9) * ramp(p.chroma_sd, 1, 2.5);
  const double strong = ramp(p.contrast, 7, 9.5) * ramp(p.contrast_peak, 11, 17) *
                        ramp(p.chroma_peak, 13, 20) * ramp(unflattened_peak(p), 10, 16);
  const double matt = ramp(p.fine_texture, 6.2, 3.7) * ramp(p.colour_texture, 2.0, 1.25);
  const double shape =
      ramp(p.solidity, 1.5, 1.15) * ramp(p.solidity, 0.45, 0.7) * ramp(p.slenderness, 0.2, 0.4);
  const double size = ramp(p.share_of_board, k_least_share, 2 * k_least_share) *
                      ramp(p.share_of_board, k_largest_share, k_largest_share / 2);
  const double rare = ramp(p.own_share, 0.04, 0.015);
  return std::sqrt(hue * light * varied * strong * matt * shape * size * rare);
}

}  // namespace verdigrid
