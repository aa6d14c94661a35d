#include "gl/texture.h"

#include <epoxy/gl.h>

#include <utility>

#include "base/error.h"

namespace verdigrid {

Texture::Texture(const cv::Mat& pixels, Filter filter) : size_(pixels.size()) {
  require(!pixels.empty() && (pixels.type() == CV_8UC3 || pixels.type() == CV_8UC1),
          "textures are made from 8-bit BGR or grey pixels");
  const bool is_grey = pixels.channels() == 1;
  bytes_ = static_cast<size_t>(size_.area()) * (is_grey ? 1 : 4);
  const cv::Mat whole = pixels.isContinuous() ? pixels : pixels.clone();
  glGenTextures(1, &id_);
  glBindTexture(GL_TEXTURE_2D, id_);
  const GLint f = filter == Filter::nearest ? GL_NEAREST : GL_LINEAR;
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, f);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, f);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
  glPixelStorei(GL_UNPACK_ALIGNMENT, 1);
  glTexImage2D(GL_TEXTURE_2D, 0, is_grey ? GL_R8 : GL_RGBA8, size_.width, size_.height, 0,
               is_grey ? GL_RED : GL_BGR, GL_UNSIGNED_BYTE, whole.data);
  glBindTexture(GL_TEXTURE_2D, 0);
}

Texture::~Texture() {
  if (id_ != 0) glDeleteTextures(1, &id_);
}

Texture::Texture(Texture&& other) noexcept { *this = std::move(other); }

Texture& Texture::operator=(Texture&& other) noexcept {
  std::swap(id_, other.id_);
  std::swap(size_, other.size_);
  std::swap(bytes_, other.bytes_);
  return *this;
}

}  // namespace verdigrid
