#version 330 core
// Two aligned photos: grey where they are alike, lighter-after to yellow, darker-after to blue (apart for
// colour-blind people too), in proportion to the difference.
uniform sampler2D before;
uniform sampler2D after;
uniform float gain;  // how much a difference is lifted
in vec2 texel;
out vec4 colour;

float light(vec3 c) { return dot(c, vec3(0.2126, 0.7152, 0.0722)); }

void main() {
  vec3 a = texture(before, texel).rgb, b = texture(after, texel).rgb;
  float step_up = (light(b) - light(a)) * gain;
  float other = length((b - light(b)) - (a - light(a))) * gain;  // colour alone has changed
  vec3 ground = vec3(mix(0.35, 0.5, light(a)));
  vec3 lighter = vec3(0.96, 0.86, 0.25), darker = vec3(0.10, 0.32, 0.85), hue = vec3(0.80, 0.45, 0.70);
  vec3 c = mix(ground, step_up > 0.0 ? lighter : darker, clamp(abs(step_up), 0.0, 1.0));
  c = mix(c, hue, clamp(other - abs(step_up), 0.0, 1.0));
  colour = vec4(c, 1);
}
