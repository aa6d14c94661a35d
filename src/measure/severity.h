// Our own first word on how bad a place is: how far the residue has reached, never a treatment.
//
// None: nothing found. Surface: residue lies on the board. Copper attacked: metal is going or gone.
// Ask first: so much or so deep that someone experienced should look before anything is done to it.
#pragma once

#include <array>

#include "detect/residue.h"

namespace verdigrid {

enum class Severity { none, surface, copper_attacked, ask_first };
const char* name(Severity s);  // "nothing found", "surface", "copper attacked", "ask first"

// The thresholds, all of them. Our own rule (common practice, no source): half a square millimetre
// is about one small solder joint, five are some ten traces' width or a connector row.
namespace severity_limits {
inline constexpr double k_attacked_mm2 = 0.5;      // attacked joint + eaten copper: copper attacked
inline constexpr double k_attacked_percent = 0.1;  // the same without a scale
inline constexpr double k_eaten_mm2 = 5;           // eaten copper: ask first
inline constexpr double k_eaten_percent = 1;       // the same without a scale
inline constexpr double k_covered_percent = 33;    // all classes together: ask first
}  // namespace severity_limits

// Affected areas of one square or zone: `area` in mm2 when `has_mm`, else percent only.
struct Affected {
  std::array<double, k_residue_count> area_mm2{};  // by residue id; ignored without scale
  std::array<double, k_residue_count> percent{};   // of the place, by residue id
  bool has_mm = false;
};

Severity severity_of(const Affected& affected);
Severity worse(Severity a, Severity b);  // a board is as bad as its worst square

}  // namespace verdigrid
