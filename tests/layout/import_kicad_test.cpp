#include <catch2/catch.hpp>

#include "base/error.h"
#include "layout/import.h"
#include "layout/outline_join.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double k_sag_mm = 0.011;  // arcs are polylines within 0.01 mm

std::string board(const std::string& inside) {
  return "(kicad_pcb (version 20211014) (generator hand)\n" + inside + ")\n";
}

std::string line(double x0, double y0, double x1, double y1) {
  return "(gr_line (start " + std::to_string(x0) + " " + std::to_string(y0) + ") (end " +
         std::to_string(x1) + " " + std::to_string(y1) + ") (layer \"Edge.Cuts\") (width 0.1))\n";
}

std::string rectangle(double x0, double y0, double x1, double y1) {
  return line(x0, y0, x1, y0) + line(x1, y1, x1, y0) + line(x1, y1, x0, y1) + line(x0, y0, x0, y1);
}

Layout read(const std::string& text) {
  REQUIRE(sniffed_format(text) == LayoutFormat::kicad);
  return board_layout({imported_kicad(text, "b.kicad_pcb")});
}

std::string remarks(const Layout& layout) {
  std::string all;
  for (const std::string& remark : layout.source.remarks) all += remark + "\n";
  return all;
}

}  // namespace

TEST_CASE("a rectangle of lines in any order and sense is the outline, with grid and origin") {
  const Layout layout = read(board(rectangle(50, 30, 250, 180)));
  CHECK(layout.outline.outer.size() == 4);
  CHECK_THAT(area(layout.outline), WithinAbs(200 * 150, 1e-6));
  CHECK(bounding_box(layout.outline.outer).tl() == cv::Point2d(0, 0));
  CHECK(layout.grid->columns == 8);
  CHECK(layout.source.remarks.empty());
}

TEST_CASE("arcs of both forms, circles, rectangles and polygons are understood") {
  // A stadium: 40 x 20 with two half circles, once with three points, once with centre and angle.
  const std::string straight = line(10, 0, 30, 0) + line(10, 20, 30, 20);
  const Layout three =
      read(board(straight +
                 "(gr_arc (start 30 0) (mid 40 10) (end 30 20) (layer \"Edge.Cuts\") (width 0.1))"
                 "(gr_arc (start 10 20) (mid 0 10) (end 10 0) (layer \"Edge.Cuts\") (width 0.1))"
                 "(gr_circle (center 20 10) (end 22 10) (layer \"Edge.Cuts\") (width 0.1))"));
  CHECK_THAT(area(three.outline), WithinAbs(400 + CV_PI * 100 - CV_PI * 4, 40 * k_sag_mm * 2));
  CHECK(three.outline.holes.size() == 1);
  const Layout angle =
      read(board(straight +
                 "(gr_arc (start 30 10) (end 30 0) (angle 180) (layer Edge.Cuts) (width 0.1))"
                 "(gr_arc (start 10 10) (end 10 20) (angle 180) (layer Edge.Cuts) (width 0.1))"));
  CHECK_THAT(area(angle.outline), WithinAbs(400 + CV_PI * 100, 40 * k_sag_mm * 2));
  const Layout rect = read(board("(gr_rect (start 0 0) (end 30 20) (layer \"Edge.Cuts\"))"));
  CHECK_THAT(area(rect.outline), WithinAbs(600, 1e-9));
  const Layout poly =
      read(board("(gr_poly (pts (xy 0 0) (xy 30 0) (xy 30 20)) (layer \"Edge.Cuts\"))"));
  CHECK_THAT(area(poly.outline), WithinAbs(300, 1e-9));
  // A quarter of a Bezier circle (control length 4/3 tan(pi/8)) differs from it by under 0.03 %.
  const Layout curve =
      read(board("(gr_curve (pts (xy 100 0) (xy 100 55.2285) (xy 55.2285 100) (xy 0 100)) (layer "
                 "\"Edge.Cuts\"))" +
                 line(0, 100, 0, 0) + line(0, 0, 100, 0)));
  CHECK_THAT(area(curve.outline), WithinAbs(CV_PI * 2500, CV_PI * 2500 * 0.001));
}

