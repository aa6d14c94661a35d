#include "measure/grades.h"

#include <array>
#include <cmath>

#include "base/error.h"

namespace verdigrid {

namespace {

void require_percent(double p) {
  require(p >= 0 && p <= 100, "an area in percent lies between 0 and 100");
}

// Upper bounds in percent, best grade first; past the last bound comes grade 0.
constexpr std::array k_d610{0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 16.0, 33.0, 50.0};    // 10 .. 1
constexpr std::array k_iso10289{0.0, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 25.0, 50.0};  // 10 .. 1
constexpr std::array k_ri_printed{0.05, 0.5, 1.0, 8.0,
                                  44.721359549995794};  // Ri 1 .. 5; the last is sqrt(40 x 50)

template <size_t N>
int grade_by_bounds(const std::array<double, N>& bounds, double percent) {
  int grade = static_cast<int>(N);
  for (const double bound : bounds) {
    if (percent <= bound) return grade;
    --grade;
  }
  return 0;
}

}  // namespace

int astm_d610_grade(double area_percent) {
  require_percent(area_percent);
  return grade_by_bounds(k_d610, area_percent);
}

int iso10289_rating(double area_percent) {
  require_percent(area_percent);
  return grade_by_bounds(k_iso10289, area_percent);
}

int iso4628_3_ri(double area_percent) {
  require_percent(area_percent);
  if (area_percent == 0) return 0;
  int ri = 1;
  for (size_t i = 0; i + 1 < k_ri_printed.size(); ++i)
    if (area_percent > std::sqrt(k_ri_printed[i] * k_ri_printed[i + 1])) ++ri;
  return ri;
}

}  // namespace verdigrid
