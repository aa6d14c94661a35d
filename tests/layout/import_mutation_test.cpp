// Cut and changed files: every reader ends with a layout that can be saved or with a sentence. Run
// under the address and undefined-behaviour sanitizers this is what catches overruns.
#include <catch2/catch.hpp>
#include <random>

#include "base/error.h"
#include "layout/export.h"
#include "layout/import.h"
#include "layout/layout_json.h"
#include "tests/layout/sample_layout.h"

using namespace verdigrid;

namespace {

const std::string k_kicad =
    "(kicad_pcb (version 20211014)\n(title_block (title \"A board\") (rev 2))\n"
    "(footprint \"CP_Radial_D10.0mm\" (layer \"B.Cu\") (at 40 30 90)\n"
    " (fp_text reference \"C7\" (at 0 0) (layer \"F.SilkS\"))\n"
    " (fp_circle (center 2.5 0) (end 7.5 0) (layer \"F.Fab\"))\n"
    " (fp_poly (pts (xy 0 0) (xy 1 1) (xy 2 0)) (layer \"F.CrtYd\"))\n"
    " (pad \"1\" thru_hole rect (at 0 0 90) (size 2 2) (drill 1) (layers *.Cu))\n"
    " (pad \"\" np_thru_hole circle (at 5 0 90) (size 2 2) (drill 1) (layers *.Cu)))\n"
    "(gr_line (start 0 0) (end 50 0) (layer \"Edge.Cuts\"))\n"
    "(gr_arc (start 50 0) (mid 60 10) (end 50 20) (layer \"Edge.Cuts\"))\n"
    "(gr_arc (start 50 20) (end 50 20) (angle 90) (layer \"Edge.Cuts\"))\n"
    "(gr_curve (pts (xy 50 20) (xy 30 30) (xy 20 20) (xy 0 0)) (layer \"Edge.Cuts\"))\n"
    "(via (at 12 13) (size 0.8) (drill 0.4)))\n";
const std::string k_netlist =
    "P  UNITS CUST 0\n327GND              R12   -1          A01X+010000Y+020000X0500Y0400R000S2\n"
    "317VCC              U1    -1    D0320PA00X+030000Y+020000X0600Y0000R000S0\n"
    "389BOARD_EDGE      X+000000Y+000000X+050000Y+000000X+050000Y+030000\n"
    "089                X+000000Y+030000X+000000Y+000000\n999\n";
const std::string k_gerber =
    "%TF.FileFunction,Profile,NP*%%FSLAX46Y46*%%MOMM*%G75*G01*X0Y0D02*X9000000D01*G03X9000000Y"
    "9000000I0J4500000D01*G74*G02X0Y9000000I4500000J0D01*G01Y0D01*M02*";
const std::string k_table =
    "## Unit = "
    "mm\nRef,Val,Package,PosX,PosY,Rot,Side,bx0,by0,bx1,by1\n\"C1\",\"100n\",\"C_0805\",10."
    "5,-20.25,90.0,top,1,2,3,4\nU3,\"a \"\"b\"\"\",DIP-14,30mil,-40,-90,bottom,,,,\n";

// True when the text was read; false when it was refused with a sentence.
bool is_read(const std::string& text, LayoutFormat format) {
  try {
    Imported in;
    if (format == LayoutFormat::kicad) in = imported_kicad(text, "x");
    if (format == LayoutFormat::ipc_d_356) in = imported_ipc_d_356(text, "x");
    if (format == LayoutFormat::gerber) in = imported_gerber_profile(text, "x");
    if (format == LayoutFormat::centroid) in = imported_centroid(text, "x", {});
    const Layout layout = board_layout({in});
    // Whatever was taken can be kept: the layout is valid, or its texts are not UTF-8.
    drawing_svg(layout);
    return true;
  } catch (const Error& e) {
    CHECK(e.kind() == ErrorKind::bad_input);
    CHECK(std::string(e.what()).size() > 10);
    return false;
  }
}

}  // namespace

TEST_CASE("cut and changed files of every format are read or refused, never worse") {
  const std::pair<std::string, LayoutFormat> all[] = {{k_kicad, LayoutFormat::kicad},
                                                      {k_netlist, LayoutFormat::ipc_d_356},
                                                      {k_gerber, LayoutFormat::gerber},
                                                      {k_table, LayoutFormat::centroid}};
  std::mt19937 random(5);
  for (const auto& [text, format] : all) {
    CHECK(is_read(text, format));
    size_t refused = 0;
    for (size_t cut = 0; cut < text.size(); cut += 5)
      refused += !is_read(text.substr(0, cut), format);
    for (int i = 0; i < 1200; ++i) {
      std::string changed = text;
      for (int k = 0; k < 1 + i % 4; ++k) {
        const size_t at = random() % changed.size();
        const size_t from = random() % changed.size();
        switch (random() % 4) {
          case 0:
            changed[at] = static_cast<char>(random() & 0xFF);
            break;
          case 1:
            changed[at] = "0123456789-+.eXYDGIJ\"()*%,;\n"[random() % 28];
            break;
          case 2:
            changed.erase(at, 1 + random() % 9);
            break;
          default:
            changed.insert(at, changed.substr(from, random() % 40));
        }
        if (changed.empty()) changed = text;
      }
      refused += !is_read(changed, format);
    }
    CHECK(refused > 0);
  }
}

TEST_CASE("random bytes are no layout") {
  std::mt19937 random(9);
  for (int i = 0; i < 300; ++i) {
    Bytes bytes;
    for (size_t k = 0; k < random() % 2000; ++k) bytes.push_back(static_cast<std::byte>(random()));
    try {
      const std::string text = utf8_text(bytes, "x");
      if (const auto format = sniffed_format(text)) is_read(text, *format);
    } catch (const Error& e) {
      CHECK(e.kind() == ErrorKind::bad_input);
    }
  }
}