TEST_CASE("several outlines, an open one and none are said") {
  const Layout two = read(board(rectangle(0, 0, 10, 10) + rectangle(20, 0, 50, 30)));
  CHECK_THAT(area(two.outline), WithinAbs(900, 1e-9));
  CHECK_THAT(remarks(two), Contains("2 separate outlines; the largest was taken"));
  const Layout open =
      read(board(line(0, 0, 50, 0) + line(50, 0, 50, 30) + line(50, 30, 0, 30) + line(0, 30, 0, 2) +
                 "(gr_circle (center 9 9) (end 10 9) (layer Edge.Cuts))"));
  CHECK_THAT(remarks(open), Contains("open by 2.00 mm"));
  CHECK(open.outline.holes.size() == 1);
  const Layout none =
      read(board("(footprint \"a\" (layer \"F.Cu\") (at 5 5) (pad \"1\" smd rect "
                 "(at 0 0) (size 1 2) (layers \"F.Cu\")))"));
  CHECK_THAT(remarks(none), Contains("no outline"));
  CHECK(none.outline.empty());
  CHECK_FALSE(none.grid);
  CHECK_THAT(remarks(read(board(line(0, 0, 9, 9)))), Contains("close no outline"));
}

TEST_CASE("footprints become parts: body from fab, pads, turn, side and negative end") {
  const std::string can =
      "(footprint \"Capacitor_THT:CP_Radial_D10.0mm_P5.00mm\" (layer \"F.Cu\") (at 40 30 90)\n"
      "(fp_text reference \"C7\" (at 0 0) (layer \"F.SilkS\")) (fp_text value \"100u\" (at 0 0) "
      "(layer \"F.Fab\"))\n"
      "(fp_circle (center 2.5 0) (end 7.5 0) (layer \"F.Fab\"))\n"
      "(pad \"1\" thru_hole rect (at 0 0 90) (size 2 2) (drill 1) (layers *.Cu))\n"
      "(pad \"2\" thru_hole circle (at 5 0 90) (size 2 2) (drill 1) (layers *.Cu)))\n";
  const Layout layout = read(board(rectangle(0, 0, 100, 60) + can));
  REQUIRE(layout.parts.size() == 1);
  const Part& c7 = layout.parts[0];
  CHECK(c7.designator == "C7");
  CHECK(c7.value == "100u");
  CHECK(c7.kind == PartKind::aluminium_radial);
  CHECK(c7.shape == BodyShape::round);
  CHECK_THAT(c7.body.width, WithinAbs(10, 1e-9));
  // Turned by 90 degrees counter-clockwise, pin 2 points up from pin 1 on the screen.
  CHECK_THAT(c7.centre.x, WithinAbs(40, 1e-9));
  CHECK_THAT(c7.centre.y, WithinAbs(27.5, 1e-9));
  CHECK(c7.joints[1].is_through);
  CHECK_THAT(c7.joints[1].centre.y, WithinAbs(25, 1e-9));
  CHECK_THAT(negative_end_point(c7)->y, WithinAbs(22.5, 1e-9));
}

TEST_CASE("a footprint on the back keeps its place and its negative end") {
  // As the format stores it: the library's pad 2 at (5, 1) is at (5, -1) once flipped.
  const std::string text = board(rectangle(0, 0, 100, 60) +
                                 "(module CP_Elec_5x5 (layer B.Cu) (at 40 30)\n"
                                 "(fp_text reference C9 (at 0 0) (layer B.SilkS))\n"
                                 "(fp_line (start -1 -3) (end 6 3) (layer B.Fab))\n"
                                 "(pad 1 smd rect (at 0 0) (size 1 1) (layers B.Cu))\n"
                                 "(pad 2 smd rect (at 5 -1) (size 1 1) (layers B.Cu)))\n"
                                 "(via (at 12 13) (size 0.8) (drill 0.4) (layers F.Cu B.Cu))");
  const Layout layout = read(text);
  const Part& part = layout.parts[0];
  CHECK(part.side == Side::back);
  CHECK_THAT(part.centre.x, WithinAbs(42.5, 1e-9));
  CHECK_THAT(part.joints[1].centre.y, WithinAbs(29, 1e-9));
  CHECK_THAT(negative_end_point(part)->x, WithinAbs(46, 1e-9));
  REQUIRE(layout.holes.size() == 1);
  CHECK(layout.holes[0].diameter == 0.4);
}

