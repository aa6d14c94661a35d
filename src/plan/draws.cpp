#include "plan/draws.h"

#include <cmath>
#include <numbers>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr double k_to_unit = 0x1.0p-53;

std::uint64_t mixed(std::uint64_t z) {
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
  return z ^ (z >> 31);
}

}  // namespace

Draws::Draws(std::uint64_t seed, std::string_view name) : state_(mixed(seed)) {
  for (const char c : name) state_ = mixed(state_ ^ static_cast<unsigned char>(c)) + 1;
}

double Draws::uniform() {
  state_ += 0x9e3779b97f4a7c15u;
  return (static_cast<double>(mixed(state_) >> 11) + 0.5) * k_to_unit;
}

double Draws::normal() {
  if (kept_) {
    const double z = *kept_;
    kept_.reset();
    return z;
  }
  const double radius = std::sqrt(-2 * std::log(uniform()));
  const double angle = 2 * std::numbers::pi * uniform();
  kept_ = radius * std::sin(angle);
  return radius * std::cos(angle);
}

double Draws::gamma(double shape) {
  require(shape >= 1, "a gamma draw has a shape of at least 1");
  const double d = shape - 1.0 / 3, c = 1 / std::sqrt(9 * d);
  for (;;) {
    const double x = normal(), v = std::pow(1 + c * x, 3);
    const double u = uniform();
    if (v > 0 && std::log(u) < x * x / 2 + d - d * v + d * std::log(v)) return d * v;
  }
}

double Draws::beta_pert(const Triple& t) {
  if (t.low == t.high) return t.low;
  const BetaShape shape = beta_shape(t);
  const double x = gamma(shape.a), y = gamma(shape.b);
  return t.low + (t.high - t.low) * x / (x + y);
}

}  // namespace verdigrid
