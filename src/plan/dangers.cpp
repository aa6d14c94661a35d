#include "plan/dangers.h"

#include <fmt/format.h>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr const char* k_qualified =
    "LOCKED until a named qualified person has discharged it through a resistor and metered it; "
    "follow local codes.";

void add_voltage(std::vector<Advice>& list, Told told, const char* yes, const char* not_known) {
  if (told == Told::no) return;
  list.push_back({"high-voltage",
                  fmt::format("{} {}", told == Told::yes ? yes : not_known, k_qualified),
                  k_common_practice, true});
}

void add_dust(std::vector<Advice>& list, Told told, const char* what, const char* not_known,
              const std::string& source) {
  if (told == Told::no) return;
  list.push_back({"dust", told == Told::yes ? what : not_known, source, true});
}

}  // namespace

std::string words(const Advice& a) { return fmt::format("{} [{}]", a.sentence, a.source); }

Advice no_release_advice() {
  return {"no-release",
          "This plan is no clearance: it comes from what the photos show, and what they do not "
          "show is not in it.",
          "rule of this program", true};
}

std::vector<Advice> high_voltage_advice(const Known& k) {
  std::vector<Advice> list;
  add_voltage(list, k.picture_tube, "Picture tube: it holds a deadly charge for days.",
              "Picture tube not ruled out: it would hold a deadly charge for days.");
  add_voltage(list, k.mains_capacitors,
              "Mains capacitors: they hold a deadly charge after unplugging.",
              "Mains capacitors not ruled out: they would hold a deadly charge after unplugging.");
  add_voltage(list, k.above_50_v, "Above 50 V on this board.",
              "Nobody has said that nothing on this board goes above 50 V.");
  return list;
}

Advice no_recipe_advice() {
  return {"no-recipe",
          "This program gives no recipe for reforming capacitors, for slow start on a variable "
          "mains transformer, or for lifting an earth: ask a qualified person.",
          "rule of this program", true};
}

std::vector<Advice> dust_advice(const Known& k) {
  std::vector<Advice> list;
  if (k.battery == BatteryKind::nickel)
    list.push_back({"dust",
                    "Cadmium and nickel salts are toxic: do not grind, scrape dry or blow; gloves, "
                    "wipe wet; waste goes to hazardous collection.",
                    "US Army TB 43-0134", true});
  list.push_back({"dust",
                  "Solder holds lead: do not grind or blow it; wipe wet, wash hands, no food at "
                  "the bench.",
                  k_common_practice, true});
  add_dust(list, k.nests, "Nests and droppings carry disease: do not blow or vacuum; ask.",
           "Nests or droppings, if any: they carry disease; do not blow or vacuum; ask.", k_memory);
  add_dust(list, k.white_ceramic,
           "White ceramic of power parts may be beryllia, whose dust kills: do not grind, scrape "
           "or blow; ask.",
           "White ceramic of old power parts, if any, may be beryllia: do not grind, scrape or "
           "blow; ask.",
           k_memory);
  add_dust(list, k.oil_cans,
           "Oil-filled cans of old gear may hold PCB: do not open, grind or scrape; a leaking one "
           "is hazardous waste; ask.",
           "Oil-filled cans, if any, may hold PCB: do not open, grind or scrape; ask.", k_memory);
  add_dust(list, k.glowing_dials,
           "Glowing paint of old dials may be radium: do not scrape, grind or blow; ask.",
           "Glowing dials, if any, may be radium: do not scrape, grind or blow; ask.", k_memory);
  return list;
}

Advice rail_advice(double ohm) {
  require(ohm >= 0, "ohms are not below 0");
  if (ohm < k_rail_short_ohm)
    return {"rail",
            fmt::format("{:.3g} ohm: stop. Below 1 ohm counts as a short; find it first.", ohm),
            "common practice, no published limit found", true};
  return {"rail",
          fmt::format("{:.3g} ohm: no dead short, and it proves nothing more. First power still "
                      "needs a supply with a current limit.",
                      ohm),
          "common practice, no published limit found"};
}

}  // namespace verdigrid
