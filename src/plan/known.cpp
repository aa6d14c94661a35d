#include "plan/known.h"

#include "layout/words.h"
#include "plan/plan_json.h"

namespace verdigrid {

using Json = nlohmann::ordered_json;

namespace {

constexpr Words<Told, 3> k_told{
    {{Told::not_known, "not known"}, {Told::no, "no"}, {Told::yes, "yes"}}};
constexpr Words<LeakSource, 4> k_sources{{{LeakSource::not_known, "not known"},
                                          {LeakSource::battery, "battery"},
                                          {LeakSource::capacitor, "capacitor"},
                                          {LeakSource::both, "both"}}};
using B = BatteryKind;
constexpr Words<BatteryKind, 11> k_batteries{
    {{B::not_known, "not known"},
     {B::none, "none"},
     {B::nickel, "nickel"},
     {B::alkaline, "alkaline"},
     {B::zinc_carbon, "zinc-carbon"},
     {B::lithium_thionyl, "lithium-thionyl"},
     {B::lithium_sulphur_dioxide, "lithium-sulphur-dioxide"},
     {B::lithium_coin, "lithium-coin"},
     {B::lithium_ion, "lithium-ion"},
     {B::lead_acid, "lead-acid"},
     {B::silver_oxide, "silver-oxide"}}};
constexpr Words<BatteryData, 5> k_battery_data{{{BatteryData::not_asked, "not asked"},
                                                {BatteryData::nothing, "nothing"},
                                                {BatteryData::kept, "kept"},
                                                {BatteryData::maybe, "maybe"},
                                                {BatteryData::settled, "settled"}}};
constexpr Words<CapacitorFluid, 3> k_fluids{{{CapacitorFluid::not_known, "not known"},
                                             {CapacitorFluid::glycol_borate, "glycol-borate"},
                                             {CapacitorFluid::quaternary, "quaternary"}}};

struct BathRow {
  BathHarm harm;
  const char *name, *words;
};
constexpr std::array<BathRow, k_bath_harm_count> k_bath_rows{{
    {BathHarm::tuning_fork_crystal, "tuning-fork-crystal",
     "tuning-fork crystals (32.768 kHz and other kHz)"},
    {BathHarm::mems, "mems", "MEMS parts (oscillators, sensors, microphones)"},
    {BathHarm::cavity_package, "cavity-package", "cavity packages (metal cans, hermetic chips)"},
    {BathHarm::coil_or_transformer, "coil-or-transformer", "unsealed coils and transformers"},
    {BathHarm::relay_or_switch, "relay-or-switch", "relays and switches"},
    {BathHarm::potentiometer, "potentiometer", "potentiometers"},
    {BathHarm::meter_or_speaker, "meter-or-speaker", "meters, speakers, buzzers"},
    {BathHarm::bearing, "bearing", "permanently lubricated bearings (fans, drives)"},
    {BathHarm::sealed_trap, "sealed-trap", "sealed parts that trap water"},
    {BathHarm::neoprene, "neoprene", "neoprene gaskets (in a solvent tank)"},
    {BathHarm::label_or_loose_coat, "label-or-loose-coat",
     "paper labels, printing on ceramic chips, loose solder mask, lifting pads"},
}};

struct ToldField {
  const char* name;
  Told Known::*field;
};
constexpr ToldField k_told_fields[] = {
    {"battery_fitted", &Known::battery_fitted},
    {"battery_leaking", &Known::battery_leaking},
    {"leak_is_fresh", &Known::leak_is_fresh},
    {"hissing_or_smell", &Known::hissing_or_smell},
    {"wet", &Known::wet},
    {"alcohol_on_board", &Known::alcohol_on_board},
    {"coated", &Known::coated},
    {"above_50_v", &Known::above_50_v},
    {"picture_tube", &Known::picture_tube},
    {"mains_capacitors", &Known::mains_capacitors},
    {"mains_suppression", &Known::mains_suppression},
    {"nests", &Known::nests},
    {"white_ceramic", &Known::white_ceramic},
    {"oil_cans", &Known::oil_cans},
    {"glowing_dials", &Known::glowing_dials},
    {"washed", &Known::washed},
    {"traces_checked", &Known::traces_checked},
    {"spares_known", &Known::spares_known},
};

void put(Json& j, const char* key, Told told) {
  if (told != Told::not_known) j[key] = name(told);
}

Json etch_json(const EtchReading& e) {
  Json j = Json::object();
  if (e.width_loss_percent) j["width_loss_percent"] = *e.width_loss_percent;
  if (e.width_left_mm) j["width_left_mm"] = *e.width_left_mm;
  if (e.pad_loss_percent) j["pad_loss_percent"] = *e.pad_loss_percent;
  put(j, "lifted_conductor", e.lifted_conductor);
  put(j, "pit_into_hole", e.pit_into_hole);
  return j;
}

std::optional<double> up_to(JsonFields& f, const char* key, double most) {
  f.allow(key);
  if (!f.has(key)) return std::nullopt;
  return amount_or(f, key, 0, most);
}

EtchReading etch_from(JsonFields f) {
  EtchReading e;
  e.width_loss_percent = up_to(f, "width_loss_percent", 100);
  e.width_left_mm = up_to(f, "width_left_mm", 1000);
  e.pad_loss_percent = up_to(f, "pad_loss_percent", 100);
  e.lifted_conductor = f.word_or("lifted_conductor", k_told, Told::not_known);
  e.pit_into_hole = f.word_or("pit_into_hole", k_told, Told::not_known);
  f.finish();
  return e;
}

StripReading strip_from(JsonFields& f) {
  StripReading s;
  s.place = f.text_or("place", "");
  s.ph = f.number("ph");
  if (!(s.ph >= 0 && s.ph <= 14)) f.refuse("ph", "must be from 0 to 14");
  s.after_rinse = f.truth_or("after_rinse", false);
  s.on = f.text_or("on", "");
  f.finish();
  return s;
}

Json strip_json(const StripReading& s) {
  Json j = Json::object();
  if (!s.place.empty()) j["place"] = s.place;
  j["ph"] = s.ph;
  if (s.after_rinse) j["after_rinse"] = true;
  if (!s.on.empty()) j["on"] = s.on;
  return j;
}

}  // namespace

const char* name(Told told) { return word_of(k_told, told); }
std::optional<Told> told_named(std::string_view text) { return value_of(k_told, text); }
const char* name(LeakSource source) { return word_of(k_sources, source); }
std::optional<LeakSource> leak_source_named(std::string_view text) {
  return value_of(k_sources, text);
}
const char* name(BatteryKind kind) { return word_of(k_batteries, kind); }
std::optional<BatteryKind> battery_kind_named(std::string_view text) {
  return value_of(k_batteries, text);
}
const std::vector<const char*>& battery_kind_names() {
  static const std::vector<const char*> names = [] {
    std::vector<const char*> list;
    for (const auto& [kind, text] : k_batteries) list.push_back(text);
    return list;
  }();
  return names;
}
const char* name(BatteryData data) { return word_of(k_battery_data, data); }
std::optional<BatteryData> battery_data_named(std::string_view text) {
  return value_of(k_battery_data, text);
}
const char* name(CapacitorFluid fluid) { return word_of(k_fluids, fluid); }
std::optional<CapacitorFluid> capacitor_fluid_named(std::string_view text) {
  return value_of(k_fluids, text);
}
const char* name(BathHarm harm) { return k_bath_rows.at(static_cast<size_t>(harm)).name; }
const char* words(BathHarm harm) { return k_bath_rows.at(static_cast<size_t>(harm)).words; }
std::optional<BathHarm> bath_harm_named(std::string_view text) {
  for (const BathRow& r : k_bath_rows)
    if (text == r.name) return r.harm;
  return std::nullopt;
}

std::string known_json(const Known& k) {
  Json j = Json::object();
  if (k.leak_from != LeakSource::not_known) j["leak_from"] = name(k.leak_from);
  if (k.battery != BatteryKind::not_known) j["battery"] = name(k.battery);
  if (k.battery_data != BatteryData::not_asked) j["battery_data"] = name(k.battery_data);
  if (k.fluid != CapacitorFluid::not_known) j["fluid"] = name(k.fluid);
  for (const ToldField& f : k_told_fields) put(j, f.name, k.*f.field);
  for (const StripReading& s : k.strips) j["strips"].push_back(strip_json(s));
  for (const BathRow& r : k_bath_rows)
    if (const Told told = k.bath_harms[static_cast<size_t>(r.harm)]; told != Told::not_known)
      j["bath_harms"][r.name] = name(told);
  if (k.etch != EtchReading{}) j["etch"] = etch_json(k.etch);
  if (k.owner_value) j["owner_value"] = *k.owner_value;
  return j.dump(-1, ' ', false, Json::error_handler_t::replace);
}

Known known_from(JsonFields& f) {
  Known k;
  k.leak_from = f.word_or("leak_from", k_sources, LeakSource::not_known);
  k.battery = f.word_or("battery", k_batteries, BatteryKind::not_known);
  k.battery_data = f.word_or("battery_data", k_battery_data, BatteryData::not_asked);
  k.fluid = f.word_or("fluid", k_fluids, CapacitorFluid::not_known);
  for (const ToldField& t : k_told_fields) k.*t.field = f.word_or(t.name, k_told, Told::not_known);
  for (JsonFields& s : f.objects("strips")) k.strips.push_back(strip_from(s));
  f.allow("bath_harms");
  if (f.has("bath_harms")) {
    JsonFields harms = f.object("bath_harms");
    for (const BathRow& r : k_bath_rows)
      k.bath_harms[static_cast<size_t>(r.harm)] = harms.word_or(r.name, k_told, Told::not_known);
    harms.finish();
  }
  f.allow("etch");
  if (f.has("etch")) k.etch = etch_from(f.object("etch"));
  k.owner_value = up_to(f, "owner_value", k_most_money);
  f.finish();
  return k;
}

}  // namespace verdigrid
