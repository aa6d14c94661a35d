#include "synthetic/generate.h"

#include <fmt/format.h>

#include <algorithm>

#include "synthetic/placer.h"

namespace verdigrid::synthetic {

namespace {

bool is_wanted(const BoardOptions& o, Residue r) {
  return o.residues.empty() ||
         std::find(o.residues.begin(), o.residues.end(), r) != o.residues.end();
}

void add_soic_block(Placer& p) {
  const int rows = p.random().whole(1, 2), columns = p.random().whole(2, 4);
  p.add_block(Kind::soic, p.random().pick(package_names(Kind::soic)), columns, rows);
}

void place_logic(Placer& p, double area_cm2, double density) {
  Random& r = p.random();
  const std::vector<std::string> small{"dip-14", "dip-16", "dip-20"}, large{"dip-28", "dip-40"};
  if (area_cm2 > 80 && r.chance(0.6)) p.add(Kind::dip, r.pick(large));
  if (area_cm2 > 100 && r.chance(0.4)) p.add(Kind::dip, r.pick(large));
  if (area_cm2 > 60 && r.chance(0.35)) p.add(Kind::plcc);
  if (area_cm2 > 60 && r.chance(0.3)) p.add(Kind::qfp);
  if (r.chance(0.75)) {  // one draw a statement: the order of arguments is the compiler's
    const int rows = r.whole(1, 3), columns = r.whole(1, 4);
    p.add_block(Kind::dip, r.pick(small), columns, rows);
  }
  if (r.chance(0.4)) add_soic_block(p);
  for (int i = static_cast<int>(density * area_cm2 / 20); i > 0; --i)
    p.add(Kind::dip, r.pick(small));
  for (int i = static_cast<int>(density * area_cm2 / 40); i > 0; --i) p.add(Kind::soic);
  if (r.chance(0.25)) p.add(Kind::dip_socket);
}

void place_small(Placer& p, double area_cm2, double density) {
  Random& r = p.random();
  const bool is_smd = r.chance(0.4);
  const Kind capacitor = is_smd ? Kind::chip_capacitor : Kind::disc_capacitor;
  const Kind resistor = is_smd ? Kind::chip_resistor : Kind::resistor;
  const std::string cap = r.pick(package_names(capacitor)), res = r.pick(package_names(resistor));
  const std::vector<PlacedPart> placed = p.parts();
  for (const PlacedPart& part : placed)
    if (part.kind == Kind::dip || part.kind == Kind::soic || part.kind == Kind::plcc)
      p.add_near(capacitor, cap, part);
  for (int i = static_cast<int>(density * area_cm2 / 40) + 1; i > 0; --i)
    p.add_block(resistor, res, 1, r.whole(2, 6));
  for (int i = static_cast<int>(density * area_cm2 / 9); i > 0; --i)
    r.chance(0.5) ? p.add(capacitor, cap) : p.add(resistor, res);
  if (r.chance(0.5)) p.add_block(Kind::resistor_array, "array-8", 1, r.whole(1, 3));
  for (int i = static_cast<int>(density * area_cm2 / 45); i > 0; --i) p.add(Kind::diode);
  for (int i = static_cast<int>(density * area_cm2 / 50); i > 0; --i) p.add(Kind::transistor);
}

void place_power(Placer& p, double area_cm2) {
  Random& r = p.random();
  if (r.chance(0.5))
    p.add_at_edge(Kind::edge_connector, r.pick(package_names(Kind::edge_connector)));
  if (r.chance(0.4))
    p.add_at_edge(Kind::power_connector, r.pick(package_names(Kind::power_connector)));
  if (r.chance(0.3))
    p.add_at_edge(Kind::terminal_block, r.pick(package_names(Kind::terminal_block)));
  if (r.chance(0.5))
    p.add(Kind::barrel_battery);
  else if (r.chance(0.5))
    p.add(Kind::coin_battery);
  const int cans = std::max(2, static_cast<int>(area_cm2 / 30));
  const Kind can = r.chance(0.35) ? Kind::smd_can : Kind::radial_can;
  for (int i = r.whole(2, cans + 1); i > 0; --i) p.add(can);
  if (r.chance(0.35)) p.add(Kind::axial_can);
  for (int i = r.whole(0, 3); i > 0; --i)
    p.add(r.chance(0.5) ? Kind::tantalum_bead : Kind::tantalum_smd);
  if (r.chance(0.2)) p.add(Kind::relay);
  if (r.chance(0.3)) p.add(Kind::film_capacitor);
  if (r.chance(0.3)) p.add(Kind::trimmer);
  if (r.chance(0.8)) p.add(Kind::crystal);
  if (r.chance(0.4)) p.add(Kind::oscillator);
  if (r.chance(0.6)) p.add(Kind::pin_header);
  if (r.chance(0.35)) p.add(Kind::box_header);
}

Deposit deposit(Residue residue, Shape shape, cv::Point2d at, double reach, double direction,
                double amount, Random& r, const std::string& source) {
  return {residue, shape, at, reach, direction, std::clamp(amount, 0.0, 1.0), r.bits(), source};
}

void add_battery_leak(std::vector<Deposit>& out, const PlacedPart& p, double heavy, Random& r) {
  const cv::Point2d at = negative_end_mm(p);
  const double run = r.uniform(0, 360), reach = r.uniform(7, 14 + 16 * heavy);
  out.push_back(deposit(Residue::copper_salt, Shape::creep, at, reach * 1.6, run,
                        0.35 + 0.5 * heavy, r, p.designator));
  out.push_back(deposit(Residue::copper_salt, Shape::bloom, at, reach * 1.3, run, 0.3 + 0.5 * heavy,
                        r, p.designator));
  if (r.chance(0.8))
    out.push_back(deposit(Residue::white_salt, Shape::crust, at, reach * 0.6, run,
                          0.4 + 0.4 * heavy, r, p.designator));
  if (r.chance(0.6))
    out.push_back(deposit(Residue::attacked_joint, Shape::joint, at, reach * 1.5, run,
                          0.4 + 0.4 * heavy, r, p.designator));
  if (r.chance(0.5))
    out.push_back(deposit(Residue::eaten_copper, Shape::eaten, at, reach, run, 0.3 + 0.5 * heavy, r,
                          p.designator));
  if (r.chance(0.4))
    out.push_back(deposit(Residue::rust, Shape::iron, at, reach * 1.5, run, 0.5, r, p.designator));
}

void add_can_leak(std::vector<Deposit>& out, const PlacedPart& p, double heavy, Random& r) {
  const cv::Point2d at = negative_end_mm(p);
  const double run = r.uniform(0, 360), size = std::max(p.body_mm.width, p.body_mm.height);
  const double reach = size * r.uniform(0.7, 1.1) + 6 * heavy;
  out.push_back(
      deposit(Residue::leak_film, Shape::halo, at, reach, run, 0.4 + 0.6 * heavy, r, p.designator));
  if (r.chance(0.5))
    out.push_back(deposit(Residue::copper_salt, Shape::bloom, at, reach * 1.2, run,
                          0.3 + 0.4 * heavy, r, p.designator));
  if (r.chance(0.35))
    out.push_back(
        deposit(Residue::attacked_joint, Shape::joint, at, reach * 1.2, run, 0.5, r, p.designator));
  if (r.chance(0.2))
    out.push_back(
        deposit(Residue::white_salt, Shape::crust, at, reach * 0.6, run, 0.4, r, p.designator));
}

}  // namespace

std::vector<Deposit> random_deposits(const BoardSpec& board, std::uint64_t seed,
                                     const BoardOptions& o) {
  std::vector<Deposit> out;
  Random r(mixed(seed, 100));
  if (o.residue_amount <= 0) return out;
  const PlacedPart* first_can = nullptr;
  for (const PlacedPart& p : board.parts) {
    if (may_leak(p.kind) && !first_can) first_can = &p;
    const double heavy = o.residue_amount * r.uniform(0.4, 1.2);
    const bool leaks = may_leak(p.kind) && r.chance(0.25 + 0.55 * o.residue_amount);
    if (leaks && (p.kind == Kind::barrel_battery || p.kind == Kind::coin_battery))
      add_battery_leak(out, p, heavy, r);
    else if (leaks)
      add_can_leak(out, p, heavy, r);
    const bool rusts =
        p.kind == Kind::crystal || p.kind == Kind::oscillator || p.kind == Kind::edge_connector;
    if (rusts && r.chance(0.5 * o.residue_amount))
      out.push_back(deposit(Residue::rust, Shape::iron, p.centre_mm, 25, 0, 0.3 + 0.5 * heavy, r,
                            p.designator));
  }
  const int strays =
      static_cast<int>(3 * o.residue_amount * board.size_mm.area() / 15000 + r.uniform());
  for (int i = 0; i < strays; ++i) {
    const cv::Point2d at{r.uniform(0.1, 0.9) * board.size_mm.width,
                         r.uniform(0.1, 0.9) * board.size_mm.height};
    const bool is_salt = r.chance(0.6);
    const double amount = r.uniform(0.3, 0.7), reach = r.uniform(4, 12);
    out.push_back(deposit(is_salt ? Residue::copper_salt : Residue::eaten_copper,
                          is_salt ? Shape::bloom : Shape::eaten, at, reach, 0, amount, r, ""));
  }
  if (board.side == Side::back) {  // only what ran through the holes
    std::erase_if(out, [&](const Deposit& d) {
      return (d.shape == Shape::halo || d.shape == Shape::crust) && r.chance(0.6);
    });
    for (Deposit& d : out) d.reach_mm *= d.shape == Shape::crust ? 0.4 : 0.7;
  }
  if (out.empty() && first_can) add_can_leak(out, *first_can, o.residue_amount, r);
  std::erase_if(out, [&](const Deposit& d) { return !is_wanted(o, d.residue); });
  return out;
}

BoardSpec random_board(std::uint64_t seed, const BoardOptions& o) {
  Random r(mixed(seed, 101));
  BoardSpec b;
  b.type_seed = r.bits();
  b.unit_seed = r.bits();
  const double w = r.uniform(80, 240);
  b.size_mm = o.size_mm.value_or(
      cv::Size2d{std::round(w * 10) / 10, std::round(w * r.uniform(0.55, 0.9) * 10) / 10});
  b.corner_mm = r.chance(0.5) ? 0.5 : r.uniform(1, 3);
  b.mask = o.mask.value_or(static_cast<MaskColour>(r.whole(0, k_mask_colour_count - 1)));
  b.side = o.side.value_or(Side::front);
  b.age = r.uniform(0.2, 0.9);
  b.dirt = r.uniform(0.1, 0.8);
  b.flux = r.uniform(0, 0.6);
  const int number = r.whole(1, 999), second = r.whole(0, 25), first = r.whole(0, 25);
  b.title = fmt::format("{}{}-{:03}", static_cast<char>('A' + first),
                        static_cast<char>('A' + second), number);
  Placer placer(b.size_mm, r.bits());
  const double area_cm2 = b.size_mm.area() / 100;
  place_power(placer, area_cm2);
  place_logic(placer, area_cm2, o.part_density);
  place_small(placer, area_cm2, o.part_density);
  if (r.chance(0.4)) placer.add(Kind::label);
  b.parts = std::move(placer).parts();
  b.deposits = random_deposits(b, r.bits(), o);
  return b;
}

BoardSpec other_unit(const BoardSpec& board, std::uint64_t unit_seed, const BoardOptions& o,
                     int gone) {
  Random r(mixed(unit_seed, 102));
  BoardSpec b = board;
  b.unit_seed = r.bits();
  b.age = r.uniform(0.2, 0.9);
  b.dirt = r.uniform(0.1, 0.8);
  b.flux = r.uniform(0, 0.6);
  b.omitted.clear();
  for (int i = 0; i < gone && !b.parts.empty(); ++i)
    b.omitted.push_back(r.pick(b.parts).designator);
  b.deposits = random_deposits(b, r.bits(), o);
  return b;
}

BoardSpec washed(const BoardSpec& board, std::uint64_t seed, double removed, int gone, int fresh) {
  Random r(mixed(seed, 103));
  BoardSpec b = board;
  b.dirt *= 0.2;
  b.flux *= 0.5;
  b.deposits.clear();
  for (Deposit d : board.deposits) {
    const bool goes = r.chance(removed), thins = r.chance(0.5);
    const bool is_damage =
        d.residue == Residue::eaten_copper || d.residue == Residue::attacked_joint;
    if (goes && (!is_damage || removed >= 1)) continue;
    if (thins && !is_damage) d.amount *= 0.6;
    b.deposits.push_back(d);
  }
  for (int i = 0; i < gone && !b.parts.empty(); ++i)
    b.omitted.push_back(r.pick(b.parts).designator);
  for (int i = 0; i < fresh; ++i) {
    const double reach = r.uniform(5, 10);
    const cv::Point2d at{r.uniform(0.1, 0.9) * b.size_mm.width,
                         r.uniform(0.1, 0.9) * b.size_mm.height};
    b.deposits.push_back(deposit(Residue::copper_salt, Shape::bloom, at, reach, 0, 0.7, r, ""));
  }
  return b;
}

CameraSpec random_camera(std::uint64_t seed, cv::Size photo_px, const CameraOptions& o) {
  Random r(mixed(seed, 104));
  CameraSpec c;
  c.seed = r.bits();
  c.photo_px = photo_px;
  c.fill = r.uniform(0.78, 0.95);
  c.tilt_deg = r.uniform(0, o.tilt_at_most_deg);
  c.tilt_direction_deg = r.uniform(0, 360);
  c.rotation_deg = r.uniform(-1, 1) * o.rotation_at_most_deg;
  c.shift = {r.uniform(-0.02, 0.02), r.uniform(-0.02, 0.02)};
  c.focal_share = r.uniform(0.8, 1.6);
  c.k1 = r.uniform(-1, 1) * o.k1_at_most;
  c.k2 = -c.k1 * r.uniform(0, 0.3);
  c.vignetting = r.uniform(0, 0.3);
  c.light_slope = r.uniform(0, 0.25);
  c.light_azimuth_deg = r.uniform(0, 360);
  c.light_elevation_deg = r.uniform(38, 75);
  c.direct_share = r.uniform(0.3, 0.7);
  c.glare = r.chance(o.glare_probability) ? r.uniform(0.3, 1) : 0;
  c.exposure_ev = r.uniform(-0.35, 0.35);
  c.metering = r.uniform(0.7, 0.95);
  c.contrast = r.uniform(0, 0.4);
  const double warm = r.normal() * o.white_balance_error;
  c.white_balance = {std::exp(-warm), std::exp(0.3 * r.normal() * o.white_balance_error),
                     std::exp(warm)};
  c.defocus_px = r.uniform(0.3, std::max(0.31, o.defocus_at_most_px));
  c.noise = r.uniform(0.002, std::max(0.0021, o.noise_at_most));
  c.sharpening = r.chance(0.4) ? r.uniform(0.2, 0.6) : 0;
  c.jpeg_quality = r.whole(82, 96);
  c.background = static_cast<Background>(r.whole(0, k_background_count - 1));
  return c;
}

}  // namespace verdigrid::synthetic
