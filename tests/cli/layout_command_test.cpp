#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <sstream>

#include "base/files.h"
#include "layout/layout_json.h"
#include "photo/encode.h"
#include "rectify/rectification_file.h"
#include "tests/cli/drawn_board.h"
#include "tests/cli/run_here.h"
#include "tests/compare/texture.h"
#include "tests/process.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
namespace fs = std::filesystem;

namespace {

// 160 x 100 mm with one radial can.
constexpr const char* k_kicad =
    "(kicad_pcb (version 20211014) (generator hand)\n"
    "(gr_rect (start 20 20) (end 180 120) (layer \"Edge.Cuts\"))\n"
    "(footprint \"CP_Radial_D10.0mm_P5.00mm\" (layer \"F.Cu\") (at 60 50)\n"
    " (fp_text reference \"C7\" (at 0 0) (layer \"F.SilkS\"))\n"
    " (fp_circle (center 2.5 0) (end 7.5 0) (layer \"F.Fab\"))))\n";

// A board of 160 x 100 mm at 5 px per mm, seen from a place of its own.
void write_photo(const fs::path& path, const cv::Matx33d& view, unsigned seed) {
  cv::Mat flat(620, 920, CV_8UC3, cv::Scalar(150, 150, 150));
  texture({800, 500}, seed, 900).copyTo(flat(cv::Rect(60, 60, 800, 500)));
  write_file(path, png_bytes(viewed(flat, view, flat.size())));
}

constexpr double k_step_mm = 0.15;  // under a px

}  // namespace

TEST_CASE("a board file is imported, checked and drawn", "[cli]") {
  const test::TemporaryFolder t;
  write_file(t.path() / "b.txt", std::string_view(k_kicad));  // known by its content
  const std::string layout = (t.path() / "b.layout.json").string();
  const test::Ran made = test::run_here(
      {"layout", "import", (t.path() / "b.txt").string(), "--board-type", "Logger", "-o", layout});
  CAPTURE(made.messages);
  REQUIRE(made.code == 0);
  CHECK_THAT(made.out, Contains("1 parts") && Contains("160.0 x 100.0 mm, grid 8 x 6"));
  CHECK(load_layout(layout).board_type == "Logger");
  CHECK(test::run_here({"layout", "check", layout}).code == 0);
  CHECK(test::run_here({"layout", "draw", layout, "-o", (t.path() / "b.svg").string()}).code == 0);
  CHECK(test::run_here({"layout", "draw", layout, "-o", (t.path() / "b.csv").string()}).code == 0);
  CHECK(fs::file_size(t.path() / "b.svg") > 500);
  // Written once; again only when asked.
  CHECK(test::run_here({"layout", "draw", layout, "-o", (t.path() / "b.svg").string()}).code == 2);
  CHECK(test::run_here({"layout", "draw", layout, "-o", (t.path() / "b.pdf").string()}).code == 2);
}

TEST_CASE("a netlist's nets are counted and its layout is kept for a board type", "[cli]") {
  const test::TemporaryFolder t;
  write_file(
      t.path() / "n.ipc",
      std::string_view("P  UNITS CUST 1\n"
                       "327GND              R1    -1          A01X+010000Y+010000X1000Y1000R000S2\n"
                       "327VCC              R1    -2          A01X+012000Y+010000X1000Y1000R000S2\n"
                       "327GND              R2    -1          A01X+030000Y+010000X1000Y1000R000S2\n"
                       "389BOARD_EDGE      X+000000Y+000000X+160000Y+000000X+160000Y+100000\n"
                       "089                X+000000Y+100000X+000000Y+000000\n999\n"));
  const std::string layout = (t.path() / "n.layout.json").string(),
                    book = (t.path() / "shelf").string();
  const test::Ran made =
      test::run_here({"layout", "import", (t.path() / "n.ipc").string(), "-o", layout});
  CAPTURE(made.messages);
  REQUIRE(made.code == 0);
  CHECK_THAT(made.out, Contains("2 parts (0 on the back), 2 nets"));
  REQUIRE(test::run_here({"jobbook", "init", book, "--who", "Ada"}).code == 0);
  const test::Ran type =
      test::run_here({"boardtype", "add", book, "--name", "logger main", "--layout", layout});
  REQUIRE(type.code == 0);
  const std::string id = type.out.substr(0, type.out.find('\n'));
  CHECK_THAT(test::run_here({"boardtype", "show", book, id}).out,
             Contains("Layout: 0 zones, 2 parts"));
  CHECK(test::run_here({"boardtype", "add", book, "--name", "x", "--layout", book}).code == 3);
}

