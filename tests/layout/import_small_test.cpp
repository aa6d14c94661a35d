// IPC-D-356 and Gerber profile.
#include <catch2/catch.hpp>

#include "base/error.h"
#include "layout/import.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

std::string remarks(const Layout& layout) {
  std::string all;
  for (const std::string& remark : layout.source.remarks) all += remark + "\n";
  return all;
}

Layout netlist(const std::string& text) {
  REQUIRE(sniffed_format(text) == LayoutFormat::ipc_d_356);
  return board_layout({imported_ipc_d_356(text, "n.ipc")});
}

Layout profile(const std::string& text) {
  REQUIRE(sniffed_format(text) == LayoutFormat::gerber);
  return board_layout({imported_gerber_profile(text, "p.gbr")});
}

template <typename F>
std::string refusal(F f) {
  try {
    f();
  } catch (const Error& e) {
    return e.what();
  }
  return "";
}

// Columns as IPC-D-356A figure 4-1 numbers them; lengths in 0.0001 inch. R12 has two SMD pads
// 0.1 inch apart on the front, U1 a plated hole pad, C3 a pad on the back.
const std::string k_records =
    "C  A COMMENT\n"
    "P  UNITS CUST 0\n"
    "327GND              R12   -1          A01X+010000Y+020000X0500Y0400R000S2\n"
    "327VCC              R12   -2          A01X+011000Y+020000X0500Y0400R000S2\n"
    "317VCC              U1    -1    D0320PA00X+030000Y+020000X0600Y0000R000S0\n"
    "317VCC              VIA         D0120PA00X+040000Y+020000X0200Y0000R000S0\n"
    "327VCC              C3    -1          A02X+030000Y+010000X0500Y0400R000S1\n"
    "367N/C              MH1   -1    D1250UA00X+000500Y+000500X1250Y0000R000S0\n";

}  // namespace

TEST_CASE("an IPC-D-356 netlist gives parts from the boxes of their pads") {
  const Layout layout =
      netlist(k_records +
              "389BOARD_EDGE      X+000000Y+000000X+050000Y+000000X+050000Y+030000\n"
              "089                X+000000Y+030000X+000000Y+000000\n999\n");
  REQUIRE(layout.parts.size() == 3);
  const Part& r12 = layout.parts[0];
  CHECK(r12.designator == "R12");
  CHECK(r12.kind == PartKind::resistor);
  CHECK(r12.side == Side::front);
  // y runs up from the lower edge: 3.0 - 2.0 inch from the top; centre at 1.05 inch.
  CHECK_THAT(r12.centre.x, WithinAbs(1.05 * 25.4, 1e-9));
  CHECK_THAT(r12.centre.y, WithinAbs(1.0 * 25.4, 1e-9));
  CHECK_THAT(r12.body.width, WithinAbs(0.15 * 25.4, 1e-9));
  CHECK_THAT(r12.body.height, WithinAbs(0.04 * 25.4, 1e-9));
  CHECK(r12.joints.size() == 2);
  CHECK(layout.parts[1].joints[0].is_through);
  CHECK(layout.parts[2].side == Side::back);
  REQUIRE(layout.holes.size() == 2);
  CHECK(layout.holes[0].is_plated);
  CHECK_FALSE(layout.holes[1].is_plated);
  CHECK_THAT(bounding_box(layout.outline.outer).width, WithinAbs(127, 1e-9));
}

TEST_CASE("an IPC-D-356 netlist gives each joint its net with long names in full") {
  const Layout layout =
      netlist("P  NNAME7 /SUPPLY/FILTERED_12V_IN\n" + k_records +
              "327NNAME7            C3    -2          A02X+031000Y+010000X0500Y0400R000S1\n"
              "327N/C               C3    -3          A02X+032000Y+010000X0500Y0400R000S1\n");
  REQUIRE(layout.parts.size() == 3);
  CHECK(layout.parts[0].joints[0].net == "GND");
  CHECK(layout.parts[0].joints[1].net == "VCC");
  CHECK(layout.parts[1].joints[0].net == "VCC");
  REQUIRE(layout.parts[2].joints.size() == 3);
  CHECK(layout.parts[2].joints[1].net == "/SUPPLY/FILTERED_12V_IN");
  CHECK(layout.parts[2].joints[2].net.empty());  // N/C: not connected
}

