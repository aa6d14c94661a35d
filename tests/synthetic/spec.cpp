#include "synthetic/spec.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "base/error.h"

namespace verdigrid::synthetic {

namespace {

void refuse(bool wrong, const std::string& field) {
  if (wrong)
    throw Error(ErrorKind::wrong_use, "The rendered board's " + field +
                                          " is out of its range; see tests/synthetic/spec.h.");
}

bool is_share(double v) { return v >= 0 && v <= 1; }

}  // namespace

const char* name(MaskColour c) {
  constexpr const char* names[]{"green", "dark-green", "blue",   "red",
                                "black", "white",      "yellow", "phenolic"};
  return names[static_cast<int>(c)];
}

const char* name(Kind k) {
  constexpr const char* names[]{"radial-can",
                                "smd-can",
                                "axial-can",
                                "tantalum-bead",
                                "tantalum-smd",
                                "barrel-battery",
                                "coin-battery",
                                "film-capacitor",
                                "disc-capacitor",
                                "chip-capacitor",
                                "chip-resistor",
                                "resistor",
                                "resistor-array",
                                "diode",
                                "transistor",
                                "dip",
                                "soic",
                                "plcc",
                                "qfp",
                                "dip-socket",
                                "crystal",
                                "oscillator",
                                "pin-header",
                                "box-header",
                                "power-connector",
                                "edge-connector",
                                "terminal-block",
                                "trimmer",
                                "relay",
                                "label"};
  return names[static_cast<int>(k)];
}

bool may_leak(Kind k) {
  return k == Kind::radial_can || k == Kind::smd_can || k == Kind::axial_can ||
         k == Kind::barrel_battery || k == Kind::coin_battery;
}

void BoardSpec::check() const {
  refuse(
      !(size_mm.width >= 5 && size_mm.width <= 600 && size_mm.height >= 5 && size_mm.height <= 600),
      "size_mm (5 to 600)");
  refuse(!(corner_mm >= 0 && corner_mm <= std::min(size_mm.width, size_mm.height) / 2),
         "corner_mm");
  refuse(!is_share(age), "age");
  refuse(!is_share(dirt), "dirt");
  refuse(!is_share(flux), "flux");
  std::set<std::string> seen;
  for (const PlacedPart& p : parts) {
    refuse(p.designator.empty() || !seen.insert(p.designator).second,
           "list of parts (designator \"" + p.designator + "\" is empty or there twice)");
    refuse(!(p.body_mm.width > 0 && p.body_mm.height > 0 && p.height_mm >= 0 && p.height_mm <= 60),
           "body of " + p.designator);
  }
  for (const Deposit& d : deposits) {
    refuse(d.residue == Residue::none || d.residue == Residue::unsure, "residue of a deposit");
    refuse(!(d.reach_mm > 0 && d.reach_mm <= 200 && is_share(d.amount)), "reach of a deposit");
  }
}

bool BoardSpec::is_fitted(const PlacedPart& p) const {
  return std::find(omitted.begin(), omitted.end(), p.designator) == omitted.end();
}

cv::Point2d board_point_of(const PlacedPart& p, cv::Point2d local) {
  const double a = p.rotation_deg * CV_PI / 180, c = std::cos(a), s = std::sin(a);
  const double x = p.side == Side::back ? -local.x : local.x;
  return p.centre_mm + cv::Point2d(c * x + s * local.y, -s * x + c * local.y);
}

Ring body_ring(const PlacedPart& p) {
  Ring ring;
  if (p.is_round) {
    for (int i = 0; i < 24; ++i) {
      const double a = i * CV_PI / 12;
      ring.push_back(board_point_of(
          p, {std::cos(a) * p.body_mm.width / 2, std::sin(a) * p.body_mm.height / 2}));
    }
  } else {
    const double w = p.body_mm.width / 2, h = p.body_mm.height / 2;
    for (const cv::Point2d q : {cv::Point2d{-w, -h}, {w, -h}, {w, h}, {-w, h}})
      ring.push_back(board_point_of(p, q));
  }
  return clockwise(ring);
}

cv::Point2d negative_end_mm(const PlacedPart& p) {
  return p.is_polarised ? board_point_of(p, {p.body_mm.width / 2, 0}) : p.centre_mm;
}

}  // namespace verdigrid::synthetic