TEST_CASE("what is no layout is refused with exit code 3 and a sentence", "[cli]") {
  const test::TemporaryFolder t;
  write_file(t.path() / "x.csv", std::string_view("a,b\n1,2\n"));
  const test::Ran none = test::run_here({"layout", "check", (t.path() / "x.csv").string()});
  CHECK(none.code == 3);
  CHECK_THAT(none.messages, Contains("none of the formats"));
  CHECK(test::run_here({"layout", "check", (t.path() / "missing").string()}).code == 3);
  CHECK(test::run_here({"layout"}).code == 2);
}

TEST_CASE("a layout is tied to one photo and placed on another; a wrong photo is refused",
          "[cli]") {
  const test::TemporaryFolder t;
  const auto at = [&](const char* name) { return (t.path() / name).string(); };
  write_file(t.path() / "b.txt", std::string_view(k_kicad));
  const cv::Matx33d view = turned_view({920, 620}, 12);
  write_photo(at("first.png"), cv::Matx33d::eye(), 1);
  write_photo(at("second.png"), view, 1);
  write_photo(at("other.png"), view, 2);
  REQUIRE(test::run_here({"layout", "import", at("b.txt"), "-o", at("b.layout.json")}).code == 0);
  CHECK(test::run_here({"layout", "place", at("b.layout.json"), at("first.png"), at("second.png"),
                        "-o", at("r.json")})
            .code == 3);  // not tied yet
  const test::Ran tied = test::run_here({"layout", "tie", at("b.layout.json"), at("first.png"),
                                         "--board-mm", "160x100", "--corners", "60,60", "860,60",
                                         "860,560", "60,560", "-o", at("tied.layout.json")});
  CAPTURE(tied.messages);
  REQUIRE(tied.code == 0);
  const test::Ran placed = test::run_here({"layout", "place", at("tied.layout.json"),
                                           at("first.png"), at("second.png"), "-o", at("r.json")});
  CAPTURE(placed.messages);
  REQUIRE(placed.code == 0);
  CHECK_THAT(placed.out, Contains("placed") && Contains("mm rms"));
  const Rectification r = load_rectification(at("r.json"));
  for (const cv::Point2d& p : {cv::Point2d(100, 100), cv::Point2d(800, 500)}) {
    const cv::Point2d mm = (p - cv::Point2d(60, 60)) * 0.2;
    CHECK_THAT(cv::norm(board_point(r, mapped(view, p)) - mm), WithinAbs(0, k_step_mm));
  }
  const test::Ran wrong = test::run_here({"layout", "place", at("tied.layout.json"),
                                          at("first.png"), at("other.png"), "-o", at("w.json")});
  CHECK(wrong.code == 5);
  CHECK_THAT(wrong.messages, Contains("not placed (wrong board)"));
  CHECK_FALSE(fs::exists(at("w.json")));
  // Not the photo that it is tied to.
  CHECK(test::run_here({"layout", "place", at("tied.layout.json"), at("second.png"),
                        at("other.png"), "-o", at("w.json")})
            .code == 3);
  std::vector<std::string> by_hand{"layout",        "place",          at("tied.layout.json"),
                                   at("first.png"), at("second.png"), "-o",
                                   at("h.json")};
  for (const cv::Point2d& p :
       {cv::Point2d(100, 100), cv::Point2d(800, 100), cv::Point2d(400, 500)}) {
    const cv::Point2d q = mapped(view, p);
    by_hand.push_back("--pair");
    std::ostringstream text;
    text << p.x << ',' << p.y << ',' << q.x << ',' << q.y;
    by_hand.push_back(text.str());
  }
  CHECK(test::run_here(by_hand).code == 0);
}

