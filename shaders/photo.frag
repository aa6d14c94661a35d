#version 330 core
// The photo, with an exposure and contrast lift that is for looking only.
uniform sampler2D tile;
uniform float exposure;  // factor on the stored values
uniform float contrast;  // 1: as it is
in vec2 texel;
out vec4 colour;

void main() {
  vec3 c = texture(tile, texel).rgb * exposure;
  colour = vec4(clamp((c - 0.5) * contrast + 0.5, 0.0, 1.0), 1);
}
