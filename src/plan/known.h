// What people know of a board besides its photos: battery, strip readings, wetness, what is fitted.
// Every answer may be "not known", and nothing is decided from an answer that was not given.
//
// JSON: object "known" of the plan, assets/schema/plan.schema.json. A plain value.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace verdigrid {

class JsonFields;

enum class Told { not_known, no, yes };
const char* name(Told told);  // "not known", "no", "yes"
std::optional<Told> told_named(std::string_view text);

enum class LeakSource { not_known, battery, capacitor, both };
const char* name(LeakSource source);
std::optional<LeakSource> leak_source_named(std::string_view text);

enum class BatteryKind {
  not_known,
  none,
  nickel,  // nickel-cadmium, nickel-metal-hydride
  alkaline,
  zinc_carbon,
  lithium_thionyl,  // 3.6 V clock cells
  lithium_sulphur_dioxide,
  lithium_coin,  // manganese dioxide
  lithium_ion,
  lead_acid,
  silver_oxide,
};
const char* name(BatteryKind kind);  // "nickel", "lithium-thionyl" ...
std::optional<BatteryKind> battery_kind_named(std::string_view text);
const std::vector<const char*>& battery_kind_names();

// What goes with the battery when it is taken out, as the entry record of the unit says.
enum class BatteryData {
  not_asked,  // no entry record
  nothing,
  kept,     // calibration, keys or settings
  maybe,    // nobody knows
  settled,  // saved, or the owner accepts the loss: signed
};
const char* name(BatteryData data);  // "not asked", "nothing", "kept", "maybe", "settled"
std::optional<BatteryData> battery_data_named(std::string_view text);

// Electrolyte of the aluminium electrolytics that leaked.
enum class CapacitorFluid {
  not_known,
  glycol_borate,  // older or high-voltage parts, with leads
  quaternary,     // small surface-mount parts of the late 1980s and 1990s
};
const char* name(CapacitorFluid fluid);  // "glycol-borate", "quaternary"
std::optional<CapacitorFluid> capacitor_fluid_named(std::string_view text);

struct StripReading {
  std::string place;  // work area, square or zone; empty: holds for the whole board
  double ph = 7;      // 0 to 14
  bool after_rinse = false;
  std::string on;  // date, may be empty
  bool operator==(const StripReading&) const = default;
};

// Parts and surfaces that an ultrasonic bath harms (plan/ultrasonic.h has the sources).
enum class BathHarm {
  tuning_fork_crystal,
  mems,
  cavity_package,
  coil_or_transformer,
  relay_or_switch,
  potentiometer,
  meter_or_speaker,
  bearing,
  sealed_trap,
  neoprene,
  label_or_loose_coat,
};
inline constexpr int k_bath_harm_count = static_cast<int>(BathHarm::label_or_loose_coat) + 1;
const char* name(BathHarm harm);   // "tuning-fork-crystal"
const char* words(BathHarm harm);  // "tuning-fork crystals (32.768 kHz and other kHz)"
std::optional<BathHarm> bath_harm_named(std::string_view text);

// Worst reading of etched copper that a person measured; empty: not measured.
struct EtchReading {
  std::optional<double> width_loss_percent;  // of a conductor
  std::optional<double> width_left_mm;
  std::optional<double> pad_loss_percent;  // of a pad's area
  Told lifted_conductor = Told::not_known;
  Told pit_into_hole = Told::not_known;  // crack or pit running into a plated hole
  bool operator==(const EtchReading&) const = default;
};

struct Known {
  LeakSource leak_from = LeakSource::not_known;
  BatteryKind battery = BatteryKind::not_known;
  BatteryData battery_data = BatteryData::not_asked;
  Told battery_fitted = Told::not_known;
  Told battery_leaking = Told::not_known;
  Told leak_is_fresh = Told::not_known;
  Told hissing_or_smell = Told::not_known;
  CapacitorFluid fluid = CapacitorFluid::not_known;
  std::vector<StripReading> strips;
  Told wet = Told::not_known;
  Told alcohol_on_board = Told::not_known;
  Told coated = Told::not_known;
  Told above_50_v = Told::not_known;
  Told picture_tube = Told::not_known;
  Told mains_capacitors = Told::not_known;
  Told mains_suppression = Told::not_known;  // old suppression capacitors across the mains
  Told nests = Told::not_known;
  Told white_ceramic = Told::not_known;
  Told oil_cans = Told::not_known;
  Told glowing_dials = Told::not_known;
  std::array<Told, k_bath_harm_count> bath_harms{};  // fitted? no: absent or taken off
  Told washed = Told::not_known;
  Told traces_checked = Told::not_known;  // after the wash
  Told spares_known = Told::not_known;    // a good board or the parts can be had
  EtchReading etch;
  std::optional<double> owner_value;  // money, what the board is worth to its owner
  bool operator==(const Known&) const = default;
};

// Fields of the JSON object; only what is known is written.
std::string known_json(const Known& known);
Known known_from(JsonFields& fields);

}  // namespace verdigrid
