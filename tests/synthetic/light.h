// How much light reaches each place of a board: soft shadows of a lamp and of the surroundings.
// Internal to the renderer.
#pragma once

#include "synthetic/board.h"
#include "synthetic/camera.h"

namespace verdigrid::synthetic {

// CV_8UC1, 255 = all of it, at `px_per_mm` over the board's pictures (a reduced raster); the desk
// past the outline lies k_desk_mm below.
struct LightMap {
  double px_per_mm = 1;
  cv::Mat direct;     // of the lamp
  cv::Mat ambient;    // of the surroundings
  cv::Mat height_mm;  // CV_32FC1, largest height of each reduced pixel, for walking rays
};

inline constexpr float k_desk_mm = -3.5f;

LightMap light_map(const Board& board, const CameraSpec& camera);

// Unit vector towards the lamp, board frame (x as the front reads), z up.
cv::Vec3f lamp_direction(const CameraSpec& camera, Side side);

}  // namespace verdigrid::synthetic
