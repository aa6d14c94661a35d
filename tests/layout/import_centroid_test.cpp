#include <catch2/catch.hpp>

#include "base/error.h"
#include "layout/export.h"
#include "layout/import.h"
#include "tests/layout/sample_layout.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

Imported read(const std::string& text, const ImportOptions& options = {}) {
  REQUIRE(sniffed_format(text) == LayoutFormat::centroid);
  return imported_centroid(text, "parts.csv", options);
}

std::string remarks(const Layout& layout) {
  std::string all;
  for (const std::string& remark : layout.source.remarks) all += remark + "\n";
  return all;
}

void check_place(const Part& part, double x, double y) {
  CHECK_THAT(part.centre.x, WithinAbs(x, 1e-9));
  CHECK_THAT(part.centre.y, WithinAbs(y, 1e-9));
}

}  // namespace

TEST_CASE("a table with the usual header is read") {
  const Imported in = read(
      "Ref,Val,Package,PosX,PosY,Rot,Side\n"
      "\"C1\",\"100n\",\"C_0805_2012Metric\",10.5,-20.25,90.0,top\n"
      "\"U3\",\"a \"\"b\"\"\",\"DIP-14_W7.62mm\",30,-40,-90,bottom\n");
  REQUIRE(in.layout.parts.size() == 2);
  const Part& c1 = in.layout.parts[0];
  CHECK(c1.designator == "C1");
  CHECK(c1.kind == PartKind::capacitor);
  CHECK(c1.body == cv::Size2d(2.0, 1.25));
  CHECK(c1.rotation_deg == 90);
  check_place(c1, 10.5, -20.25);
  const Part& u3 = in.layout.parts[1];
  CHECK(u3.value == "a \"b\"");
  CHECK(u3.side == Side::back);
  CHECK(u3.rotation_deg == 270);
  CHECK(in.y_axis == YAxis::up);
  CHECK_THAT(remarks(in.layout), Contains("y was taken as pointing up"));
  CHECK_THAT(remarks(in.layout), Contains("nominal body of their package"));
}

TEST_CASE("units are taken from cells, headers, comments, the person, or guessed and said") {
  check_place(read("Designator\tMid X\tMid Y\tLayer\nR1\t12.5mm\t-3mm\tT\n").layout.parts[0], 12.5,
              -3);
  check_place(read("Designator\tMid X\tMid Y\tLayer\nR1\t500mil\t1in\tB\n").layout.parts[0], 12.7,
              25.4);
  check_place(read("RefDes,X (mil),Y (mil)\nR1,1000,2000\n").layout.parts[0], 25.4, 50.8);
  check_place(read("refdes;x_inch;y_inch\nR1;1,5;2\n").layout.parts[0], 38.1, 50.8);
  check_place(read("### Footprint positions\n## Unit = mm, Angle = deg.\n"
                   "# Ref     Val   Package  PosX  PosY  Rot  Side\nR1 10k R_0805 1.5 2.5 0 top\n"
                   "## End\n")
                  .layout.parts[0],
              1.5, 2.5);
  check_place(read("## Unit = inches\nRef,X,Y\nR1,1,2\n").layout.parts[0], 25.4, 50.8);
  const Imported guessed = read("Ref,X,Y\nR1,0,0\nR2,4000,2000\n");
  check_place(guessed.layout.parts[1], 101.6, 50.8);
  CHECK_THAT(remarks(guessed.layout), Contains("taken as mil, guessed"));
  ImportOptions inch;
  inch.unit = LengthUnit::inch;
  check_place(read("Ref,X,Y\nR1,1,2\n", inch).layout.parts[0], 25.4, 50.8);
  check_place(read("Ref,X,Y\nR1,1mm,2\n", inch).layout.parts[0], 1, 50.8);
}

TEST_CASE("separators, quotes, line ends and spare lines do not matter") {
  for (const char* text :
       {"Designator,Mid X,Mid Y\nR1,1,2\n", "Designator;Mid X;Mid Y\r\nR1;1;2\r\n",
        "\"Designator\"\t\"Mid X\"\t\"Mid Y\"\n\"R1\"\t\"1\"\t\"2\"", "\n\nRef|X|Y\n\nR1| 1 | 2 \n",
        "made by hand\n\nRef X Y\nR1   1   2\n", "# Ref, X, Y\r# a remark\rR1,1,2\r"}) {
    INFO(text);
    const Imported in = read(text);
    REQUIRE(in.layout.parts.size() == 1);
    check_place(in.layout.parts[0], 1, 2);
  }
}

TEST_CASE("the centre is preferred to the reference pin") {
  const Imported in = read(
      "Designator,Comment,Footprint,Ref X,Ref Y,Pad X,Pad Y,Mid X,Mid Y,Layer,Rotation\n"
      "R1,10k,0805,1,2,3,4,5,6,TopLayer,0\n");
  check_place(in.layout.parts[0], 5, 6);
}

TEST_CASE("sides are read from words and from a mirror column, and doubts are said") {
  const Imported in =
      read("Ref,X,Y,Layer\nA1,1,1,BottomLayer\nA2,1,1,Component side\nA3,1,1,odd\n");
  CHECK(in.layout.parts[0].side == Side::back);
  CHECK(in.layout.parts[1].side == Side::front);
  CHECK(in.layout.parts[2].side == Side::front);
  CHECK_THAT(remarks(in.layout), Contains("1 parts name no side"));
  const Imported mirror = read("Ref,X,Y,Mirror\nA1,1,1,YES\nA2,1,1,NO\n");
  CHECK(mirror.layout.parts[0].side == Side::back);
  CHECK(mirror.layout.parts[1].side == Side::front);
}

