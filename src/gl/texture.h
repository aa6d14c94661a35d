// One OpenGL 2D texture: made from pixels, moved, never copied. UI thread only, with the window's
// context current.
#pragma once

#include <opencv2/core.hpp>

namespace verdigrid {

enum class Filter { nearest, linear };

class Texture {
 public:
  Texture() = default;
  // CV_8UC3 (BGR) or CV_8UC1; clamp to edge, no mipmaps.
  Texture(const cv::Mat& pixels, Filter filter);
  ~Texture();
  Texture(Texture&& other) noexcept;
  Texture& operator=(Texture&& other) noexcept;
  Texture(const Texture&) = delete;
  Texture& operator=(const Texture&) = delete;

  unsigned id() const { return id_; }
  cv::Size size() const { return size_; }
  size_t bytes() const { return bytes_; }
  bool is_empty() const { return id_ == 0; }

 private:
  unsigned id_ = 0;
  cv::Size size_;
  size_t bytes_ = 0;
};

}  // namespace verdigrid