TEST_CASE("the netlist's units and faults are named") {
  std::string metric = k_records;
  metric.replace(metric.find("CUST 0"), 6, "CUST 1");
  CHECK_THAT(netlist(metric).parts[0].body.width, WithinAbs(1.5, 1e-9));
  CHECK_THAT(remarks(netlist(metric)), Contains("no outline"));
  CHECK_THAT(refusal([] { imported_ipc_d_356("P  UNITS CUST 7\n", "n"); }), Contains("line 1"));
  CHECK_THAT(refusal([] { imported_ipc_d_356("C hello\n999\n", "n"); }),
             Contains("no test records"));
  CHECK_THAT(
      refusal([] { imported_ipc_d_356("327GND              R12   -1          A01\n", "n"); }),
      Contains("no place"));
}

TEST_CASE("a Gerber profile gives the outline of its centre lines") {
  const Layout layout = profile(
      "G04 a comment, with ( brackets*\n%TF.FileFunction,Profile,NP*%\n%FSLAX46Y46*%\n%MOMM*%\n"
      "%ADD10C,0.100000*%\nD10*\nG01*\nX10000000Y10000000D02*\nX60000000Y10000000D01*\n"
      "Y40000000D01*\nX10000000D01*\nY10000000D01*\nM02*\n");
  CHECK_THAT(area(layout.outline), WithinAbs(50 * 30, 1e-9));
  CHECK(layout.source.remarks.empty());
}

// Ucamco Gerber Layer Format Specification 2022.02, sections 4.7 (circular interpolation, G75) and
// 8.1.10 (G74, deprecated): I and J are the centre's offsets from the start.
TEST_CASE("Gerber arcs of both quadrant modes, inches and modal draws are read") {
  const Layout circle =
      profile("%FSLAX24Y24*%\n%MOIN*%\nG75*\nX10000Y0D02*\nG03X10000Y0I-10000J0D01*\nM02*\n");
  CHECK_THAT(area(circle.outline), WithinAbs(CV_PI * 25.4 * 25.4, 2 * CV_PI * 25.4 * 0.011));
  // A 20 x 10 rectangle with one rounded corner of radius 5, as in old files.
  const Layout corner = profile(
      "G71*%FSLAX33Y33*%G74*G01X0Y0D02*X20000D01*Y5000*G03X15000Y10000I5000J0D01*G01X0D01*Y0*M02*");
  CHECK_THAT(area(corner.outline), WithinAbs(200 - 25 + CV_PI * 25 / 4, 0.1));
  const Layout clockwise = profile(
      "%FSLAX33Y33*%%MOMM*%G75*G01*X0Y5000D02*G02X5000Y0I0J-5000D01*G01X5000Y-9000D01*X0D01*"
      "Y5000D01*M02*");
  CHECK_THAT(area(clockwise.outline), WithinAbs(45 + CV_PI * 25 / 4, 0.1));
  const Layout trailing =
      profile("%FSTAX24Y24*%%MOMM*%X0Y0D02*X10D01*X10Y10D01*X0Y10D01*X0Y0D01*M02*");
  CHECK_THAT(area(trailing.outline), WithinAbs(100, 1e-9));
}

TEST_CASE("what a Gerber file lacks or cannot be read for is said") {
  CHECK_THAT(remarks(profile("%TF.FileFunction,Copper,L1,Top*%%FSLAX33Y33*%X0Y0D03*M02*")),
             Contains("not a profile") && Contains("names no unit") && Contains("1 flashes") &&
                 Contains("no outline"));
  const auto fault = [](const char* text) {
    return refusal([&] { imported_gerber_profile(text, "p"); });
  };
  CHECK_THAT(fault("%FSLIX33Y33*%"), Contains("incremental"));
  CHECK_THAT(fault("X0Y0D02*M02*"), Contains("number format"));
  CHECK_THAT(fault("%FSLAX33Y33*%%SRX2Y2I10J10*%"), Contains("step and repeat"));
  CHECK_THAT(fault("%FSLAX33Y33*%X0Y0D02"), Contains("line 1: the file ends inside a command"));
  CHECK_THAT(fault("%FSLAX33Y33*%\nhello*"), Contains("line 2"));
  CHECK_THAT(fault("%FSLAX*%"), Contains("damaged"));
  CHECK_THAT(fault(""), Contains("no number format"));
}
