#include "synthetic/random.h"

#include <cmath>
#include <numbers>

namespace verdigrid::synthetic {

namespace {

std::uint64_t scrambled(std::uint64_t z) {
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ull;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebull;
  return z ^ (z >> 31);
}

int floor_to_int(float v) {
  const int i = static_cast<int>(v);
  return i - (static_cast<float>(i) > v);
}

}  // namespace

std::uint64_t mixed(std::uint64_t seed, std::uint64_t purpose) {
  return scrambled(scrambled(seed + 0x9e3779b97f4a7c15ull) ^ (purpose * 0xd1342543de82ef95ull + 1));
}

std::uint64_t Random::bits() {
  state_ += 0x9e3779b97f4a7c15ull;
  return scrambled(state_);
}

double Random::uniform() { return static_cast<double>(bits() >> 11) * 0x1.0p-53; }
double Random::uniform(double low, double high) { return low + (high - low) * uniform(); }

int Random::whole(int low, int high) {
  const auto count = static_cast<std::uint64_t>(high - low + 1);
  return low + static_cast<int>(bits() % count);
}

double Random::normal() {  // Box and Muller 1958
  const double u = 1 - uniform(), v = uniform();
  return std::sqrt(-2 * std::log(u)) * std::cos(2 * std::numbers::pi * v);
}

float lattice(int x, int y, std::uint32_t seed) {
  std::uint32_t h = static_cast<std::uint32_t>(x) * 0x85ebca6bu ^
                    static_cast<std::uint32_t>(y) * 0xc2b2ae35u ^ seed * 0x27d4eb2fu;
  h = (h ^ (h >> 15)) * 0x2c1b3c6du;
  h = (h ^ (h >> 12)) * 0x297a2d39u;
  h ^= h >> 15;
  return static_cast<float>(h >> 8) * 0x1.0p-24f;
}

float noise(float x, float y, std::uint32_t seed) {
  const int ix = floor_to_int(x), iy = floor_to_int(y);
  float fx = x - static_cast<float>(ix), fy = y - static_cast<float>(iy);
  fx = fx * fx * (3 - 2 * fx);
  fy = fy * fy * (3 - 2 * fy);
  const float a = lattice(ix, iy, seed), b = lattice(ix + 1, iy, seed),
              c = lattice(ix, iy + 1, seed), d = lattice(ix + 1, iy + 1, seed);
  const float top = a + (b - a) * fx, bottom = c + (d - c) * fx;
  return top + (bottom - top) * fy;
}

float fractal(float x, float y, std::uint32_t seed, int octaves) {
  float sum = 0, weight = 0.5f, total = 0;
  for (int i = 0; i < octaves; ++i) {
    sum += weight * noise(x, y, seed + static_cast<std::uint32_t>(i) * 101u);
    total += weight;
    weight *= 0.5f;
    x = 2 * x + 17.3f;
    y = 2 * y - 9.7f;
  }
  return sum / total;
}

}  // namespace verdigrid::synthetic
