// Which neutraliser, if any: none until the type of battery or capacitor and a strip reading agree.
//
// Our bands of a strip reading: acid below pH 6, near neutral 6 to 8, alkaline above 8 (6 to 8 is
// the end point that practitioners rinse to; reports, unverified).
#pragma once

#include <string>

#include "plan/advice.h"
#include "plan/known.h"

namespace verdigrid {

enum class Neutraliser {
  none_yet,     // type or reading missing, or they do not agree: dry pick-up only
  keep_away,    // hissing, smell, or a fresh lithium leak: no water
  not_from_us,  // agreed, but nothing published fits: ask
  none_needed,  // near neutral and expected so: detergent and water
  weak_acid,    // for an alkaline leak
  bicarbonate,  // for an acid leak
};
const char* name(Neutraliser neutraliser);

struct NeutraliserAdvice {
  Neutraliser neutraliser = Neutraliser::none_yet;
  Advice advice;
  bool operator==(const NeutraliserAdvice&) const = default;
};

enum class StripBand { acid, near_neutral, alkaline };
StripBand strip_band(double ph);
const char* name(StripBand band);  // "acid", "near neutral", "alkaline"

// For one place (a work area's name): readings taken there before the rinse, else those that hold
// for the whole board.
NeutraliserAdvice neutraliser_for(const Known& known, const std::string& place);

// Water, detergent and rinses are refused while this holds.
bool forbids_water(const Known& known);

}  // namespace verdigrid
