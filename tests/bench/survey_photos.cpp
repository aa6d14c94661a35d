// Surveys every photo of a folder and writes its labels, for scoring against hand-drawn truth.
//
//   survey_photos FOLDER... --out DIR [--setting show-less|normal|show-more] [--frame]
//                 [--confidence DIR] [--board DIR] [--findings FILE.csv] [--model MODEL.json]
//                 [--names FILE]
//
// Writes DIR/NAME.png (residue ids, size of the photo) for every picture in the folders. The
// detector is the first method, or the trained one that --model names. The
// outline is the one the program finds by itself; --frame takes the whole photo instead. --board
// keeps it as a picture (255 inside). --names takes only the photos that FILE names, one a line,
// without extension. Prints one line per photo and a summary of times. Exit code 1 when a photo was
// refused.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <set>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/files.h"
#include "detect/detector.h"
#include "detect/findings.h"
#include "detect/regions.h"
#include "detect/trained_detector.h"
#include "photo/decode.h"
#include "photo/encode.h"
#include "rectify/rectify.h"
#include "tests/bench/bench_main.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

struct Options {
  std::vector<fs::path> folders;
  fs::path out, confidence, board, findings, model;
  std::set<std::string> names;  // empty: all
  Setting setting = Setting::normal;
  bool is_frame = false;
};

Setting setting_named(const std::string& word) {
  for (const Setting s : {Setting::show_less, Setting::normal, Setting::show_more})
    if (word == name(s)) return s;
  throw Error(ErrorKind::wrong_use, "--setting takes show-less, normal or show-more.");
}

std::set<std::string> names_in(const fs::path& file) {
  std::ifstream lines(file);
  if (!lines) throw Error(ErrorKind::bad_input, "Cannot read " + file.string() + ".");
  return {std::istream_iterator<std::string>(lines), {}};
}

Options options_from(int argc, char** argv) {
  Options o;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    const auto value = [&]() -> std::string {
      if (++i >= argc) throw Error(ErrorKind::wrong_use, word + " needs a value.");
      return argv[i];
    };
    if (word == "--out")
      o.out = value();
    else if (word == "--confidence")
      o.confidence = value();
    else if (word == "--board")
      o.board = value();
    else if (word == "--names")
      o.names = names_in(value());
    else if (word == "--findings")
      o.findings = value();
    else if (word == "--model")
      o.model = value();
    else if (word == "--setting")
      o.setting = setting_named(value());
    else if (word == "--frame")
      o.is_frame = true;
    else if (word.starts_with("--"))
      throw Error(ErrorKind::wrong_use, "Unknown option " + word + ".");
    else
      o.folders.emplace_back(word);
  }
  if (o.folders.empty() || o.out.empty())
    throw Error(ErrorKind::wrong_use, "Give at least one folder of photos and --out DIR.");
  return o;
}

std::vector<fs::path> photos_in(const Options& o) {
  std::vector<fs::path> photos;
  for (const auto& folder : o.folders)
    for (const auto& entry : fs::directory_iterator(folder))
      if (entry.is_regular_file() &&
          (o.names.empty() || o.names.contains(entry.path().stem().string())))
        photos.push_back(entry.path());
  std::sort(photos.begin(), photos.end());
  return photos;
}

// 255 inside the outline, everywhere without one.
cv::Mat board_picture(const Photo& photo, const Rectification& r) {
  if (r.outline_is_frame) return cv::Mat(photo.size_px(), CV_8UC1, cv::Scalar(255));
  return picture_of({r.outline_px}, photo.size_px(), 1);
}

Rectification frame_of(const Photo& photo) {
  Rectification r;
  r.photo_size_px = photo.size_px();
  r.outline_is_frame = true;
  return r;
}

double seconds(std::chrono::steady_clock::time_point from,
               std::chrono::steady_clock::time_point to) {
  return std::chrono::duration<double>(to - from).count();
}

struct Totals {
  double megapixels = 0, decode_s = 0, rectify_s = 0, survey_s = 0, findings_s = 0;
  int photos = 0, refused = 0, with_outline = 0;
};

void write_map(const fs::path& folder, const fs::path& photo, const cv::Mat& map) {
  if (!folder.empty()) write_file(folder / (photo.stem().string() + ".png"), png_bytes(map));
}

void survey(const fs::path& path, const Detector& detector, const Options& o, std::ofstream& csv,
            Totals& t) {
  using Clock = std::chrono::steady_clock;
  const auto start = Clock::now();
  const Photo photo = load_photo(path);
  const auto decoded = Clock::now();
  const auto rectification = o.is_frame ? frame_of(photo) : rectify(photo, {});
  const auto rectified = Clock::now();
  const auto map = detector.residue_map(photo, rectification, {o.setting}, {});
  const auto surveyed = Clock::now();
  const auto found = findings_of(photo, rectification, map, {});
  const auto done = Clock::now();
  write_map(o.out, path, map.labels);
  write_map(o.confidence, path, map.confidence);
  if (!o.board.empty()) write_map(o.board, path, board_picture(photo, rectification));
  for (const auto& f : found.findings)
    csv << fmt::format("{},{},{},{},{:.4f},{},{},{},{},\"{}\"\n", path.stem().string(), f.id,
                       name(f.residue), f.area_px, f.confidence, f.box_px.x, f.box_px.y,
                       f.box_px.width, f.box_px.height, f.reason);
  std::cout << fmt::format(
      "{:16} {}x{} outline {} | {} findings, {} places | ms: decode {:.0f} rectify {:.0f} survey "
      "{:.0f} findings {:.0f}\n",
      path.stem().string(), photo.bgr.cols, photo.bgr.rows,
      rectification.outline_is_frame ? "none" : "found", found.findings.size(), found.places.size(),
      1e3 * seconds(start, decoded), 1e3 * seconds(decoded, rectified),
      1e3 * seconds(rectified, surveyed), 1e3 * seconds(surveyed, done));
  t.megapixels += static_cast<double>(photo.bgr.total()) / 1e6;
  t.decode_s += seconds(start, decoded);
  t.rectify_s += seconds(decoded, rectified);
  t.survey_s += seconds(rectified, surveyed);
  t.findings_s += seconds(surveyed, done);
  t.with_outline += rectification.outline_is_frame ? 0 : 1;
}

int run(const Options& o) {
  fs::create_directories(o.out);
  if (!o.confidence.empty()) fs::create_directories(o.confidence);
  std::ofstream csv;
  if (!o.board.empty()) fs::create_directories(o.board);
  if (!o.findings.empty()) {
    csv.open(o.findings);
    csv << "photo,finding,class,area_px,confidence,x_px,y_px,width_px,height_px,reason\n";
  }
  const auto detector = o.model.empty() ? first_method() : trained_detector(o.model);
  Totals t;
  for (const auto& path : photos_in(o)) {
    ++t.photos;
    try {
      survey(path, *detector, o, csv, t);
    } catch (const Error& e) {
      ++t.refused;
      std::cout << fmt::format("{:16} REFUSED: {}\n", path.stem().string(), e.what());
    }
  }
  std::cout << fmt::format(
      "{} photos by {}, {:.0f} megapixels, outline found on {}, {} refused | decode {:.2f} s, "
      "rectify {:.2f} s, survey {:.2f} s, findings {:.2f} s\n",
      t.photos, detector->id(), t.megapixels, t.with_outline, t.refused, t.decode_s, t.rectify_s,
      t.survey_s, t.findings_s);
  return t.refused > 0 ? 1 : 0;
}

}  // namespace

int main(int argc, char** argv) {
  return bench_main([&] { return run(options_from(argc, argv)); });
}
