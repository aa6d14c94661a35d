#version 330 core
// One rectangle of the photo, its corners made from the vertex number.
uniform mat3 ndc_from_photo;
uniform vec2 rect_at;    // photo px, pixel borders
uniform vec2 rect_size;
uniform vec2 texel_at;   // texture coordinates of its corners
uniform vec2 texel_size;
out vec2 texel;
out vec2 photo_px;

void main() {
  vec2 corner = vec2(gl_VertexID & 1, gl_VertexID >> 1);
  photo_px = rect_at + corner * rect_size;
  texel = texel_at + corner * texel_size;
  gl_Position = vec4((ndc_from_photo * vec3(photo_px, 1)).xy, 0, 1);
}
