// Weights for fits that outliers must not pull.
#pragma once

namespace verdigrid {

// Tukey's biweight (Beaton, Tukey, Technometrics 16(2), 1974), 1 at 0 and 0 from `cut` on.
inline double biweight(double residual, double cut) {
  const double t = residual / cut;
  return t <= -1 || t >= 1 ? 0 : (1 - t * t) * (1 - t * t);
}

}  // namespace verdigrid
