#include "plan/ultrasonic.h"

#include <fmt/format.h>

#include <algorithm>

namespace verdigrid {

namespace {

constexpr const char* k_air_force = "USAF TO 1-1-700 para 8.6.2.3";

std::optional<BathHarm> harm_of(PartKind kind) {
  switch (kind) {
    case PartKind::crystal:
      return BathHarm::tuning_fork_crystal;  // until someone has read its frequency
    case PartKind::mems:
      return BathHarm::mems;
    case PartKind::transformer:
    case PartKind::inductor:
      return BathHarm::coil_or_transformer;
    case PartKind::relay:
    case PartKind::switch_:
      return BathHarm::relay_or_switch;
    case PartKind::potentiometer:
      return BathHarm::potentiometer;
    case PartKind::label:
      return BathHarm::label_or_loose_coat;
    default:
      return std::nullopt;
  }
}

std::string list_of(const std::vector<BathHarm>& harms) {
  std::vector<std::string> names;
  for (const BathHarm h : harms) names.push_back(words(h));
  return fmt::format("{}", fmt::join(names, "; "));
}

}  // namespace

const char* source(BathHarm harm) {
  switch (harm) {
    case BathHarm::coil_or_transformer:
    case BathHarm::bearing:
    case BathHarm::sealed_trap:
    case BathHarm::neoprene:
      return k_air_force;
    case BathHarm::tuning_fork_crystal:
    case BathHarm::mems:
    case BathHarm::cavity_package:
    case BathHarm::label_or_loose_coat:
      return k_reports;
    default:
      return k_common_practice;
  }
}

std::vector<BathHarm> bath_harms_of(const std::vector<PartKind>& parts) {
  std::vector<BathHarm> list;
  for (const PartKind kind : parts)
    if (const auto h = harm_of(kind); h && std::find(list.begin(), list.end(), *h) == list.end())
      list.push_back(*h);
  return list;
}

Advice ultrasonic_advice(const Known& known, const std::vector<PartKind>& parts) {
  std::vector<BathHarm> fitted, open;
  const std::vector<BathHarm> shown = bath_harms_of(parts);
  for (int i = 0; i < k_bath_harm_count; ++i) {
    const auto h = static_cast<BathHarm>(i);
    const Told told = known.bath_harms[static_cast<size_t>(i)];
    const bool is_shown = std::find(shown.begin(), shown.end(), h) != shown.end();
    if (told == Told::yes || (told == Told::not_known && is_shown))
      fitted.push_back(h);
    else if (told == Told::not_known)
      open.push_back(h);
  }
  const std::string where = fmt::format("{}; {}", k_air_force, k_reports);
  if (!fitted.empty())
    return {"ultrasonic",
            fmt::format("Ultrasonic bath: do not. Fitted: {}. Take them off and say so, or wash by "
                        "hand.",
                        list_of(fitted)),
            where, true};
  if (!open.empty())
    return {"ultrasonic",
            fmt::format("Ultrasonic bath: not known: do not. Nobody has said that these are absent "
                        "or taken off: {}.",
                        list_of(open)),
            where, true};
  if (known.battery_fitted != Told::no)
    return {"ultrasonic", "Ultrasonic bath: do not until someone says that no battery is fitted.",
            k_common_practice, true};
  return {"ultrasonic",
          "By these answers nothing of the block list is left on the board. Small ceramic "
          "capacitors stand 3 minutes at 40 kHz at most; alcohol never straight in the tank.",
          k_reports};
}

}  // namespace verdigrid
