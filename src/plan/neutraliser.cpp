#include "plan/neutraliser.h"

#include <fmt/format.h>

#include <optional>
#include <vector>

namespace verdigrid {

namespace {

using B = BatteryKind;

constexpr double k_neutral_from = 6, k_neutral_to = 8;

constexpr const char* k_army = "US Army TB 43-0134";

// What a leak of this kind reads on a wetted strip, and what is used for it.
struct Expected {
  StripBand band;
  Neutraliser neutraliser;
  const char* source;
};

std::optional<Expected> expected_of(BatteryKind kind) {
  switch (kind) {
    case B::nickel:
    case B::alkaline:
      return Expected{StripBand::alkaline, Neutraliser::weak_acid, k_reports};
    case B::silver_oxide:
      return Expected{StripBand::alkaline, Neutraliser::weak_acid, k_memory};
    case B::zinc_carbon:
    case B::lead_acid:
      return Expected{StripBand::acid, Neutraliser::bicarbonate, k_reports};
    case B::lithium_thionyl:
      return Expected{StripBand::acid, Neutraliser::bicarbonate, k_reports};
    case B::lithium_sulphur_dioxide:
      return Expected{StripBand::acid, Neutraliser::not_from_us, k_army};
    case B::lithium_coin:
      return Expected{StripBand::near_neutral, Neutraliser::none_needed, k_memory};
    case B::lithium_ion:
      return Expected{StripBand::near_neutral, Neutraliser::not_from_us, k_memory};
    case B::not_known:
    case B::none:
      break;
  }
  return std::nullopt;
}

std::optional<Expected> expected_of(CapacitorFluid fluid) {
  switch (fluid) {
    case CapacitorFluid::glycol_borate:
      return Expected{StripBand::near_neutral, Neutraliser::none_needed, k_common_practice};
    case CapacitorFluid::quaternary:
      return Expected{StripBand::alkaline, Neutraliser::weak_acid,
                      "alkali of quaternary salts: Zairyo-to-Kankyo 52(8) (2003) 416, abstract; "
                      "the acid: common practice, no source"};
    case CapacitorFluid::not_known:
      break;
  }
  return std::nullopt;
}

// All that may lie there; empty when a type is missing.
std::vector<Expected> expected_of(const Known& k) {
  std::vector<Expected> all;
  // Where nobody says which of the two leaked, every type that is stated must fit.
  const bool is_open = k.leak_from == LeakSource::not_known;
  const bool battery = k.leak_from == LeakSource::battery || k.leak_from == LeakSource::both ||
                       (is_open && expected_of(k.battery));
  const bool capacitor = k.leak_from == LeakSource::capacitor || k.leak_from == LeakSource::both ||
                         (is_open && expected_of(k.fluid));
  if (battery) {
    if (const auto e = expected_of(k.battery))
      all.push_back(*e);
    else
      return {};
  }
  if (capacitor) {
    if (const auto e = expected_of(k.fluid))
      all.push_back(*e);
    else
      return {};
  }
  return all;
}

std::vector<double> readings_at(const Known& k, const std::string& place) {
  std::vector<double> here, everywhere;
  for (const StripReading& s : k.strips) {
    if (s.after_rinse) continue;
    if (s.place.empty())
      everywhere.push_back(s.ph);
    else if (s.place == place)
      here.push_back(s.ph);
  }
  return here.empty() ? everywhere : here;
}

NeutraliserAdvice said(Neutraliser n, std::string sentence, std::string source) {
  const bool refuses =
      n == Neutraliser::none_yet || n == Neutraliser::keep_away || n == Neutraliser::not_from_us;
  return {n, {"neutraliser", std::move(sentence), std::move(source), refuses}};
}

bool is_acid_lithium(BatteryKind kind) {
  return kind == B::lithium_thionyl || kind == B::lithium_sulphur_dioxide;
}

NeutraliserAdvice none_yet(const Known& k, bool has_type) {
  const char* missing = has_type ? "No strip was read yet"
                        : k.strips.empty()
                            ? "Neither the battery or capacitor type nor a strip reading is known"
                            : "The battery or capacitor type is not known";
  return said(
      Neutraliser::none_yet,
      fmt::format(
          "No neutraliser yet: looks do not tell acid from alkali; lithium-thionyl, lead-acid and "
          "zinc-carbon leaks are acid and leave white salt too. {}. Wet a strip and state the "
          "type; until both agree: gloves, eye shield, dry pick-up only.",
          missing),
      fmt::format("{}; burns by alkali: {}", k_reports, k_army));
}

NeutraliserAdvice used(const Expected& e) {
  switch (e.neutraliser) {
    case Neutraliser::weak_acid:
      return said(
          e.neutraliser,
          "Weak acid, locally and for minutes: dab dilute citric or acetic acid, do not "
          "flood, then rinse long in distilled water until a strip reads near 7. Acid left "
          "in a leaded joint is a new fault.",
          std::string(e.source) + "; acid on lead: Svadlena et al., Materials 13(24) (2020) 5672");
    case Neutraliser::bicarbonate:
      return said(e.neutraliser,
                  "After dry pick-up: sodium bicarbonate solution, locally, until it no longer "
                  "fizzes, then distilled water until a strip reads near 7. Eye shield: it spits. "
                  "Never vinegar here.",
                  e.source);
    case Neutraliser::none_needed:
      return said(e.neutraliser,
                  "The reading fits and is near neutral: no neutraliser. Detergent in warm water, "
                  "soft brush, then distilled water.",
                  e.source);
    default:
      return said(Neutraliser::not_from_us,
                  "Type and reading agree, but this program knows no proven neutraliser for this "
                  "cell: dry pick-up, gloves, eye shield, ventilate, and ask its maker.",
                  e.source);
  }
}

}  // namespace

const char* name(Neutraliser n) {
  switch (n) {
    case Neutraliser::none_yet:
      return "none yet";
    case Neutraliser::keep_away:
      return "keep away";
    case Neutraliser::not_from_us:
      return "ask";
    case Neutraliser::none_needed:
      return "none needed";
    case Neutraliser::weak_acid:
      return "weak acid";
    case Neutraliser::bicarbonate:
      return "bicarbonate";
  }
  return "";
}

StripBand strip_band(double ph) {
  return ph < k_neutral_from ? StripBand::acid
         : ph > k_neutral_to ? StripBand::alkaline
                             : StripBand::near_neutral;
}

const char* name(StripBand band) {
  return band == StripBand::acid       ? "acid"
         : band == StripBand::alkaline ? "alkaline"
                                       : "near neutral";
}

bool forbids_water(const Known& k) {
  return k.hissing_or_smell == Told::yes ||
         (is_acid_lithium(k.battery) && k.leak_from != LeakSource::capacitor &&
          k.leak_is_fresh != Told::no);
}

NeutraliserAdvice neutraliser_for(const Known& k, const std::string& place) {
  if (k.hissing_or_smell == Told::yes)
    return said(Neutraliser::keep_away,
                "Hissing or smell: leave it, leave the room, ventilate, keep others out.",
                fmt::format("{} para 4-6", k_army));
  if (forbids_water(k))
    return said(Neutraliser::keep_away,
                fmt::format("{}: no water. Ventilate; gloves, eye shield, dry pick-up only. "
                            "Hissing or smell: leave.",
                            k.leak_is_fresh == Told::yes
                                ? "Fresh lithium leak"
                                : "Lithium leak that nobody has said to be old and dry"),
                k_reports);
  const std::vector<Expected> expected = expected_of(k);
  const std::vector<double> readings = readings_at(k, place);
  if (expected.empty() || readings.empty()) return none_yet(k, !expected.empty());
  for (const Expected& e : expected)
    for (const double ph : readings)
      if (strip_band(ph) != e.band || e.neutraliser != expected.front().neutraliser)
        return said(Neutraliser::none_yet,
                    fmt::format("No neutraliser yet: a reading of pH {:.3g} ({}) does not fit what "
                                "is said to have leaked ({} is expected). Wet the deposit, read "
                                "again, ask; until they agree: gloves, eye shield, dry pick-up "
                                "only.",
                                ph, name(strip_band(ph)), name(e.band)),
                    k_reports);
  return used(expected.front());
}

}  // namespace verdigrid
