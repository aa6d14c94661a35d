// Nominal sizes of the packages that invented boards use, and where their leads are soldered.
#include <fmt/format.h>

#include <cmath>

#include "base/error.h"
#include "synthetic/spec.h"

namespace verdigrid::synthetic {

namespace {

enum class Leads { none, pair, dual, quad, rows, line, gull_pair };

// Body width x height at rotation 0 and height above the board, mm; pitch along a row, `row`
// between rows. Sizes are common practice of such packages (lead pitches: multiples of 2.54 mm or
// 1.27 mm; JEDEC MS-001 DIP rows 7.62 and 15.24 mm, MS-012/013 SOIC, MS-018 PLCC).
struct Package {
  Kind kind;
  const char* name;
  double width, height, tall;
  int pins;
  double pitch, row;
  Leads leads;
};

constexpr Package k_packages[] = {
    {Kind::radial_can, "can-5x11", 5, 5, 11, 2, 2, 0, Leads::pair},
    {Kind::radial_can, "can-6.3x11", 6.3, 6.3, 11, 2, 2.5, 0, Leads::pair},
    {Kind::radial_can, "can-8x12", 8, 8, 12, 2, 3.5, 0, Leads::pair},
    {Kind::radial_can, "can-10x16", 10, 10, 16, 2, 5, 0, Leads::pair},
    {Kind::radial_can, "can-13x21", 13, 13, 21, 2, 5, 0, Leads::pair},
    {Kind::radial_can, "can-16x25", 16, 16, 25, 2, 7.5, 0, Leads::pair},
    {Kind::smd_can, "smd-can-4", 4.3, 4.3, 5.4, 2, 3.6, 0, Leads::gull_pair},
    {Kind::smd_can, "smd-can-5", 5.3, 5.3, 5.4, 2, 4.4, 0, Leads::gull_pair},
    {Kind::smd_can, "smd-can-6.3", 6.6, 6.6, 5.8, 2, 5.6, 0, Leads::gull_pair},
    {Kind::smd_can, "smd-can-8", 8.3, 8.3, 10, 2, 7.2, 0, Leads::gull_pair},
    {Kind::smd_can, "smd-can-10", 10.3, 10.3, 10, 2, 9.0, 0, Leads::gull_pair},
    {Kind::axial_can, "axial-6x15", 15, 6, 6.5, 2, 20.32, 0, Leads::pair},
    {Kind::axial_can, "axial-8x20", 20, 8, 8.5, 2, 25.4, 0, Leads::pair},
    {Kind::axial_can, "axial-13x30", 30, 13, 13.5, 2, 38.1, 0, Leads::pair},
    {Kind::tantalum_bead, "bead-5", 5, 4, 8, 2, 2.54, 0, Leads::pair},
    {Kind::tantalum_smd, "tantalum-3.2x1.6", 3.2, 1.6, 1.6, 2, 2.6, 0, Leads::gull_pair},
    {Kind::tantalum_smd, "tantalum-6x3.2", 6, 3.2, 2.5, 2, 5.0, 0, Leads::gull_pair},
    {Kind::tantalum_smd, "tantalum-7.3x4.3", 7.3, 4.3, 2.8, 2, 6.2, 0, Leads::gull_pair},
    {Kind::barrel_battery, "barrel-16x20", 20, 15.5, 16, 2, 25.4, 0, Leads::pair},
    {Kind::barrel_battery, "barrel-16x30", 30, 15.5, 16, 2, 35.56, 0, Leads::pair},
    {Kind::coin_battery, "coin-20", 20, 20, 5, 2, 21.5, 0, Leads::pair},
    {Kind::film_capacitor, "film-7x3", 7.2, 3, 6.5, 2, 5.08, 0, Leads::pair},
    {Kind::film_capacitor, "film-18x8", 18, 8, 14, 2, 15, 0, Leads::pair},
    {Kind::disc_capacitor, "disc-6", 6, 2.5, 7, 2, 5.08, 0, Leads::pair},
    {Kind::chip_capacitor, "chip-2x1.2", 2, 1.25, 1.0, 2, 1.9, 0, Leads::gull_pair},
    {Kind::chip_capacitor, "chip-3.2x1.6", 3.2, 1.6, 1.3, 2, 3.0, 0, Leads::gull_pair},
    {Kind::chip_resistor, "chip-2x1.2", 2, 1.25, 0.5, 2, 1.9, 0, Leads::gull_pair},
    {Kind::chip_resistor, "chip-3.2x1.6", 3.2, 1.6, 0.6, 2, 3.0, 0, Leads::gull_pair},
    {Kind::resistor, "resistor-10", 6.3, 2.4, 2.6, 2, 10.16, 0, Leads::pair},
    {Kind::resistor, "resistor-15", 9.2, 3.3, 3.5, 2, 15.24, 0, Leads::pair},
    {Kind::resistor_array, "array-8", 20.3, 2.5, 5, 8, 2.54, 0, Leads::line},
    {Kind::resistor_array, "array-10", 25.4, 2.5, 5, 10, 2.54, 0, Leads::line},
    {Kind::diode, "diode-8", 4, 2, 2.2, 2, 7.62, 0, Leads::pair},
    {Kind::diode, "diode-12", 8, 5, 5.2, 2, 15.24, 0, Leads::pair},
    {Kind::transistor, "transistor-5", 4.8, 3.8, 5, 3, 1.27, 0, Leads::line},
    {Kind::dip, "dip-8", 9.8, 6.4, 3.6, 8, 2.54, 7.62, Leads::dual},
    {Kind::dip, "dip-14", 19.3, 6.4, 3.6, 14, 2.54, 7.62, Leads::dual},
    {Kind::dip, "dip-16", 19.6, 6.4, 3.6, 16, 2.54, 7.62, Leads::dual},
    {Kind::dip, "dip-20", 25.4, 6.4, 3.6, 20, 2.54, 7.62, Leads::dual},
    {Kind::dip, "dip-28", 36.5, 13.8, 4.2, 28, 2.54, 15.24, Leads::dual},
    {Kind::dip, "dip-40", 52, 13.8, 4.2, 40, 2.54, 15.24, Leads::dual},
    {Kind::soic, "soic-8", 4.9, 3.9, 1.6, 8, 1.27, 5.4, Leads::dual},
    {Kind::soic, "soic-14", 8.7, 3.9, 1.6, 14, 1.27, 5.4, Leads::dual},
    {Kind::soic, "soic-16", 9.9, 3.9, 1.6, 16, 1.27, 5.4, Leads::dual},
    {Kind::soic, "soic-20", 12.8, 7.5, 2.5, 20, 1.27, 9.4, Leads::dual},
    {Kind::soic, "soic-28", 17.9, 7.5, 2.5, 28, 1.27, 9.4, Leads::dual},
    {Kind::plcc, "plcc-44", 16.6, 16.6, 4.4, 44, 1.27, 16.4, Leads::quad},
    {Kind::plcc, "plcc-68", 24.2, 24.2, 4.4, 68, 1.27, 24.0, Leads::quad},
    {Kind::qfp, "qfp-44", 10, 10, 2.2, 44, 0.8, 12.2, Leads::quad},
    {Kind::qfp, "qfp-100", 20, 20, 3, 100, 0.65, 22.4, Leads::quad},
    {Kind::qfp, "qfp-160", 28, 28, 3.6, 160, 0.65, 30.4, Leads::quad},
    {Kind::dip_socket, "socket-16", 20.3, 10, 4.5, 16, 2.54, 7.62, Leads::dual},
    {Kind::dip_socket, "socket-28", 35.6, 17.6, 4.5, 28, 2.54, 15.24, Leads::dual},
    {Kind::crystal, "crystal-11x5", 11, 4.7, 4, 2, 4.9, 0, Leads::pair},
    {Kind::crystal, "crystal-2x6", 6.2, 2.1, 2.2, 2, 1.3, 0, Leads::pair},
    {Kind::oscillator, "oscillator-14", 20.4, 12.9, 5.4, 4, 15.24, 7.62, Leads::dual},
    {Kind::pin_header, "header-1x6", 15.2, 2.5, 8.5, 6, 2.54, 0, Leads::line},
    {Kind::pin_header, "header-2x5", 12.7, 5, 8.5, 10, 2.54, 2.54, Leads::dual},
    {Kind::pin_header, "header-2x17", 43.2, 5, 8.5, 34, 2.54, 2.54, Leads::dual},
    {Kind::box_header, "box-2x10", 35.6, 8.9, 9, 20, 2.54, 2.54, Leads::dual},
    {Kind::box_header, "box-2x20", 61, 8.9, 9, 40, 2.54, 2.54, Leads::dual},
    {Kind::power_connector, "power-1x4", 16, 9, 11, 4, 3.96, 0, Leads::line},
    {Kind::power_connector, "power-1x6", 24, 9, 11, 6, 3.96, 0, Leads::line},
    {Kind::edge_connector, "d-shell-9", 31, 12.5, 12.5, 9, 2.77, 2.84, Leads::rows},
    {Kind::edge_connector, "d-shell-25", 53, 12.5, 12.5, 25, 2.77, 2.84, Leads::rows},
    {Kind::terminal_block, "terminal-2", 10.2, 8, 10, 2, 5.08, 0, Leads::line},
    {Kind::terminal_block, "terminal-4", 20.3, 8, 10, 4, 5.08, 0, Leads::line},
    {Kind::trimmer, "trimmer-10", 9.5, 4.8, 10, 3, 2.54, 0, Leads::line},
    {Kind::relay, "relay-19x15", 19, 15.5, 15, 4, 12.2, 12, Leads::dual},
    {Kind::label, "label-20x8", 20, 8, 0.15, 0, 0, 0, Leads::none},
    {Kind::label, "label-14x5", 14, 5, 0.15, 0, 0, 0, Leads::none},
};

const Package& package_of(Kind kind, const std::string& package) {
  for (const Package& p : k_packages)
    if (p.kind == kind && package == p.name) return p;
  throw Error(ErrorKind::wrong_use, fmt::format("There is no package \"{}\" of kind {}; see "
                                                "tests/synthetic/packages.cpp.",
                                                package, name(kind)));
}

struct LocalPad {
  cv::Point2d at;
  cv::Size2d size;
  bool is_round, is_through;
};

double through_pad_mm(const Package& p) {
  switch (p.kind) {
    case Kind::barrel_battery:
    case Kind::power_connector:
    case Kind::terminal_block:
    case Kind::relay:
      return 2.6;
    case Kind::transistor:
    case Kind::crystal:
      return p.pitch < 2 ? 1.1 : 1.7;
    default:
      return p.pitch >= 5 || p.tall > 12 ? 2.0 : 1.6;
  }
}

void add_line(std::vector<LocalPad>& pads, int count, double pitch, double y, double direction,
              cv::Size2d size, bool is_through) {
  for (int i = 0; i < count; ++i)
    pads.push_back(
        {{direction * (i - (count - 1) / 2.0) * pitch, y}, size, is_through, is_through});
}

std::vector<LocalPad> local_pads(const Package& p) {
  std::vector<LocalPad> pads;
  const bool is_smd = p.kind == Kind::soic || p.kind == Kind::plcc || p.kind == Kind::qfp;
  const double d = through_pad_mm(p);
  const cv::Size2d round{d, d};
  switch (p.leads) {
    case Leads::none:
      break;
    case Leads::pair:
      add_line(pads, 2, p.pitch, p.kind == Kind::crystal ? p.height / 2 + 1.2 : 0, 1, round, true);
      break;
    case Leads::gull_pair: {
      const double w = p.kind == Kind::smd_can ? 3.0 : std::max(0.9, p.width * 0.32);
      const double h = p.kind == Kind::smd_can ? 1.6 : p.height * 1.05;
      add_line(pads, 2, p.pitch, 0, 1, {w, h}, false);
      break;
    }
    case Leads::dual: {
      const cv::Size2d size = is_smd ? cv::Size2d{0.62, 1.7} : round;
      add_line(pads, p.pins / 2, p.pitch, p.row / 2, 1, size, !is_smd);
      add_line(pads, p.pins - p.pins / 2, p.pitch, -p.row / 2, -1, size, !is_smd);
      break;
    }
    case Leads::quad: {
      const int side = p.pins / 4;
      const cv::Size2d upright{p.pitch * 0.52, p.kind == Kind::plcc ? 1.9 : 1.8};
      const cv::Size2d level{upright.height, upright.width};
      for (int i = 0; i < p.pins; ++i) {
        const double t = (i % side - (side - 1) / 2.0) * p.pitch, r = p.row / 2;
        const cv::Point2d at = i < side       ? cv::Point2d{-r, t}
                               : i < 2 * side ? cv::Point2d{t, r}
                               : i < 3 * side ? cv::Point2d{r, -t}
                                              : cv::Point2d{-t, -r};
        pads.push_back({at, (i / side) % 2 == 0 ? level : upright, false, false});
      }
      break;
    }
    case Leads::rows:  // two staggered rows behind the connector's face
      add_line(pads, (p.pins + 1) / 2, p.pitch, p.height / 2 + 1.2, 1, round, true);
      add_line(pads, p.pins / 2, p.pitch, p.height / 2 + 1.2 + p.row, 1, round, true);
      break;
    case Leads::line:
      add_line(pads, p.pins, p.pitch, 0, 1, round, true);
      break;
  }
  return pads;
}

}  // namespace

std::vector<std::string> package_names(Kind kind) {
  std::vector<std::string> names;
  for (const Package& p : k_packages)
    if (p.kind == kind) names.emplace_back(p.name);
  return names;
}

PlacedPart part(Kind kind, const std::string& package, const std::string& designator,
                cv::Point2d centre_mm, double rotation_deg, Side side) {
  const Package& p = package_of(kind, package);
  PlacedPart r;
  r.designator = designator;
  r.kind = kind;
  r.package = package;
  r.centre_mm = centre_mm;
  r.rotation_deg = rotation_deg;
  r.side = side;
  r.body_mm = {p.width, p.height};
  r.height_mm = p.tall;
  r.pins = p.pins;
  r.is_round = kind == Kind::radial_can || kind == Kind::coin_battery;
  r.is_polarised = may_leak(kind) || kind == Kind::tantalum_bead || kind == Kind::tantalum_smd ||
                   kind == Kind::diode;
  return r;
}

std::vector<Pad> pads_of(const PlacedPart& part) {
  std::vector<Pad> pads;
  int pin = 0;
  for (const LocalPad& l : local_pads(package_of(part.kind, part.package)))
    pads.push_back(
        {board_point_of(part, l.at), l.size, part.rotation_deg, l.is_round, l.is_through, ++pin});
  return pads;
}

}  // namespace verdigrid::synthetic
