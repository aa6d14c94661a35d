// How long measuring by zone and part takes, as a ratio to decoding a photo of the same size.
//
//   zones_speed [--zones N] [--parts N] [--runs N]
//
// 24 megapixels, one pixel in seven labelled in 300 patches, 500 zones and 2,000 parts over them,
// every tenth a chip with 16 joints. Median of N runs (5), same run, all cores.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <functional>
#include <iostream>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

#include "base/error.h"
#include "layout/layout.h"
#include "measure/zone_table.h"
#include "photo/decode.h"
#include "rectify/rectify.h"
#include "tests/bench/bench_main.h"
#include "tests/bench/drawn_jpeg.h"

using namespace verdigrid;

namespace {

constexpr double k_board_width_mm = 280, k_board_height_mm = 180;

Ring box_ring(const cv::Rect2d& r) {
  return {r.tl(), {r.x + r.width, r.y}, r.br(), {r.x, r.y + r.height}};
}

Layout crowded_layout(int zones, int parts) {
  cv::RNG rng(5);
  Layout layout = layout_over({box_ring({0, 0, k_board_width_mm, k_board_height_mm}), {}}, true);
  for (int i = 0; i < zones; ++i) {
    const double w = rng.uniform(5.0, 30.0), h = rng.uniform(5.0, 30.0);
    layout.zones.push_back({fmt::format("zone {}", i),
                            {box_ring({rng.uniform(0.0, k_board_width_mm - w),
                                       rng.uniform(0.0, k_board_height_mm - h), w, h}),
                             {}}});
  }
  for (int i = 0; i < parts; ++i) {
    const bool is_chip = i % 10 == 0;
    Part part;
    part.designator = fmt::format("{}{}", is_chip ? 'U' : 'C', i);
    part.kind = is_chip ? PartKind::ic : PartKind::capacitor;
    part.body = is_chip ? cv::Size2d(6, 20) : cv::Size2d(2, 1.2);
    part.centre = {rng.uniform(12.0, k_board_width_mm - 12),
                   rng.uniform(12.0, k_board_height_mm - 12)};
    const int pins = is_chip ? 16 : 2;
    for (int pin = 0; pin < pins; ++pin) {
      const double x = is_chip ? 3.8 : 1.2, y = is_chip ? 2.54 * (pin % 8) - 8.9 : 0;
      part.joints.push_back({std::to_string(pin + 1),
                             part.centre + cv::Point2d(pin < pins / 2 ? -x : x, y), 1.2, false});
    }
    layout.parts.push_back(part);
  }
  return layout;
}

struct Labels {
  cv::Mat residue, finding_of_px;
};

Labels patches(cv::Size size) {
  cv::RNG rng(6);
  Labels l{cv::Mat::zeros(size, CV_8UC1), cv::Mat::zeros(size, CV_16UC1)};
  for (int id = 1; id <= 300; ++id) {
    const cv::Point middle(rng.uniform(300, size.width - 300), rng.uniform(300, size.height - 300));
    const cv::Size axes(rng.uniform(20, 110), rng.uniform(20, 110));
    const double turn = rng.uniform(0.0, 180.0);
    cv::ellipse(l.residue, middle, axes, turn, 0, 360, rng.uniform(1, 7), cv::FILLED);
    cv::ellipse(l.finding_of_px, middle, axes, turn, 0, 360, id, cv::FILLED);
  }
  return l;
}

int run(int argc, char** argv) {
  int zones = 500, parts = 2000, runs = 5;
  for (int i = 1; i + 1 < argc; i += 2) {
    const std::string word = argv[i];
    (word == "--zones" ? zones : word == "--parts" ? parts : runs) = std::stoi(argv[i + 1]);
  }
  const Bytes bytes = drawn_jpeg();
  Photo photo;
  const double decode = median_ms(runs, [&] { photo = decode_photo(bytes, "zones.jpg"); });
  const cv::Size size = photo.size_px();
  RectifyOptions options;
  options.board_mm = cv::Size2d(k_board_width_mm, k_board_height_mm);
  options.corners_px = {{200, 200}, {5800, 200}, {5800, 3800}, {200, 3800}};
  const Rectification r = rectify(photo, options);
  const Labels labels = patches(size);
  const Layout layout = crowded_layout(zones, parts);
  ZoneTable table;
  const double measure = median_ms(runs, [&] {
    table = zone_table({labels.residue, labels.finding_of_px, {}, 1}, r, layout, {});
  });
  std::cout << fmt::format(
      "{} x {} px, {:.1f} % labelled; {} zones, {} parts ({} reached)\n", size.width, size.height,
      100.0 * cv::countNonZero(labels.residue) / size.area(), table.zones.size(),
      table.parts.size(), table.total.parts_reached.size());
  std::cout << fmt::format("decode {:.0f} ms, measure {:.0f} ms: {:.2f} x decode\n", decode,
                           measure, measure / decode);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  return bench_main([&] { return run(argc, argv); });
}
