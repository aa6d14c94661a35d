#include "plan/drying.h"

#include <fmt/format.h>

namespace verdigrid {

namespace {

constexpr const char* k_manual = "TM 1-1500-344-23-3 / NAVAIR 01-1A-509-3";

bool is_heat(DryingWay way) {
  return way == DryingWay::circulating_oven || way == DryingWay::vacuum_oven ||
         way == DryingWay::hot_air;
}

std::string refusal(DryingWay way, const Known& k) {
  if (way == DryingWay::food_oven)
    return "Never an oven that is used for food: residues and solder are poisonous.";
  if (!is_heat(way)) return {};
  const std::string what = way == DryingWay::hot_air ? "No hot air" : "No oven";
  if (k.alcohol_on_board != Told::no)
    return what +
           (k.alcohol_on_board == Told::yes
                ? " while alcohol is on the board"
                : " until someone says that no alcohol is left on the board") +
           ": it catches fire (flash point about 12 °C). Let it off in open air first, away from "
           "sparks.";
  if (k.battery_fitted != Told::no)
    return what +
           (k.battery_fitted == Told::yes ? " with a battery fitted"
                                          : " until someone says that no battery is fitted") +
           ": heat makes it leak or burst. Take it off first.";
  return {};
}

constexpr const char* k_cap =
    " At most 60 °C where labels, polystyrene, crystals, electrolytics or tape remain (common "
    "practice, no source).";

}  // namespace

const char* name(DryingWay way) {
  switch (way) {
    case DryingWay::open_air:
      return "open air";
    case DryingWay::blow_off:
      return "blow off";
    case DryingWay::circulating_oven:
      return "circulating oven";
    case DryingWay::vacuum_oven:
      return "vacuum oven";
    case DryingWay::hot_air:
      return "hot air";
    case DryingWay::food_oven:
      return "food oven";
  }
  return "";
}

Advice drying_advice(DryingWay way, const Known& known) {
  if (std::string why = refusal(way, known); !why.empty())
    return {"drying", std::move(why), k_common_practice, true};
  switch (way) {
    case DryingWay::blow_off:
      return {"drying",
              "Blow off the rinse with dry air of at most 69 kPa (10 psi), eye shield, guard "
              "against static; never loose dry salts.",
              std::string(k_manual) + " para 2-6.8.1"};
    case DryingWay::circulating_oven:
      return {"drying", std::string("Circulating air at 54 °C (130 °F).") + k_cap,
              std::string(k_manual) + " para 2-4.9"};
    case DryingWay::vacuum_oven:
      return {"drying",
              std::string("About 54 °C (130 °F) at 26 inHg vacuum for 1 to 2 hours.") + k_cap,
              std::string(k_manual) + " para 2-6.8.2"};
    case DryingWay::hot_air:
      return {"drying", "Hot air: keep it moving and the board at 54 °C or less.",
              k_common_practice};
    default:
      return {"drying",
              "Open air: a warm dry room for a day, a cool one for a week, and look beneath parts.",
              k_reports};
  }
}

}  // namespace verdigrid
