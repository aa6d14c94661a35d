// Open boards of Debian's kicad-demos package, read by our importer and by a second, independent
// reader of ten lines.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <regex>

#include "layout/import.h"

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {

namespace fs = std::filesystem;

constexpr double k_step_mm = 0.001;

struct Facts {
  size_t footprints = 0, pads_with_net = 0;
  double x0 = 1e9, y0 = 1e9, x1 = -1e9, y1 = -1e9;
};

// Footprint nodes stand alone at an indent of two; the edge shapes of these boards are lines,
// rectangles and corner arcs, whose given points span the box.
Facts independent_facts(const fs::path& path) {
  std::ifstream in(path);
  Facts facts;
  const std::regex pair("\\((?:start|mid|end) (-?[0-9.]+) (-?[0-9.]+)\\)");
  const std::regex net("\\(net [1-9][0-9]* [^ )]");
  for (std::string line; std::getline(in, line);) {
    facts.footprints += line.starts_with("  (footprint ") || line.starts_with("  (module ");
    // Pads stand alone at an indent of four, their net on the same or on a deeper line.
    if (line.starts_with("    (pad ") || line.starts_with("      "))
      facts.pads_with_net += std::regex_search(line, net);
    if (line.find("(gr_") == std::string::npos || line.find("Edge.Cuts") == std::string::npos)
      continue;
    for (std::sregex_iterator it(line.begin(), line.end(), pair), end; it != end; ++it) {
      const double x = std::stod((*it)[1]), y = std::stod((*it)[2]);
      facts.x0 = std::min(facts.x0, x), facts.x1 = std::max(facts.x1, x);
      facts.y0 = std::min(facts.y0, y), facts.y1 = std::max(facts.y1, y);
    }
  }
  return facts;
}

std::vector<fs::path> boards() {
  std::vector<fs::path> list;
  for (const auto& entry : fs::recursive_directory_iterator(VERDIGRID_KICAD_DEMOS))
    if (entry.path().extension() == ".kicad_pcb") list.push_back(entry.path());
  std::sort(list.begin(), list.end());
  return list;
}

}  // namespace

TEST_CASE("every open demo board imports with all its parts and its edge box") {
  const std::vector<fs::path> all = boards();
  REQUIRE(all.size() >= 10);
  for (const fs::path& path : all) {
    INFO(path);
    const Facts facts = independent_facts(path);
    const Layout layout = board_layout({imported_file(path)});
    CHECK(facts.footprints > 0);
    CHECK(layout.parts.size() == facts.footprints);
    const cv::Rect2d box = bounding_box(layout.outline.outer);
    CHECK_THAT(box.width, WithinAbs(facts.x1 - facts.x0, k_step_mm));
    CHECK_THAT(box.height, WithinAbs(facts.y1 - facts.y0, k_step_mm));
    size_t with_body = 0, inside = 0, with_net = 0;
    for (const Part& part : layout.parts) {
      with_body += part.has_body();
      inside += contains(layout.outline, part.centre);
      for (const Joint& joint : part.joints) with_net += !joint.net.empty();
    }
    CHECK(with_net == facts.pads_with_net);
    // Connectors may hang over the edge; logos have no body.
    CHECK(with_body >= layout.parts.size() * 9 / 10);
    CHECK(inside >= layout.parts.size() * 9 / 10);
  }
}
