#version 330 core
// Residue classes as colour and hatch; the threshold acts on the confidence map while it is moved.
uniform sampler2D labels;      // ids / 255
uniform sampler2D confidence;  // P(any residue)
uniform float threshold;       // on the confidence; below 0: the labels as the survey has them
uniform float strength;        // opacity of the fill
uniform vec4 colours[8];
in vec2 texel;
out vec4 colour;

// Lines in screen px, so that they stay readable at every zoom: each class its own direction and spacing.
float hatch(int id, vec2 p) {
  if (id == 1) return step(mod(p.x + p.y, 8.0), 1.6);
  if (id == 2) return step(mod(p.x - p.y, 8.0), 1.6);
  if (id == 3) return max(step(mod(p.x, 8.0), 1.4), step(mod(p.y, 8.0), 1.4));
  if (id == 4) return step(mod(p.y, 6.0), 1.6);
  if (id == 5) return step(mod(p.x, 6.0), 1.6);
  if (id == 6) return max(step(mod(p.x + p.y, 10.0), 1.4), step(mod(p.x - p.y, 10.0), 1.4));
  return step(length(mod(p, 8.0) - 4.0), 1.6);
}

void main() {
  float p = texture(confidence, texel).r;
  int id = int(texture(labels, texel).r * 255.0 + 0.5);
  if (threshold < 0.0 ? id == 0 : p < threshold) discard;
  if (id == 0) id = 7;  // over the threshold, but the survey gave no class at its own setting
  float a = mix(strength, min(1.0, strength * 2.4), hatch(id, gl_FragCoord.xy));
  colour = vec4(colours[id].rgb * a, a);
}
