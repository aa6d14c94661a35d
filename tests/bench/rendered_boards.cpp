// Writes rendered photos with their truth into one folder, for training and for scoring.
//
//   rendered_boards FOLDER [--boards N] [--first SEED] [--size WxH] [--mask COLOUR]
//                   [--defocus PX] [--jpeg QUALITY] [--warm LN_GAIN]
//
// FOLDER gets photos/R00001.jpg, truth/R00001.png (residue ids of what the photo shows), board/
// R00001.png (255 inside the outline as seen) and boards.csv. Solder-mask colours go round, every
// fourth board is seen from the back, every fifth was washed, every sixth never leaked. Same seeds,
// same files. An option of the camera sets that one thing alike for all boards: sigma of the blur,
// the JPEG's quality, or the logarithm by which red gains and blue loses.
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <iostream>
#include <optional>
#include <string>

#include "base/error.h"
#include "base/files.h"
#include "photo/encode.h"
#include "synthetic/random.h"
#include "synthetic/shot.h"

using namespace verdigrid;
using namespace verdigrid::synthetic;
namespace fs = std::filesystem;

namespace {

struct Options {
  fs::path folder;
  int boards = 40;
  std::uint64_t first = 1;
  cv::Size size{1200, 900};
  std::optional<MaskColour> mask;
  std::optional<double> defocus_px, warm;
  std::optional<int> jpeg;
};

BoardSpec board_of(std::uint64_t seed, const Options& o) {
  Random r(mixed(seed, 501));
  BoardOptions b;
  const double width = std::exp(r.uniform(std::log(45.0), std::log(240.0)));
  b.size_mm = cv::Size2d{std::round(width), std::round(width * r.uniform(0.6, 0.85))};
  b.mask = o.mask.value_or(static_cast<MaskColour>(seed % k_mask_colour_count));
  b.side = seed % 4 == 3 ? Side::back : Side::front;
  b.residue_amount = seed % 6 == 0 ? 0 : r.uniform(0.25, 1.0);
  const BoardSpec board = random_board(seed, b);
  return seed % 5 == 4 ? washed(board, seed, 0.6) : board;
}

CameraSpec camera_of(std::uint64_t seed, const Options& o) {
  CameraOptions c;
  c.rotation_at_most_deg = seed % 3 == 0 ? 180 : 4;
  c.glare_probability = 0.3;
  c.defocus_at_most_px = 1.3;
  c.white_balance_error = 0.1;
  CameraSpec camera = random_camera(seed, o.size, c);
  if (o.defocus_px) camera.defocus_px = *o.defocus_px;
  if (o.jpeg) camera.jpeg_quality = *o.jpeg;
  if (o.warm) camera.white_balance = {std::exp(-*o.warm), 1, std::exp(*o.warm)};
  return camera;
}

// Writes one board and gives its line of boards.csv.
std::string write_board(std::uint64_t seed, const Options& o) {
  const BoardSpec board = board_of(seed, o);
  CameraSpec camera = camera_of(seed, o);
  const int quality = camera.jpeg_quality;
  camera.jpeg_quality = 0;
  const Shot s = shot(board, camera);
  const std::string name = fmt::format("R{:05}", seed);
  write_file(o.folder / "photos" / (name + ".jpg"), jpeg_bytes(s.bgr, quality));
  write_file(o.folder / "truth" / (name + ".png"), png_bytes(s.truth.seen_labels));
  write_file(o.folder / "board" / (name + ".png"), png_bytes(s.truth.board));
  return fmt::format(
      "{},{},{},{:.2f},{:.2f},{},{:.3f},{:.2f}\n", name, verdigrid::synthetic::name(board.mask),
      verdigrid::name(board.side), s.truth.px_per_mm, camera.defocus_px, quality,
      std::log(camera.white_balance[2] / camera.white_balance[0]) / 2, s.truth.residue_area_mm2());
}

int run(const Options& o) {
  for (const char* part : {"photos", "truth", "board"}) fs::create_directories(o.folder / part);
  std::string csv = "name,solder_mask,side,px_per_mm,defocus_px,jpeg_quality,warm,residue_mm2\n";
  for (int i = 0; i < o.boards; ++i) csv += write_board(o.first + static_cast<std::uint64_t>(i), o);
  write_file(o.folder / "boards.csv", csv);
  fmt::print("{} boards written to {}\n", o.boards, o.folder.string());
  return 0;
}

MaskColour mask_named(const std::string& word) {
  for (int i = 0; i < k_mask_colour_count; ++i)
    if (word == name(static_cast<MaskColour>(i))) return static_cast<MaskColour>(i);
  throw Error(ErrorKind::wrong_use,
              "--mask takes green, dark-green, blue, red, black, white, "
              "yellow or phenolic, not \"" +
                  word + "\".");
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("Rendered photos of invented boards with their truth");
  Options o;
  std::string size = "1200x900", mask;
  app.add_option("folder", o.folder, "Folder to write into")->required();
  app.add_option("--boards", o.boards, "Number of boards")->check(CLI::Range(1, 100000));
  app.add_option("--first", o.first, "Seed of the first board");
  app.add_option("--size", size, "Photo size in px, WxH");
  app.add_option("--mask", mask, "Solder-mask colour of all boards");
  app.add_option("--defocus", o.defocus_px, "Sigma of the blur in px")->check(CLI::Range(0.0, 9.0));
  app.add_option("--jpeg", o.jpeg, "Quality of the JPEG")->check(CLI::Range(1, 100));
  app.add_option("--warm", o.warm, "Natural logarithm of the gain of red, and of the loss of blue");
  CLI11_PARSE(app, argc, argv);
  try {
    if (!mask.empty()) o.mask = mask_named(mask);
    if (std::sscanf(size.c_str(), "%dx%d", &o.size.width, &o.size.height) != 2 ||
        o.size.width < 100 || o.size.height < 100)
      throw Error(ErrorKind::wrong_use, "--size takes WxH px, at least 100x100: " + size);
    return run(o);
  } catch (const Error& e) {
    std::cerr << e.what() << '\n';
    return e.exit_code();
  }
}
