#include "measure/severity.h"

#include <algorithm>

#include "base/error.h"

namespace verdigrid {

namespace {

double amount(const Affected& a, Residue residue) {
  const auto i = static_cast<size_t>(residue);
  return a.has_mm ? a.area_mm2[i] : a.percent[i];
}

double covered_percent(const Affected& a) {
  double sum = 0;
  for (const Residue r : k_residues) sum += a.percent[static_cast<size_t>(r)];
  return sum;
}

}  // namespace

const char* name(Severity s) {
  switch (s) {
    case Severity::none:
      return "nothing found";
    case Severity::surface:
      return "surface";
    case Severity::copper_attacked:
      return "copper attacked";
    case Severity::ask_first:
      return "ask first";
  }
  throw Error(ErrorKind::internal, "Internal fault: a severity has no name. Please report it.");
}

Severity severity_of(const Affected& affected) {
  namespace limits = severity_limits;
  const double covered = covered_percent(affected);
  if (covered <= 0) return Severity::none;
  const double eaten = amount(affected, Residue::eaten_copper);
  const double attacked = eaten + amount(affected, Residue::attacked_joint);
  if (covered >= limits::k_covered_percent ||
      eaten >= (affected.has_mm ? limits::k_eaten_mm2 : limits::k_eaten_percent))
    return Severity::ask_first;
  if (attacked >= (affected.has_mm ? limits::k_attacked_mm2 : limits::k_attacked_percent))
    return Severity::copper_attacked;
  return Severity::surface;
}

Severity worse(Severity a, Severity b) { return std::max(a, b); }

}  // namespace verdigrid
