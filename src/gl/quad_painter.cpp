#include "gl/quad_painter.h"

#include <epoxy/gl.h>

namespace verdigrid {

QuadPainter::QuadPainter() { glGenVertexArrays(1, &vertex_array_); }
QuadPainter::~QuadPainter() { glDeleteVertexArrays(1, &vertex_array_); }

void QuadPainter::begin(const cv::Rect& area, cv::Size framebuffer,
                        const cv::Matx33d& ndc_from_photo) {
  ndc_from_photo_ = cv::Matx33f(ndc_from_photo);
  glBindVertexArray(vertex_array_);
  glViewport(area.x, framebuffer.height - area.br().y, area.width, area.height);
  glEnable(GL_SCISSOR_TEST);
  glScissor(area.x, framebuffer.height - area.br().y, area.width, area.height);
  glDisable(GL_DEPTH_TEST);
  glDisable(GL_CULL_FACE);
  glEnable(GL_BLEND);
  glBlendFunc(GL_ONE, GL_ONE_MINUS_SRC_ALPHA);
}

void QuadPainter::draw(const Shader& shader, const QuadSource& quad,
                       std::initializer_list<const Texture*> textures) const {
  shader.use();
  shader.set("ndc_from_photo", ndc_from_photo_);
  shader.set("rect_at",
             cv::Vec2f(static_cast<float>(quad.rect_px.x), static_cast<float>(quad.rect_px.y)));
  shader.set("rect_size", cv::Vec2f(static_cast<float>(quad.rect_px.width),
                                    static_cast<float>(quad.rect_px.height)));
  shader.set("texel_at",
             cv::Vec2f(static_cast<float>(quad.texels.x), static_cast<float>(quad.texels.y)));
  shader.set("texel_size", cv::Vec2f(static_cast<float>(quad.texels.width),
                                     static_cast<float>(quad.texels.height)));
  GLenum unit = GL_TEXTURE0;
  for (const Texture* t : textures) {
    glActiveTexture(unit++);
    glBindTexture(GL_TEXTURE_2D, t->id());
  }
  glDrawArrays(GL_TRIANGLE_STRIP, 0, 4);
}

void QuadPainter::end() const {
  glDisable(GL_SCISSOR_TEST);
  glActiveTexture(GL_TEXTURE0);
  glBindVertexArray(0);
  glUseProgram(0);
}

}  // namespace verdigrid
