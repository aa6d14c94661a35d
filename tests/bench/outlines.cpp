// Bench of outline finding on photos whose outline was drawn by hand.
//
//   outlines FOLDER [--dump FILE]
//
// FOLDER holds outlines.json ({name: {"outline": [[x, y], ...]}}, photo px) and clean/NAME. Prints
// one line per photo (IoU or the reason of the refusal, confidence, decode and finding time) and a
// summary: median IoU with a refusal counting as 0, share answered, worst answered, time against
// decode. --dump writes the outlines found as JSON for drawing them.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <iostream>
#include <nlohmann/json.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "base/files.h"
#include "photo/decode.h"
#include "rectify/outline.h"

using namespace verdigrid;

namespace {

double milliseconds_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start)
      .count();
}

cv::Mat drawn(const Ring& ring, cv::Size size, double scale) {
  constexpr int k_fraction_bits = 4;
  cv::Mat mask(static_cast<int>(size.height * scale) + 1, static_cast<int>(size.width * scale) + 1,
               CV_8UC1, cv::Scalar(0));
  std::vector<cv::Point> points;
  for (const cv::Point2d p : ring) {
    const cv::Point2d q = ((p + cv::Point2d(0.5, 0.5)) * scale - cv::Point2d(0.5, 0.5)) *
                          static_cast<double>(1 << k_fraction_bits);
    points.emplace_back(static_cast<int>(std::lround(q.x)), static_cast<int>(std::lround(q.y)));
  }
  cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{points}, 255, cv::LINE_8, k_fraction_bits);
  return mask;
}

double overlap(const Ring& a, const Ring& b, cv::Size size) {
  const double scale = std::min(1.0, 2000.0 / std::max(size.width, size.height));
  const cv::Mat mask_a = drawn(a, size, scale), mask_b = drawn(b, size, scale);
  return cv::countNonZero(mask_a & mask_b) / static_cast<double>(cv::countNonZero(mask_a | mask_b));
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const size_t n = values.size();
  return n == 0 ? 0 : (values[(n - 1) / 2] + values[n / 2]) / 2;
}

Ring ring_from(const nlohmann::json& points) {
  Ring ring;
  for (const auto& p : points) ring.emplace_back(p.at(0).get<double>(), p.at(1).get<double>());
  return ring;
}

struct Tally {
  std::vector<double> iou, answered, decode_ms, finding_ms;
  nlohmann::json found = nlohmann::json::object();
};

void measure(const std::filesystem::path& folder, const std::string& name,
             const nlohmann::json& truth, Tally& tally) {
  const auto start = std::chrono::steady_clock::now();
  const Photo photo = load_photo(folder / "clean" / name);
  tally.decode_ms.push_back(milliseconds_since(start));
  const auto finding = std::chrono::steady_clock::now();
  OutlineOptions options;
  const OutlineAnswer answer = find_outline(photo, options);
  tally.finding_ms.push_back(milliseconds_since(finding));
  std::string line = fmt::format("{:<10} ", name);
  if (answer.outline) {
    const double iou = overlap(answer.outline->px.outer, ring_from(truth), photo.size_px());
    tally.iou.push_back(iou);
    tally.answered.push_back(iou);
    line += fmt::format("IoU {:.4f}  confidence {:.2f}", iou, answer.outline->confidence);
    for (const cv::Point2d p : answer.outline->px.outer)
      tally.found[name]["outline"].push_back({p.x, p.y});
    for (const cv::Point2d p : answer.outline->corners_px)
      tally.found[name]["corners"].push_back({p.x, p.y});
    tally.found[name]["iou"] = iou;
  } else {
    tally.iou.push_back(0);
    tally.found[name]["reason"] = answer.reason;
    line += "refused: " + answer.reason;
  }
  std::cout << line
            << fmt::format("  decode {:.0f} ms, outline {:.0f} ms\n", tally.decode_ms.back(),
                           tally.finding_ms.back());
}

int run(int count, char** arguments) {
  if (count != 2 && !(count == 4 && std::string(arguments[2]) == "--dump")) {
    std::cerr << "usage: outlines FOLDER [--dump FILE]\n";
    return 2;
  }
  const std::filesystem::path folder = arguments[1];
  const Bytes bytes = read_file(folder / "outlines.json", 64 << 20);
  const auto truth =
      nlohmann::json::parse(reinterpret_cast<const char*>(bytes.data()),
                            reinterpret_cast<const char*>(bytes.data()) + bytes.size());
  Tally tally;
  for (const auto& [name, entry] : truth.items()) measure(folder, name, entry.at("outline"), tally);
  const double worst =
      tally.answered.empty() ? 0 : *std::min_element(tally.answered.begin(), tally.answered.end());
  std::cout << fmt::format(
      "photos {}\nmedian IoU (refusal = 0) {:.4f}\nanswered {} ({:.0f} %)\nworst answered {:.4f}\n"
      "answered below 0.90 {}\nmedian decode {:.0f} ms, median outline {:.0f} ms\n",
      tally.iou.size(), median(tally.iou), tally.answered.size(),
      100.0 * static_cast<double>(tally.answered.size()) / static_cast<double>(tally.iou.size()),
      worst,
      std::count_if(tally.answered.begin(), tally.answered.end(),
                    [](double v) { return v < 0.90; }),
      median(tally.decode_ms), median(tally.finding_ms));
  if (count == 4) write_file(arguments[3], std::string_view(tally.found.dump(1)));
  return 0;
}

}  // namespace

int main(int count, char** arguments) {
  try {
    return run(count, arguments);
  } catch (const Error& e) {
    std::cerr << e.what() << "\n";
    return e.exit_code();
  }
}
