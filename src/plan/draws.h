// Random numbers that are the same on every machine and in every build: a stream per seed and name.
//
// SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014); normal by Box and Muller (Ann. Math.
// Statist. 29 (1958) 610-611); gamma by G. Marsaglia and W. W. Tsang, ACM Trans. Math. Softw. 26
// (2000) 363-372. A stream belongs to one thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "plan/pert.h"

namespace verdigrid {

class Draws {
 public:
  // Streams of different names are independent of each other, so that a task keeps its draws when
  // others come and go.
  Draws(std::uint64_t seed, std::string_view name);

  double uniform();  // in (0, 1)
  double normal();
  double gamma(double shape);         // scale 1, shape >= 1 (require)
  double beta_pert(const Triple& t);  // on [low, high]; low when they are equal

 private:
  std::uint64_t state_;
  std::optional<double> kept_;  // Box and Muller's second number
};

}  // namespace verdigrid
