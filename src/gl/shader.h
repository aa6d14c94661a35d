// One GLSL program (3.30 core) from two files in shaders/. UI thread only, with the window's
// context current.
#pragma once

#include <filesystem>
#include <opencv2/core.hpp>
#include <string>

namespace verdigrid {

class Shader {
 public:
  // Throws Error{internal} with the compiler's words.
  Shader(const std::filesystem::path& vertex, const std::filesystem::path& fragment);
  ~Shader();
  Shader(const Shader&) = delete;
  Shader& operator=(const Shader&) = delete;

  void use() const;
  void set(const char* uniform, float value) const;
  void set(const char* uniform, int value) const;
  void set(const char* uniform, cv::Vec2f value) const;
  void set(const char* uniform, const cv::Matx33f& value) const;
  void set_colours(const char* uniform, const cv::Vec4f* values, int count) const;

 private:
  int at(const char* uniform) const;
  unsigned id_ = 0;
};

}  // namespace verdigrid