TEST_CASE("a survey with a layout names zones, the parts reached, and what was looked under",
          "[cli]") {
  const test::TemporaryFolder t;
  const auto at = [&](const char* name) { return (t.path() / name).string(); };
  const fs::path photo = test::write_board(t.path() / "board.png", test::Crusts::some);
  // One of the crusts lies at (86, 25) mm: the can stands on it, the chip far from all of them.
  Layout layout = layout_over({{{0, 0},
                                {test::k_board_width_mm, 0},
                                {test::k_board_width_mm, test::k_board_height_mm},
                                {0, test::k_board_height_mm}},
                               {}},
                              true);
  layout.board_type = "Logger";
  layout.zones.push_back({"power", {{{72, 12}, {100, 12}, {100, 40}, {72, 40}}, {}}});
  layout.zones.push_back({"far corner", {{{120, 70}, {150, 70}, {150, 90}, {120, 90}}, {}}});
  Part can;
  can.designator = "C7", can.kind = PartKind::aluminium_radial;
  can.centre = {86, 25}, can.body = {4, 4}, can.shape = BodyShape::round;
  Part chip;
  chip.designator = "U2", chip.kind = PartKind::ic, chip.centre = {130, 80}, chip.body = {20, 8};
  layout.parts = {can, chip};
  write_file(at("b.layout.json"), layout_json(layout));

  const std::vector<std::string> plain{"survey",       photo.string(), "--detector",
                                       "first-method", "--layout",     at("b.layout.json"),
                                       "-o",           at("s")};
  const test::Ran ran = test::run_here(plain);
  CAPTURE(ran.messages);
  REQUIRE(ran.code == 0);
  const auto survey = nlohmann::json::parse(test::text_of(t.path() / "s" / "survey.json"));
  REQUIRE(survey["zones"].size() == 2);
  CHECK(survey["zones"][0]["name"] == "power");
  CHECK(survey["zones"][0]["parts_reached"] == nlohmann::json{"C7"});
  CHECK(survey["zones"][1]["affected"]["px"] == 0);
  CHECK(survey["board"]["parts_reached"] == nlohmann::json{"C7"});
  CHECK_THAT(test::text_of(t.path() / "s" / "parts.csv"), Contains("C7") && Contains("U2"));
  const double under = survey["board"]["unseen"]["under_parts_percent"];
  // 160 mm2 of chip and 12.6 mm2 of can, of 16,000 mm2.
  CHECK_THAT(under, WithinAbs(100 * (160 + CV_PI * 4) / 16000, 0.1));

  std::vector<std::string> peeked = plain;
  peeked.back() = at("peeked");
  peeked.insert(peeked.end(), {"--looked-under", "U2"});
  REQUIRE(test::run_here(peeked).code == 0);
  const auto after = nlohmann::json::parse(test::text_of(t.path() / "peeked" / "survey.json"));
  CHECK_THAT(after["board"]["unseen"]["under_parts_percent"].get<double>(),
             WithinAbs(100 * CV_PI * 4 / 16000, 0.05));

  peeked.back() = "U99";
  const test::Ran wrong = test::run_here(peeked);
  CHECK(wrong.code == 2);
  CHECK_THAT(wrong.messages, Contains("no part U99"));
  CHECK(test::run_here({"survey", photo.string(), "--looked-under", "U2"}).code == 2);

  // Neither a layout of a board of another size nor one whose edge nobody knows is laid on.
  std::vector<std::string> other = plain;
  other.back() = at("other");
  other.insert(other.end(), {"--board-mm", "140x88"});
  const test::Ran misfit = test::run_here(other);
  CHECK(misfit.code == 5);
  CHECK_THAT(misfit.messages, Contains("160.0 x 100.0 mm, this board 1"));
  layout.outline = {};
  write_file(at("b.layout.json"), layout_json(layout));
  const test::Ran edgeless = test::run_here(plain);
  CHECK(edgeless.code == 3);
  CHECK_THAT(edgeless.messages, Contains("it has no outline"));
}