TEST_CASE("pads keep the name of their net in the old and the later way of writing") {
  const Layout layout = read(
      board(rectangle(0, 0, 100, 60) + "(net 0 \"\") (net 5 GND)\n" +
            "(footprint \"a\" (layer \"F.Cu\") (at 40 30) (fp_text reference \"U1\" (at 0 0))\n"
            "(pad \"1\" smd rect (at 0 0) (size 1 1) (layers \"F.Cu\") (net 5 \"GND\"))\n"
            "(pad \"2\" smd rect (at 2 0) (size 1 1) (layers \"F.Cu\") (net \"/io/A0{slash}D5\"))\n"
            "(pad \"3\" smd rect (at 4 0) (size 1 1) (layers \"F.Cu\") (net 0 \"\"))\n"
            "(pad \"4\" smd rect (at 6 0) (size 1 1) (layers \"F.Cu\")))\n"));
  REQUIRE(layout.parts.at(0).joints.size() == 4);
  std::vector<std::string> nets;
  for (const Joint& j : layout.parts[0].joints) nets.push_back(j.net);
  CHECK(nets == std::vector<std::string>{"GND", "/io/A0/D5", "", ""});
}

TEST_CASE("a part without reference is kept and numbered") {
  const Layout layout = read(board(rectangle(0, 0, 9, 9) + "(footprint \"x\" (at 1 1))"));
  CHECK(layout.parts[0].designator == "unnamed-1");
  CHECK_THAT(remarks(layout), Contains("1 parts have no reference") && Contains("no known body"));
}

TEST_CASE("damaged board files get a sentence with the line") {
  const auto refusal = [](const std::string& text) -> std::string {
    try {
      board_layout({imported_kicad(text, "b")});
    } catch (const Error& e) {
      return e.what();
    }
    return "";
  };
  CHECK_THAT(refusal("(kicad_pcb\n(a \"b"), Contains("b: line 2: the file ends inside a quoted"));
  CHECK_THAT(refusal("(kicad_pcb (a)"), Contains("ends before its brackets close"));
  CHECK_THAT(refusal("(kicad_pcb) x"), Contains("goes on after its last bracket"));
  CHECK_THAT(refusal("(other)"), Contains("not a KiCad board"));
  CHECK_THAT(refusal(""), Contains("does not start with a bracket"));
  CHECK_THAT(refusal("(kicad_pcb" + std::string(300, '(')), Contains("nested too deeply"));
  CHECK_THAT(refusal(board("(footprint \"a\")")), Contains("line 2: a footprint has no place"));
  CHECK_THAT(refusal(board("(gr_line (start 1 2) (layer \"Edge.Cuts\"))")),
             Contains("lacks a point"));
  CHECK_THAT(refusal(board(rectangle(0, 0, 9, 9) + "(footprint \"a\" (at 1e9 2))")),
             Contains("impossible values"));
  CHECK_THAT(refusal(board(rectangle(0, 0, 1e8, 9))), Contains("which no board does"));
}

// A circle through three points: geometry, no source needed. Radius 5 about (5, 0).
TEST_CASE("an arc through three points runs on its circle the way they say") {
  for (double bulge : {-5.0, 5.0}) {
    const Polyline arc = arc_through({0, 0}, {5, bulge}, {10, 0}, 0.01);
    CHECK(arc.front() == cv::Point2d(0, 0));
    CHECK(arc.back() == cv::Point2d(10, 0));
    for (const cv::Point2d& p : arc) {
      CHECK_THAT(cv::norm(p - cv::Point2d(5, 0)), WithinAbs(5, 1e-9));
      CHECK(p.y * bulge >= -1e-9);
    }
  }
  CHECK(arc_through({0, 0}, {1, 1}, {2, 2}, 0.01).size() == 2);
  CHECK(arc_through({0, 0}, {0, 0}, {0, 0}, 0.01).size() == 2);
}
