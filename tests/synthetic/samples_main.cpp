// make_samples DIR: writes the sample photos and boards.json into an existing folder.
#include <fmt/format.h>

#include <cstdio>

#include "base/error.h"
#include "synthetic/samples.h"

using namespace verdigrid;
using namespace verdigrid::synthetic;

int main(int argc, char** argv) {
  try {
    if (argc != 2)
      throw Error(ErrorKind::wrong_use,
                  "make_samples needs one folder to write into: make_samples samples");
    const std::filesystem::path folder = argv[1];
    const std::vector<Sample> all = samples();
    std::vector<Truth> truths;
    for (const Sample& s : all) {
      RenderedSample r = rendered(s);
      write_file(folder / s.file, r.jpeg);
      fmt::print("{}: {} bytes, {:.1f} mm2 of residue\n", s.file, r.jpeg.size(),
                 r.truth.residue_area_mm2());
      truths.push_back(std::move(r.truth));
    }
    write_file(folder / "boards.json", boards_json(all, truths));
    return 0;
  } catch (const Error& e) {
    fmt::print(stderr, "{}\n", e.what());
    return e.exit_code();
  }
}
