// A layout with every field in use and numbers that do not end in binary.
#pragma once

#include "layout/layout.h"

namespace verdigrid {

inline Layout sample_layout() {
  Layout layout = layout_over(
      {{{0, 0}, {200.1, 0}, {200.1, 150.3}, {0, 150.3}}, {{{10, 10}, {10, 13.3}, {13.3, 13.3}}}},
      true);
  layout.board_type = "Main board \xC3\xBC";
  layout.revision = "2.1";
  layout.zones = {{"Power",
                   {{{0, 0}, {50.7, 0}, {50.7, 40.1}}, {}},
                   5,
                   "mains \"side\"",
                   Hatch::cross,
                   Side::front},
                  {"Rest", {{{60, 60}, {90, 60}, {90, 80}, {60, 80}}, {}}, 1, "", Hatch::none, {}}};
  Part can;
  can.designator = "C12";
  can.kind = PartKind::aluminium_radial;
  can.package = "radial-10";
  can.centre = {30.1, 20.7};
  can.rotation_deg = 90;
  can.side = Side::back;
  can.body = {10, 10};
  can.shape = BodyShape::round;
  can.value = "100 uF";
  can.rating = "16 V";
  can.negative_end = NegativeEnd::right;
  can.joints = {{"1", {30.1, 18.2}, 1.6, true, "/Reset \xC3\xBC"}, {"2", {30.1, 23.2}, 0, false}};
  Part cell;
  cell.designator = "BT1";
  cell.kind = PartKind::battery;
  cell.chemistry = Chemistry::nickel_cadmium;
  cell.body = {20.3, 15.1};
  cell.centre = {1.0 / 3, 100};
  Part crystal;
  crystal.designator = "Y1";
  crystal.kind = PartKind::crystal;
  crystal.frequency_hz = 32768;
  layout.parts = {can, cell, crystal};
  layout.holes = {{{5, 5}, 3.2, false}, {{7, 7}, 0.6, true}};
  layout.notes = {{LayoutNoteKind::arrow, "here", {{1, 2}, {3, 4.4}}, Side::back},
                  {LayoutNoteKind::pin, "", {{9, 9}}, {}}};
  layout.reference_points = {{"hole NW", {5, 5}}};
  layout.reference_photos = {{"front.jpg",
                              std::string(64, 'a'),
                              Side::front,
                              {4000, 3000},
                              cv::Matx33d(0.05, 0.001, -3, 0.0007, 0.05, -2, 1e-7, 3e-9, 1),
                              ReferenceLens{cv::Matx33d(4000, 0, 2000, 0, 4000, 1500, 0, 0, 1),
                                            {0.1, -0.03, 1e-4, 0, 0}}}};
  layout.source = {LayoutOrigin::kicad, "a.kicad_pcb", {"One thing was left out."}};
  return layout;
}

}  // namespace verdigrid
