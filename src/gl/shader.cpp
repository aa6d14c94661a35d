#include "gl/shader.h"

#include <epoxy/gl.h>
#include <fmt/format.h>

#include "base/error.h"
#include "base/files.h"

namespace verdigrid {

namespace {

constexpr std::uintmax_t k_source_limit_bytes = 1 << 20;
constexpr GLsizei k_log_chars = 2000;

GLuint compiled(GLenum kind, const std::filesystem::path& file) {
  const Bytes source = read_file(file, k_source_limit_bytes);
  const auto* text = reinterpret_cast<const char*>(source.data());
  const auto length = static_cast<GLint>(source.size());
  const GLuint shader = glCreateShader(kind);
  glShaderSource(shader, 1, &text, &length);
  glCompileShader(shader);
  GLint done = 0;
  glGetShaderiv(shader, GL_COMPILE_STATUS, &done);
  if (done) return shader;
  std::string log(k_log_chars, '\0');
  GLsizei used = 0;
  glGetShaderInfoLog(shader, k_log_chars, &used, log.data());
  log.resize(static_cast<size_t>(used));
  glDeleteShader(shader);
  throw Error(ErrorKind::internal,
              fmt::format("{}: the graphics driver refused this shader: {}", file.string(), log));
}

}  // namespace

Shader::Shader(const std::filesystem::path& vertex, const std::filesystem::path& fragment) {
  const GLuint v = compiled(GL_VERTEX_SHADER, vertex), f = compiled(GL_FRAGMENT_SHADER, fragment);
  id_ = glCreateProgram();
  glAttachShader(id_, v);
  glAttachShader(id_, f);
  glLinkProgram(id_);
  glDeleteShader(v);
  glDeleteShader(f);
  GLint done = 0;
  glGetProgramiv(id_, GL_LINK_STATUS, &done);
  if (!done)
    throw Error(
        ErrorKind::internal,
        fmt::format("{}: the graphics driver could not link this shader.", fragment.string()));
}

Shader::~Shader() { glDeleteProgram(id_); }

int Shader::at(const char* uniform) const { return glGetUniformLocation(id_, uniform); }
void Shader::use() const { glUseProgram(id_); }
void Shader::set(const char* uniform, float value) const { glUniform1f(at(uniform), value); }
void Shader::set(const char* uniform, int value) const { glUniform1i(at(uniform), value); }
void Shader::set(const char* uniform, cv::Vec2f value) const {
  glUniform2f(at(uniform), value[0], value[1]);
}
void Shader::set(const char* uniform, const cv::Matx33f& value) const {
  glUniformMatrix3fv(at(uniform), 1, GL_TRUE, value.val);
}
void Shader::set_colours(const char* uniform, const cv::Vec4f* values, int count) const {
  glUniform4fv(at(uniform), count, values[0].val);
}

}  // namespace verdigrid
