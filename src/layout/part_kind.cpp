#include "layout/part_kind.h"

#include <algorithm>
#include <cctype>
#include <string>

#include "layout/words.h"

namespace verdigrid {

namespace {

using K = PartKind;

constexpr Words<K, 27> k_kinds{{
    {K::unknown, "unknown"},
    {K::aluminium_smd, "aluminium-smd"},
    {K::aluminium_radial, "aluminium-radial"},
    {K::aluminium_axial, "aluminium-axial"},
    {K::tantalum, "tantalum"},
    {K::film_suppression, "film-suppression"},
    {K::capacitor, "capacitor"},
    {K::resistor, "resistor"},
    {K::resistor_array, "resistor-array"},
    {K::inductor, "inductor"},
    {K::transformer, "transformer"},
    {K::diode, "diode"},
    {K::led, "led"},
    {K::transistor, "transistor"},
    {K::ic, "ic"},
    {K::battery, "battery"},
    {K::connector, "connector"},
    {K::socket, "socket"},
    {K::crystal, "crystal"},
    {K::relay, "relay"},
    {K::switch_, "switch"},
    {K::mems, "mems"},
    {K::fuse, "fuse"},
    {K::potentiometer, "potentiometer"},
    {K::label, "label"},
    {K::hole, "hole"},
    {K::mark, "mark"},
}};

constexpr Words<Chemistry, 9> k_chemistries{{
    {Chemistry::unknown, "unknown"},
    {Chemistry::nickel_cadmium, "nickel-cadmium"},
    {Chemistry::nickel_metal_hydride, "nickel-metal-hydride"},
    {Chemistry::alkaline, "alkaline"},
    {Chemistry::zinc_carbon, "zinc-carbon"},
    {Chemistry::lead_acid, "lead-acid"},
    {Chemistry::lithium_primary, "lithium-primary"},
    {Chemistry::lithium_ion, "lithium-ion"},
    {Chemistry::silver_oxide, "silver-oxide"},
}};

std::string lower(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return out;
}

bool has(const std::string& text, std::initializer_list<std::string_view> words) {
  return std::any_of(words.begin(), words.end(),
                     [&](std::string_view w) { return text.find(w) != std::string::npos; });
}

// Words that settle the kind whatever the designator says.
PartKind kind_by_words(const std::string& text) {
  if (has(text, {"fiducial", "testpoint", "test_point", "logo"})) return K::mark;
  if (has(text, {"mountinghole", "mounting_hole"})) return K::hole;
  if (has(text, {"batteryholder", "cr2032", "cr1220", "coincell", "nicd", "ni-cd"}))
    return K::battery;
  if (has(text, {"cp_axial"})) return K::aluminium_axial;
  if (has(text, {"cp_elec", "cp_smd"})) return K::aluminium_smd;
  if (has(text, {"cp_radial", "capacitor_polarised", "elko"})) return K::aluminium_radial;
  if (has(text, {"tantal", "_tant_"})) return K::tantalum;
  if (has(text, {"socket", "plcc_socket"})) return K::socket;
  if (has(text, {"led_", "led-"})) return K::led;
  return K::unknown;
}

struct Letters {
  std::string_view letters;
  PartKind kind;
};

// IEEE 315-1975, clause 22: class designation letters, longest first; RN, RP, SK, JP, TP, FID, LED
// and H are common practice.
constexpr std::array k_letters{
    Letters{"FID", K::mark},
    Letters{"LED", K::led},
    Letters{"BT", K::battery},
    Letters{"BAT", K::battery},
    Letters{"CN", K::connector},
    Letters{"CR", K::diode},
    Letters{"DS", K::led},
    Letters{"FB", K::inductor},
    Letters{"JP", K::connector},
    Letters{"MH", K::hole},
    Letters{"RN", K::resistor_array},
    Letters{"RP", K::resistor_array},
    Letters{"RV", K::potentiometer},
    Letters{"SK", K::socket},
    Letters{"SW", K::switch_},
    Letters{"TP", K::mark},
    Letters{"VR", K::unknown},
    Letters{"XTAL", K::crystal},
    Letters{"XU", K::socket},
    Letters{"IC", K::ic},
    Letters{"C", K::capacitor},
    Letters{"D", K::diode},
    Letters{"F", K::fuse},
    Letters{"G", K::unknown},
    Letters{"H", K::hole},
    Letters{"J", K::connector},
    Letters{"K", K::relay},
    Letters{"L", K::inductor},
    Letters{"P", K::connector},
    Letters{"Q", K::transistor},
    Letters{"R", K::resistor},
    Letters{"S", K::switch_},
    Letters{"T", K::transformer},
    Letters{"U", K::ic},
    Letters{"X", K::unknown},
    Letters{"Y", K::crystal},
};

}  // namespace

const char* name(PartKind kind) { return word_of(k_kinds, kind); }
std::optional<PartKind> part_kind_named(std::string_view text) { return value_of(k_kinds, text); }

const std::vector<PartKind>& part_kinds() {
  static const std::vector<PartKind> all = [] {
    std::vector<PartKind> list;
    for (const auto& [kind, text] : k_kinds) list.push_back(kind);
    return list;
  }();
  return all;
}

bool may_leak(PartKind kind) {
  return kind == K::aluminium_smd || kind == K::aluminium_radial || kind == K::aluminium_axial ||
         kind == K::battery;
}

const char* name(Chemistry chemistry) { return word_of(k_chemistries, chemistry); }
std::optional<Chemistry> chemistry_named(std::string_view text) {
  return value_of(k_chemistries, text);
}

PartKind likely_kind(std::string_view designator, std::string_view value,
                     std::string_view package) {
  const PartKind by_words = kind_by_words(lower(package) + " " + lower(value));
  if (by_words != K::unknown) return by_words;
  size_t n = 0;
  while (n < designator.size() && std::isalpha(static_cast<unsigned char>(designator[n]))) ++n;
  const std::string_view letters = designator.substr(0, n);
  for (const Letters& entry : k_letters)
    if (letters == entry.letters) {
      if (letters == "X" && lower(value).find("hz") != std::string::npos) return K::crystal;
      return entry.kind;
    }
  return K::unknown;
}

}  // namespace verdigrid
