#include "layout/package_table.h"

#include <fmt/format.h>

namespace verdigrid {

namespace {

using P = JointPattern;
using K = PartKind;

void add_chips(std::vector<Package>& table) {
  struct Chip {
    const char* name;
    double length, width;
  };
  // The metric code is the size in tenths of a millimetre (2012: 2.0 x 1.25 mm).
  for (const Chip& c : {Chip{"0402", 1.0, 0.5}, Chip{"0603", 1.6, 0.8}, Chip{"0805", 2.0, 1.25},
                        Chip{"1206", 3.2, 1.6}, Chip{"1210", 3.2, 2.5}, Chip{"1812", 4.5, 3.2},
                        Chip{"2010", 5.0, 2.5}, Chip{"2512", 6.3, 3.2}})
    table.push_back({c.name,
                     K::unknown,
                     {c.length, c.width},
                     BodyShape::box,
                     P::two_ends,
                     2,
                     0,
                     c.length * 0.95,
                     false,
                     NegativeEnd::unknown,
                     "IEC 60115-8 styles RR1005M to RR6332M; IEC 60384-21 for capacitors"});
}

void add_tantalum(std::vector<Package>& table) {
  struct Case {
    const char* name;
    double length, width;
  };
  for (const Case& c :
       {Case{"tantalum-A", 3.2, 1.6}, Case{"tantalum-B", 3.5, 2.8}, Case{"tantalum-C", 6.0, 3.2},
        Case{"tantalum-D", 7.3, 4.3}, Case{"tantalum-X", 7.3, 4.3}, Case{"tantalum-E", 7.3, 6.0}})
    table.push_back(
        {c.name,
         K::tantalum,
         {c.length, c.width},
         BodyShape::box,
         P::two_ends,
         2,
         0,
         c.length * 0.85,
         false,
         NegativeEnd::right,
         "EIA-535BAAC case codes (3216-18, 3528-21, 6032-28, 7343-31, 7343-43, 7360-38)"});
}

void add_cans(std::vector<Package>& table) {
  struct Can {
    const char* diameter;
    double diameter_mm, other_mm;
  };
  // The base is 0.3 mm wider than the can, all round from 8 mm up: data sheets agree on it.
  for (const Can& c : {Can{"4", 4, 4.3}, Can{"5", 5, 5.3}, Can{"6.3", 6.3, 6.6}, Can{"8", 8, 8.3},
                       Can{"10", 10, 10.3}})
    table.push_back({fmt::format("smd-can-{}", c.diameter),
                     K::aluminium_smd,
                     {c.other_mm, c.other_mm},
                     BodyShape::box,
                     P::two_ends,
                     2,
                     0,
                     c.diameter_mm * 0.9,
                     false,
                     NegativeEnd::right,
                     "IEC 60384-18 for the diameter; base size: common practice, no source"});
  // Here the second figure is the lead spacing.
  for (const Can& c :
       {Can{"4", 4, 1.5}, Can{"5", 5, 2.0}, Can{"6.3", 6.3, 2.5}, Can{"8", 8, 3.5},
        Can{"10", 10, 5.0}, Can{"12.5", 12.5, 5.0}, Can{"16", 16, 7.5}, Can{"18", 18, 7.5},
        Can{"22", 22, 10.0}, Can{"25", 25, 10.0}, Can{"30", 30, 10.0}, Can{"35", 35, 10.0}})
    table.push_back({fmt::format("radial-{}", c.diameter),
                     K::aluminium_radial,
                     {c.diameter_mm, c.diameter_mm},
                     BodyShape::round,
                     P::two_ends,
                     2,
                     0,
                     c.other_mm,
                     true,
                     NegativeEnd::right,
                     "IEC 60384-4 for the diameter; lead spacing: common practice, no source"});
  struct Axial {
    const char* name;
    double length, diameter, span;
  };
  for (const Axial& a :
       {Axial{"axial-5x11", 11, 5, 15}, Axial{"axial-6.3x13", 13, 6.3, 18},
        Axial{"axial-8x18", 18, 8, 25}, Axial{"axial-10x20", 20, 10, 27.5},
        Axial{"axial-12.5x30", 30, 12.5, 37.5}, Axial{"axial-16x40", 40, 16, 47.5}})
    table.push_back({a.name,
                     K::aluminium_axial,
                     {a.length, a.diameter},
                     BodyShape::box,
                     P::two_ends,
                     2,
                     0,
                     a.span,
                     true,
                     NegativeEnd::right,
                     "common practice, no source"});
}

void add_dual_rows(std::vector<Package>& table) {
  struct Row {
    const char* name;
    double width, length;
    int pins;
    double pitch, span;
    bool through;
    const char* standard;
  };
  for (const Row& r : {
           Row{"soic-8", 3.9, 4.9, 8, 1.27, 5.4, false, "JEDEC MS-012 AA"},
           Row{"soic-14", 3.9, 8.65, 14, 1.27, 5.4, false, "JEDEC MS-012 AB"},
           Row{"soic-16", 3.9, 9.9, 16, 1.27, 5.4, false, "JEDEC MS-012 AC"},
           Row{"soic-16-wide", 7.5, 10.3, 16, 1.27, 9.3, false, "JEDEC MS-013 AA"},
           Row{"soic-18-wide", 7.5, 11.55, 18, 1.27, 9.3, false, "JEDEC MS-013 AB"},
           Row{"soic-20-wide", 7.5, 12.8, 20, 1.27, 9.3, false, "JEDEC MS-013 AC"},
           Row{"soic-24-wide", 7.5, 15.4, 24, 1.27, 9.3, false, "JEDEC MS-013 AD"},
           Row{"soic-28-wide", 7.5, 17.9, 28, 1.27, 9.3, false, "JEDEC MS-013 AE"},
           Row{"tssop-14", 4.4, 5.0, 14, 0.65, 5.8, false, "JEDEC MO-153 AB-1"},
           Row{"tssop-16", 4.4, 5.0, 16, 0.65, 5.8, false, "JEDEC MO-153 AB"},
           Row{"tssop-20", 4.4, 6.5, 20, 0.65, 5.8, false, "JEDEC MO-153 AC"},
           Row{"tssop-24", 4.4, 7.8, 24, 0.65, 5.8, false, "JEDEC MO-153 AD"},
           Row{"dip-8", 6.35, 9.6, 8, 2.54, 7.62, true, "JEDEC MS-001 BA"},
           Row{"dip-14", 6.35, 19.2, 14, 2.54, 7.62, true, "JEDEC MS-001 AA"},
           Row{"dip-16", 6.35, 19.2, 16, 2.54, 7.62, true, "JEDEC MS-001 BB"},
           Row{"dip-18", 6.35, 22.9, 18, 2.54, 7.62, true, "JEDEC MS-001 AC"},
           Row{"dip-20", 6.35, 25.9, 20, 2.54, 7.62, true, "JEDEC MS-001 AD"},
           Row{"dip-24", 6.35, 31.8, 24, 2.54, 7.62, true, "JEDEC MS-001 AF"},
           Row{"dip-24-600", 13.7, 31.5, 24, 2.54, 15.24, true, "JEDEC MS-011 AA"},
           Row{"dip-28-600", 13.7, 36.8, 28, 2.54, 15.24, true, "JEDEC MS-011 AB"},
           Row{"dip-40-600", 13.7, 52.0, 40, 2.54, 15.24, true, "JEDEC MS-011 AC"},
           Row{"dip-64-900", 20.0, 81.3, 64, 2.54, 22.86, true, "common practice, no source"},
       })
    table.push_back({r.name,
                     K::ic,
                     {r.width, r.length},
                     BodyShape::box,
                     P::left_right,
                     r.pins,
                     r.pitch,
                     r.span,
                     r.through,
                     NegativeEnd::unknown,
                     r.standard});
}

void add_four_sides(std::vector<Package>& table) {
  struct Quad {
    const char* name;
    double width, height;
    int pins;
    double pitch, span;
    const char* standard;
  };
  for (const Quad& q : {
           Quad{"plcc-20", 8.97, 8.97, 20, 1.27, 8.4, "JEDEC MS-018 AA"},
           Quad{"plcc-28", 11.51, 11.51, 28, 1.27, 10.9, "JEDEC MS-018 AB"},
           Quad{"plcc-44", 16.59, 16.59, 44, 1.27, 16.0, "JEDEC MS-018 AC"},
           Quad{"plcc-52", 19.13, 19.13, 52, 1.27, 18.5, "JEDEC MS-018 AD"},
           Quad{"plcc-68", 24.23, 24.23, 68, 1.27, 23.6, "JEDEC MS-018 AE"},
           Quad{"plcc-84", 29.31, 29.31, 84, 1.27, 28.7, "JEDEC MS-018 AF"},
           Quad{"lqfp-44", 10, 10, 44, 0.8, 11.4, "JEDEC MS-026 BCB"},
           Quad{"lqfp-48", 7, 7, 48, 0.5, 8.4, "JEDEC MS-026 BBC"},
           Quad{"lqfp-64", 10, 10, 64, 0.5, 11.4, "JEDEC MS-026 BCD"},
           Quad{"lqfp-100", 14, 14, 100, 0.5, 15.4, "JEDEC MS-026 BED"},
           Quad{"lqfp-144", 20, 20, 144, 0.5, 21.4, "JEDEC MS-026 BFB"},
           Quad{"pqfp-208", 28, 28, 208, 0.5, 30, "JEDEC MS-029 FA-1"},
       })
    table.push_back({q.name,
                     K::ic,
                     {q.width, q.height},
                     BodyShape::box,
                     P::four_sides,
                     q.pins,
                     q.pitch,
                     q.span,
                     false,
                     NegativeEnd::unknown,
                     q.standard});
  // 20 pins on each short side and 30 on each long one: no pattern fits, so it has no joints.
  table.push_back({"pqfp-100",
                   K::ic,
                   {14, 20},
                   BodyShape::box,
                   P::none,
                   100,
                   0.65,
                   0,
                   false,
                   NegativeEnd::unknown,
                   "JEDEC MS-022 GC-1"});
}

void add_small(std::vector<Package>& table) {
  const auto two = [&](const char* name, K kind, double w, double h, double span, bool through,
                       NegativeEnd end, const char* standard) {
    table.push_back(
        {name, kind, {w, h}, BodyShape::box, P::two_ends, 2, 0, span, through, end, standard});
  };
  // The cathode is the negative end while the diode conducts; pin 1 is the cathode.
  two("melf", K::diode, 5.0, 2.5, 4.6, false, NegativeEnd::left, "JEDEC DO-213AB");
  two("minimelf", K::diode, 3.5, 1.6, 3.3, false, NegativeEnd::left, "JEDEC DO-213AA");
  two("sma", K::diode, 4.3, 2.6, 4.4, false, NegativeEnd::left, "JEDEC DO-214AC");
  two("smb", K::diode, 4.3, 3.6, 4.5, false, NegativeEnd::left, "JEDEC DO-214AA");
  two("smc", K::diode, 6.9, 5.9, 7.0, false, NegativeEnd::left, "JEDEC DO-214AB");
  two("do-35", K::diode, 3.8, 1.8, 7.62, true, NegativeEnd::left, "JEDEC DO-204AH");
  two("do-41", K::diode, 4.6, 2.4, 10.16, true, NegativeEnd::left, "JEDEC DO-204AL");
  two("resistor-0207", K::resistor, 6.3, 2.5, 10.16, true, NegativeEnd::unknown,
      "common practice (size 0207: 2 mm by 7 mm), no source");
  two("hc-49u", K::crystal, 10.9, 4.65, 4.88, true, NegativeEnd::unknown, "IEC 60122-3");
  two("cr2032-holder", K::battery, 25.6, 21.6, 20.5, true, NegativeEnd::right,
      "cell: IEC 60086-3 (20.0 mm); holder: common practice, no source");
  two("barrel-3-cell", K::battery, 27, 16, 20, true, NegativeEnd::right,
      "common practice, no source");
  const auto three = [&](const char* name, double w, double h, const char* standard) {
    table.push_back({name,
                     K::transistor,
                     {w, h},
                     BodyShape::box,
                     P::none,
                     3,
                     0,
                     0,
                     false,
                     NegativeEnd::unknown,
                     standard});
  };
  three("sot-23", 1.3, 2.9, "JEDEC TO-236 AB");
  three("sot-223", 3.5, 6.5, "JEDEC TO-261 AA");
  three("to-252", 6.1, 6.6, "JEDEC TO-252 AA");
  three("to-263", 9.2, 10.1, "JEDEC TO-263 AB");
  table.push_back({"to-92",
                   K::transistor,
                   {4.8, 3.7},
                   BodyShape::box,
                   P::one_row,
                   3,
                   1.27,
                   0,
                   true,
                   NegativeEnd::unknown,
                   "JEDEC TO-226 AA"});
  table.push_back({"to-220",
                   K::transistor,
                   {10.2, 4.5},
                   BodyShape::box,
                   P::one_row,
                   3,
                   2.54,
                   0,
                   true,
                   NegativeEnd::unknown,
                   "JEDEC TO-220 AB"});
  for (int pins : {2, 3, 4, 5, 6, 8, 10, 16, 20})
    table.push_back({fmt::format("header-{}", pins),
                     K::connector,
                     {2.54 * pins, 2.54},
                     BodyShape::box,
                     P::one_row,
                     pins,
                     2.54,
                     0,
                     true,
                     NegativeEnd::unknown,
                     "2.54 mm grid of IEC 60097"});
  for (int pins : {10, 14, 20, 26, 34, 40, 50})
    table.push_back({fmt::format("box-header-{}", pins),
                     K::connector,
                     {8.9, 2.54 * (pins / 2) + 7.66},
                     BodyShape::box,
                     P::left_right,
                     pins,
                     2.54,
                     2.54,
                     true,
                     NegativeEnd::unknown,
                     "IEC 60603-13; body: common practice, no source"});
}

}  // namespace

const std::vector<Package>& package_table() {
  static const std::vector<Package> table = [] {
    std::vector<Package> list;
    add_chips(list);
    add_tantalum(list);
    add_cans(list);
    add_dual_rows(list);
    add_four_sides(list);
    add_small(list);
    return list;
  }();
  return table;
}

const Package* package_named(std::string_view name) {
  for (const Package& package : package_table())
    if (package.name == name) return &package;
  return nullptr;
}

}  // namespace verdigrid
