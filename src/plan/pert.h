// Three-point times whose low and high are hard bounds: PERT's mean and spread, and the beta
// distribution that goes with it.
//
// PERT: D. G. Malcolm et al., Operations Research 7 (1959) 646-669. Minutes, low < high (require),
// likely between them.
#pragma once

#include <span>

namespace verdigrid {

struct Triple {
  double low = 0, likely = 0, high = 0;  // minutes
  bool operator==(const Triple&) const = default;
};

double pert_mean(const Triple& t);  // (low + 4 likely + high) / 6
double pert_sd(const Triple& t);    // (high - low) / 6

// Standard deviation of a sum whose terms all have the correlation rho with each other.
double correlated_sd(std::span<const double> sds, double rho);

// Beta on [low, high] with PERT's mean: its own spread is not (high - low) / 6.
struct BetaShape {
  double a = 1, b = 1;
};
BetaShape beta_shape(const Triple& t);
double beta_sd(const Triple& t);

}  // namespace verdigrid
