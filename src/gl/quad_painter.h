// Draws textured rectangles of the photo plane with a given shader, inside a part of the window. UI
// thread only.
#pragma once

#include <opencv2/core.hpp>

#include "gl/shader.h"
#include "gl/texture.h"

namespace verdigrid {

struct QuadSource {
  cv::Rect2d rect_px;  // photo px, pixel borders
  cv::Rect2d texels;   // the part of the textures that is shown, 0..1
};

class QuadPainter {
 public:
  QuadPainter();
  ~QuadPainter();
  QuadPainter(const QuadPainter&) = delete;
  QuadPainter& operator=(const QuadPainter&) = delete;

  // `area` is the part of the window in framebuffer px, y down; drawing stays inside it.
  void begin(const cv::Rect& area, cv::Size framebuffer, const cv::Matx33d& ndc_from_photo);
  // Textures are bound to units 0, 1, ... in order.
  void draw(const Shader& shader, const QuadSource& quad,
            std::initializer_list<const Texture*> textures) const;
  void end() const;

 private:
  unsigned vertex_array_ = 0;
  cv::Matx33f ndc_from_photo_;
};

}  // namespace verdigrid