TEST_CASE("lines without numbers are left out and said, a table of them is refused") {
  const Imported in = read("Ref,X,Y\nR1,1,2\nR2,n/a,3\nR3,4,5\n,1,1\nR5,7,8\n");
  CHECK(in.layout.parts.size() == 3);
  CHECK_THAT(remarks(in.layout), Contains("Line 3 was left out: it has no number in the x column"));
  CHECK_THAT(remarks(in.layout), Contains("Line 5 was left out: it has no designator"));
  CHECK_THROWS_WITH(imported_centroid("Ref,X,Y\nR1,a,b\n", "x.csv", {}),
                    Contains("x.csv: 1 of 1 rows"));
  CHECK_THROWS_WITH(imported_centroid("a,b,c\n1,2,3\n", "x.csv", {}), Contains("no header line"));
  CHECK_THROWS_AS(imported_centroid("", "x.csv", {}), Error);
  CHECK_FALSE(sniffed_format("a,b,c\n1,2,3\n"));
}

TEST_CASE("boxes from the top left give bodies, turned back by quarter turns, and y down") {
  const Imported in = read(
      "ref,value,footprint,side,x_mm,y_mm,rot_deg,bx0_mm,by0_mm,bx1_mm,by1_mm\n"
      "J1,RESET,,top,5,87,90.000,3,85,6,90\n");
  CHECK(in.y_axis == YAxis::down);
  CHECK(in.layout.parts[0].body == cv::Size2d(5, 3));
  check_place(in.layout.parts[0], 4.5, 87.5);
  CHECK_THAT(bounding_box(body_ring(in.layout.parts[0])).height, WithinAbs(5, 1e-9));
}

TEST_CASE("without an outline the frame is the box of the parts and it is said") {
  const Layout layout = board_layout({read("Ref,X,Y\nR1,10,10\nR2,30,50\n")});
  check_place(layout.parts[0], 0, 40);
  check_place(layout.parts[1], 20, 0);
  CHECK_FALSE(layout.grid);
  CHECK_THAT(remarks(layout), Contains("No outline is known"));
}

TEST_CASE("a board size stands in for the outline, from the origin or about the parts") {
  ImportOptions options;
  options.board_mm = cv::Size2d(100, 60);
  const Layout up = board_layout({read("Ref,X,Y\nR1,10,10\nR2,30,50\n")}, options);
  check_place(up.parts[0], 10, 50);
  CHECK(up.grid);
  ImportOptions down = options;
  down.y_axis = YAxis::down;
  const Layout y_down = board_layout({read("Ref,X,Y\nR1,10,10\nR2,30,50\n", down)}, down);
  check_place(y_down.parts[0], 10, 10);
  const Layout far = board_layout({read("Ref,X,Y\nR1,510,10\nR2,530,50\n")}, options);
  check_place(far.parts[0], 40, 50);
  CHECK_THAT(remarks(far), Contains("centred about the parts"));
  options.board_mm = cv::Size2d(0, 60);
  CHECK_THROWS_AS(board_layout({read("Ref,X,Y\nR1,10,10\n")}, options), Error);
}

TEST_CASE("a mirrored back is recognised by the front and mended") {
  const std::string front = "Ref,X,Y,Side,Rotation\nR1,0,0,top,0\nR2,100,0,top,0\nR3,50,80,top,0\n";
  const Layout mirrored = board_layout({read(front + "C1,-20,10,bottom,30\nC2,-70,30,bottom,0\n")});
  check_place(mirrored.parts[3], 20, 70);
  CHECK(mirrored.parts[3].rotation_deg == 330);
  CHECK_THAT(remarks(mirrored), Contains("were given mirrored"));
  const Layout plain = board_layout({read(front + "C1,20,10,bottom,30\nC2,70,30,bottom,0\n")});
  check_place(plain.parts[3], 20, 70);
  CHECK(plain.parts[3].rotation_deg == 30);
  CHECK_THAT(remarks(plain), !Contains("were given mirrored"));
}

TEST_CASE("our own centroid table comes back") {
  Layout layout = sample_layout();
  layout.outline.holes.clear();
  Imported outline;
  outline.layout.outline = layout.outline;
  Imported parts = read(centroid_csv(layout));
  // The table has its origin at the outline's lower left corner; move the outline there.
  for (cv::Point2d& p : outline.layout.outline.outer) p.y -= 150.3;
  const Layout back = board_layout({outline, parts});
  REQUIRE(back.parts.size() == layout.parts.size());
  for (size_t i = 0; i < back.parts.size(); ++i) {
    CHECK(back.parts[i].designator == layout.parts[i].designator);
    CHECK(back.parts[i].kind == layout.parts[i].kind);
    CHECK(back.parts[i].side == layout.parts[i].side);
    CHECK(back.parts[i].body == layout.parts[i].body);
    CHECK_THAT(cv::norm(back.parts[i].centre - layout.parts[i].centre), WithinAbs(0, 1e-4));
  }
}
