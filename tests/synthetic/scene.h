// Looks along one ray of the camera: what it hits and how bright that is. Internal to the renderer.
#pragma once

#include "synthetic/light.h"

namespace verdigrid::synthetic {

struct Hit {
  cv::Point2d at_mm;  // board frame
  float z_mm = 0;
  cv::Point2d lean;  // board mm that the ray moves per mm of height
  bool is_desk = false, is_wall = false;
};

struct Radiance {
  cv::Vec3f bgr;       // linear
  float mirrored = 0;  // share of it that is mirrored light
  float height_mm = 0;
  int label = 0;
};

class Scene {
 public:
  Scene(const Board& board, const CameraSpec& camera, const View& view);

  Hit hit(cv::Point2d plane_mm) const;
  Radiance radiance(const Hit& hit) const;
  int plane_label(cv::Point2d plane_mm) const;  // 0 outside the pictures
  cv::Point2d eye_xy() const { return {eye_.x, eye_.y}; }

 private:
  float height_at(cv::Point2d p_mm) const;
  float peak_at(cv::Point2d p_mm) const;
  cv::Vec3f normal_at(float x, float y, float& steep) const;
  cv::Vec3f desk_colour(cv::Point2d p_mm) const;
  float map_at(const cv::Mat& map, cv::Point2d p_mm) const;

  const Board& board_;
  const CameraSpec& camera_;
  cv::Point3d eye_;
  LightMap light_;
  cv::Mat peaks_;  // CV_32FC1, largest height round each cell of k_peak_mm
  float tallest_ = 0;
  cv::Vec3f lamp_;
  cv::Vec3f glare_at_;  // direction in which the glaring lamp stands
  float glare_width_ = 0.1f;
  std::uint32_t seed_;
};

}  // namespace verdigrid::synthetic
