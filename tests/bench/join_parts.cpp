// How joining does on rendered boards of exact truth: seams and residue area, four photos each.
//
//   join_parts [SETS [WIDTHxHEIGHT [FIRST [FOLDER]]]]      default 20 800x600 0
//
// FOLDER, an existing one: NUMBER.png and NUMBER-source.png (photo index times 60) of each set.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>

#include "base/error.h"
#include "base/files.h"
#include "photo/encode.h"
#include "tests/compare/rendered_parts.h"

using namespace verdigrid;

int main(int argc, char** argv) {
  const int sets = argc > 1 ? std::stoi(argv[1]) : 20, first = argc > 3 ? std::stoi(argv[3]) : 0;
  cv::Size size{800, 600};
  if (argc > 2) std::sscanf(argv[2], "%dx%d", &size.width, &size.height);
  const std::string folder = argc > 4 ? argv[4] : "";
  int refused = 0, seams_right = 0, areas = 0, areas_right = 0;
  double worst_rms = 0, worst_area = 0;
  for (int i = first; i < first + sets; ++i) {
    const RenderedParts parts = rendered_parts(i, size);
    try {
      const Joined all = joined(parts.photos);
      const SeamError e = seam_error(all, parts);
      const auto ratio = area_ratio(all, parts);
      const double off = ratio ? std::abs(*ratio - 1) : 0;
      seams_right += e.rms_px <= 0.5;
      areas += ratio.has_value();
      areas_right += ratio && off <= 0.02;
      worst_rms = std::max(worst_rms, e.rms_px);
      worst_area = std::max(worst_area, off);
      fmt::print(
          "{}: seams rms {:.2f} worst {:.2f} px over {} places, said {:.2f} px; area off {:.2f} "
          "%; {}x{} px\n",
          i, e.rms_px, e.worst_px, e.places, all.rms_px.value, 100 * off, all.bgr.cols,
          all.bgr.rows);
      if (!folder.empty()) {
        write_file(fmt::format("{}/{}.png", folder, i), png_bytes(all.bgr));
        write_file(fmt::format("{}/{}-source.png", folder, i), png_bytes(all.source * 60));
      }
    } catch (const Error& e) {
      ++refused;
      fmt::print("{}: REFUSED {}\n", i, e.what());
    }
    std::fflush(stdout);
  }
  fmt::print(
      "joined {} of {}; seams within 0.5 px rms: {}, most {:.2f} px; area within 2 %: {} of "
      "{}, most {:.2f} % off\n",
      sets - refused, sets, seams_right, worst_rms, areas_right, areas, 100 * worst_area);
  return 0;
}
