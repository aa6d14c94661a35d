#include "plan/part_spec.h"

#include <fmt/format.h>

#include <cmath>
#include <cstdlib>
#include <optional>
#include <regex>

#include "layout/package_table.h"

namespace verdigrid {

namespace {

constexpr double k_spacing_give_mm = 0.2;  // leads bend that far (common practice, no source)

std::string trimmed(const std::string& text) {
  const size_t first = text.find_first_not_of(" \t"), last = text.find_last_not_of(" \t");
  return first == std::string::npos ? "" : text.substr(first, last - first + 1);
}

double number_of(const std::string& text) {
  double v = 0;
  double place = 0;  // of the next digit after the point
  for (const char c : text) {
    if (c == '.') {
      place = 0.1;
    } else if (place > 0) {
      v += (c - '0') * place, place /= 10;
    } else {
      v = v * 10 + (c - '0');
    }
  }
  return v;
}

// The first group of the first of `patterns` that is found.
double number_by(const std::string& text, std::initializer_list<const std::regex*> patterns) {
  std::smatch found;
  for (const std::regex* p : patterns)
    if (std::regex_search(text, found, *p)) return number_of(found[1]);
  return 0;
}

double volts_in(const std::string& text) {
  static const std::regex volts("([0-9]+(?:\\.[0-9]+)?)\\s*[vV](?![A-Za-z])");
  return number_by(text, {&volts});
}

double diameter_of(const ItemPart& part) {
  static const std::regex named("[_-][dD]([0-9]+(?:\\.[0-9]+)?)mm");
  static const std::regex can("[eE]lec_([0-9]+(?:\\.[0-9]+)?)x");
  static const std::regex radial("^radial-([0-9]+(?:\\.[0-9]+)?)$");
  return number_by(part.package, {&named, &can, &radial});
}

double height_of(const ItemPart& part) {
  static const std::regex named("[_-][hH]([0-9]+(?:\\.[0-9]+)?)mm");
  static const std::regex can("[eE]lec_[0-9]+(?:\\.[0-9]+)?x([0-9]+(?:\\.[0-9]+)?)");
  return number_by(part.package, {&named, &can});
}

double spacing_of(const ItemPart& part) {
  static const std::regex named("[_-][pP]([0-9]+(?:\\.[0-9]+)?)mm");
  return number_by(part.package, {&named});
}

void add_body(PartSpec& spec, const Part& p) {
  if (spec.diameter_mm == 0 && p.shape == BodyShape::round && p.has_body())
    spec.diameter_mm = p.body.width;
  const bool has_two_leads =
      p.joints.size() == 2 && p.joints[0].is_through && p.joints[1].is_through;
  if (spec.spacing_mm == 0 && has_two_leads)
    spec.spacing_mm = std::round(cv::norm(p.joints[0].centre - p.joints[1].centre) * 10) / 10;
}

bool is_larger(double have, double wanted) {
  return have > 0 && wanted > 0 && have > wanted + 1e-9;
}

}  // namespace

std::string plain_value(const std::string& text) {
  static const std::regex farads(
      "([0-9]+(?:\\.[0-9]+)?)\\s*(p|n|u|\xC2\xB5|\xCE\xBC|m)[fF]?(?:[\\s/,].*)?");
  const std::string plain = trimmed(text);
  std::smatch found;
  if (!std::regex_match(plain, found, farads)) return plain;
  const std::string prefix = found[2];
  double pico = number_of(found[1]);
  if (prefix == "n") pico *= 1e3;
  if (prefix == "m") pico *= 1e9;
  if (prefix != "p" && prefix != "n" && prefix != "m") pico *= 1e6;
  if (pico >= 1e5) return fmt::format("{:.6g} uF", pico / 1e6);
  if (pico >= 1e3) return fmt::format("{:.6g} nF", pico / 1e3);
  return fmt::format("{:.6g} pF", pico);
}

PartSpec spec_of(const ItemPart& part, const Part* in_layout) {
  PartSpec spec{part.kind,         plain_value(part.value), volts_in(part.rating),
                diameter_of(part), height_of(part),         spacing_of(part)};
  if (spec.volts == 0) spec.volts = volts_in(part.value);
  if (in_layout) add_body(spec, *in_layout);
  return spec;
}

std::string words(const PartSpec& s) {
  std::string text = s.kind == PartKind::unknown ? std::string() : name(s.kind);
  text += (text.empty() ? "" : " ") + (s.value.empty() ? std::string("value not known") : s.value);
  if (s.volts > 0) text += fmt::format(", {:g} V", s.volts);
  if (s.diameter_mm > 0 && s.height_mm > 0)
    text += fmt::format(", {:g} mm x {:g} mm", s.diameter_mm, s.height_mm);
  else if (s.diameter_mm > 0)
    text += fmt::format(", diameter {:g} mm", s.diameter_mm);
  else if (s.height_mm > 0)
    text += fmt::format(", height {:g} mm", s.height_mm);
  if (s.spacing_mm > 0) text += fmt::format(", leads {:g} mm apart", s.spacing_mm);
  return text;
}

std::string missing_words(const PartSpec& s) {
  std::string text;
  const auto add = [&text](const char* what) {
    text += (text.empty() ? "" : ", ") + std::string(what);
  };
  if (s.value.empty()) add("value");
  if (s.volts == 0) add("voltage");
  if (s.diameter_mm == 0) add("diameter");
  if (s.height_mm == 0) add("height");
  if (s.spacing_mm == 0 && s.kind == PartKind::aluminium_radial) add("lead spacing");
  return text;
}

std::string misfit(const PartSpec& have, const PartSpec& wanted) {
  if (have.kind != wanted.kind)
    return fmt::format("It is {}, not {}.", name(have.kind), name(wanted.kind));
  if (wanted.value.empty() || have.value != wanted.value)
    return fmt::format("Its value is {}, not {}.", have.value.empty() ? "not known" : have.value,
                       wanted.value.empty() ? "known of the part" : wanted.value);
  if (have.volts == 0 || wanted.volts == 0) return "A voltage is not known.";
  if (have.volts < wanted.volts)
    return fmt::format("It stands {:g} V, {:g} V are needed.", have.volts, wanted.volts);
  if (is_larger(have.diameter_mm, wanted.diameter_mm))
    return fmt::format("It is {:g} mm wide, there is room for {:g} mm.", have.diameter_mm,
                       wanted.diameter_mm);
  if (is_larger(have.height_mm, wanted.height_mm))
    return fmt::format("It is {:g} mm high, there is room for {:g} mm.", have.height_mm,
                       wanted.height_mm);
  if (have.spacing_mm > 0 && wanted.spacing_mm > 0 &&
      std::abs(have.spacing_mm - wanted.spacing_mm) > k_spacing_give_mm)
    return fmt::format("Its leads are {:g} mm apart, {:g} mm are needed.", have.spacing_mm,
                       wanted.spacing_mm);
  return {};
}

}  // namespace verdigrid
