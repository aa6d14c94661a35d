// What an invented board is: everything its picture follows from. A value; the same spec gives the
// same board, bit for bit.
//
// Lengths mm, angles degrees counter-clockwise positive as the front reads (also on the back).
// Board frame as in rectify/rectification.h: origin at the top-left corner of the outline, y down,
// the same coordinates on both sides. The board type (traces, places of parts, printing) follows
// from `type_seed` and `parts`; dirt, wear and marks on parts from `unit_seed`; each deposit from
// its own seed, so adding or removing one changes nothing else.
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "detect/residue.h"
#include "rectify/rectification.h"

namespace verdigrid::synthetic {

enum class MaskColour { green, dark_green, blue, red, black, white, yellow, phenolic };
inline constexpr int k_mask_colour_count = 8;
const char* name(MaskColour c);  // "green", "dark-green" ... "phenolic" (no solder mask, brown)

enum class Kind {
  radial_can,  // aluminium electrolytic, both leads at one end
  smd_can,     // aluminium electrolytic, upright can on a square base
  axial_can,   // aluminium electrolytic, one lead at each end
  tantalum_bead,
  tantalum_smd,
  barrel_battery,  // cells in a sleeve, lying
  coin_battery,    // coin cell in a holder
  film_capacitor,
  disc_capacitor,
  chip_capacitor,
  chip_resistor,
  resistor,
  resistor_array,
  diode,
  transistor,
  dip,
  soic,
  plcc,
  qfp,
  dip_socket,
  crystal,
  oscillator,
  pin_header,
  box_header,
  power_connector,
  edge_connector,  // D-shaped connector with an iron shell that stands over the board's edge
  terminal_block,  // screw terminals, green or blue: the colour of salts, but clean
  trimmer,
  relay,
  label,  // paper sticker
};
const char* name(Kind k);  // "radial-can" ...
bool may_leak(Kind k);     // the three cans and the two batteries

struct PlacedPart {
  std::string designator;
  Kind kind = Kind::dip;
  std::string package;    // a name of package_names(kind)
  cv::Point2d centre_mm;  // of the body
  double rotation_deg = 0;
  Side side = Side::front;
  cv::Size2d body_mm;    // at rotation 0
  double height_mm = 0;  // above the board
  int pins = 0;
  bool is_round = false;
  bool is_polarised = false;  // then its negative end points right at rotation 0, seen on its side
  std::uint64_t seed = 0;     // marks, colour of the sleeve
};

// How a deposit lies.
enum class Shape {
  halo,   // film spread round a point, denser at its rim
  creep,  // along traces away from a point
  crust,  // crystals in lumps round a point
  bloom,  // on pads, pins and vias within reach
  joint,  // solder of the pads within reach
  eaten,  // copper within reach, solder mask lost
  iron,   // on iron parts within reach
};

struct Deposit {
  Residue residue = Residue::copper_salt;
  Shape shape = Shape::bloom;
  cv::Point2d centre_mm;
  double reach_mm = 4;       // nothing of it lies further away
  double direction_deg = 0;  // where it ran
  double amount = 0.6;       // 0..1, how much of what is within reach it takes
  std::uint64_t seed = 1;
  std::string source;  // designator of the part it came from; may be empty
};

struct BoardSpec {
  std::uint64_t type_seed = 1;
  std::uint64_t unit_seed = 1;
  cv::Size2d size_mm{150, 100};
  double corner_mm = 2;  // radius of the corners
  MaskColour mask = MaskColour::green;
  Side side = Side::front;  // which side is pictured; `parts` holds those of both sides
  double age = 0.5;         // 0..1: dull solder, yellowed printing, scratches
  double dirt = 0.3;        // 0..1: dust, fingerprints, grey haze
  double flux = 0.2;        // 0..1: amber flux and pale glue, which are no residue
  std::string title = "BOARD";
  std::vector<PlacedPart> parts;
  std::vector<Deposit> deposits;
  std::vector<std::string>
      omitted;  // designators of parts that are not fitted: their pads are bare

  void check() const;  // throws Error{wrong_use} that names the wrong field
  bool is_fitted(const PlacedPart& part) const;
};

// Where a lead is soldered, board frame.
struct Pad {
  cv::Point2d centre_mm;
  cv::Size2d size_mm;       // as seen at board rotation 0
  double rotation_deg = 0;  // of the rectangle
  bool is_round = true;
  bool is_through = true;  // shows on both sides
  int pin = 1;
};

std::vector<std::string> package_names(Kind kind);

// A part with the nominal size of its package; throws Error{wrong_use} for an unknown one.
PlacedPart part(Kind kind, const std::string& package, const std::string& designator,
                cv::Point2d centre_mm, double rotation_deg, Side side = Side::front);

std::vector<Pad> pads_of(const PlacedPart& part);

// Board frame: a point of the part's own frame (rotation 0, seen on its own side).
cv::Point2d board_point_of(const PlacedPart& part, cv::Point2d local_mm);

// Body in the board frame: four corners, or 24 points for a round one; clockwise as the front
// reads.
Ring body_ring(const PlacedPart& part);

// Middle of the body's edge at the negative end; the centre of a part without polarity.
cv::Point2d negative_end_mm(const PlacedPart& part);

}  // namespace verdigrid::synthetic
