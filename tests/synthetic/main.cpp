// synthetic_board: writes a rendered photo with its truth.
#include <fmt/format.h>

#include <charconv>
#include <cstdio>
#include <map>
#include <nlohmann/json.hpp>

#include "base/error.h"
#include "base/files.h"
#include "photo/encode.h"
#include "synthetic/report.h"
#include "synthetic/shot.h"

using namespace verdigrid;
using namespace verdigrid::synthetic;

namespace {

constexpr const char* k_help =
    "synthetic_board - writes photo.jpg, labels.png, truth.json and parts.csv of an invented "
    "board\n\n"
    "  synthetic_board DIR [--seed N] [--camera N] [--size WxH] [--board-mm WxH] [--mask COLOUR]\n"
    "                      [--side front|back] [--amount 0..1] [--tilt DEG] [--unit N] [--flat]\n";

std::map<std::string, std::string> options_of(int argc, char** argv) {
  std::map<std::string, std::string> o;
  for (int i = 2; i < argc; ++i) {
    const std::string key = argv[i];
    if (key == "--flat") {
      o[key] = std::string(1, '1');
    } else if (key.starts_with("--") && i + 1 < argc) {
      o[key] = argv[++i];
    } else {
      throw Error(ErrorKind::wrong_use,
                  fmt::format("\"{}\" is no option, or its value is missing.\n\n{}", key, k_help));
    }
  }
  return o;
}

double number(const std::string& text, const std::string& key) {
  double v = 0;
  const auto r = std::from_chars(text.data(), text.data() + text.size(), v);
  if (r.ec != std::errc() || r.ptr != text.data() + text.size())
    throw Error(ErrorKind::wrong_use, fmt::format("{} needs a number, not \"{}\".", key, text));
  return v;
}

cv::Size2d size_of(const std::string& text, const std::string& key) {
  const auto x = text.find('x');
  if (x == std::string::npos)
    throw Error(ErrorKind::wrong_use, fmt::format("{} needs WxH, not \"{}\".", key, text));
  return {number(text.substr(0, x), key), number(text.substr(x + 1), key)};
}

BoardOptions board_options(const std::map<std::string, std::string>& o) {
  BoardOptions b;
  if (o.contains("--board-mm")) b.size_mm = size_of(o.at("--board-mm"), "--board-mm");
  if (o.contains("--amount")) b.residue_amount = number(o.at("--amount"), "--amount");
  if (o.contains("--side")) b.side = o.at("--side") == "back" ? Side::back : Side::front;
  for (int i = 0; i < k_mask_colour_count; ++i)
    if (o.contains("--mask") && o.at("--mask") == name(static_cast<MaskColour>(i)))
      b.mask = static_cast<MaskColour>(i);
  return b;
}

int run(int argc, char** argv) {
  if (argc < 2 || std::string(argv[1]) == "--help") {
    std::fputs(k_help, stdout);
    return 0;
  }
  const auto o = options_of(argc, argv);
  const auto whole = [&](const char* key, double otherwise) {
    return static_cast<std::uint64_t>(o.contains(key) ? number(o.at(key), key) : otherwise);
  };
  const std::uint64_t seed = whole("--seed", 1);
  const BoardOptions options = board_options(o);
  BoardSpec board = random_board(seed, options);
  if (o.contains("--unit")) board = other_unit(board, whole("--unit", 1), options);
  const cv::Size2d size =
      o.contains("--size") ? size_of(o.at("--size"), "--size") : cv::Size2d{1600, 1200};
  const cv::Size px{static_cast<int>(size.width), static_cast<int>(size.height)};
  CameraSpec camera =
      o.contains("--flat") ? flat_camera(px) : random_camera(whole("--camera", double(seed)), px);
  if (o.contains("--tilt")) camera.tilt_deg = number(o.at("--tilt"), "--tilt");
  const int quality = std::max(camera.jpeg_quality, 1);
  camera.jpeg_quality = 0;
  const Shot s = shot(board, camera);
  NewFolder folder(argv[1],
                   {"photo.jpg", "labels.png", "seen_labels.png", "truth.json", "parts.csv"});
  write_file(folder.path() / "photo.jpg", jpeg_bytes(s.bgr, o.contains("--flat") ? 98 : quality));
  write_file(folder.path() / "labels.png", png_bytes(s.truth.labels));
  write_file(folder.path() / "seen_labels.png", png_bytes(s.truth.seen_labels));
  write_file(folder.path() / "truth.json", truth_json(board, s.truth));
  write_file(folder.path() / "parts.csv", parts_csv(s.truth));
  folder.commit();
  fmt::print("{}: {} {:.1f} x {:.1f} mm, {:.2f} px/mm, {:.1f} mm2 of residue\n", argv[1],
             name(board.mask), board.size_mm.width, board.size_mm.height, s.truth.px_per_mm,
             s.truth.residue_area_mm2());
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (const Error& e) {
    fmt::print(stderr, "{}\n", e.what());
    return e.exit_code();
  }
}
