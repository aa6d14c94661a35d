// Colour cast, judged by the brightest nearly grey places: silkscreen, labels, tinned metal.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "base/colour.h"
#include "photo/check_items.h"

namespace verdigrid {

namespace {

constexpr int k_least_level = 100;    // of the middle channel: darker greys carry too much noise
constexpr int k_most_level = 249;     // clipped px have lost their colour
constexpr double k_most_chroma = 30;  // beyond it a thing is coloured, not cast
constexpr size_t k_least_px = 150;
constexpr size_t k_pool_px = 4000;

struct Candidate {
  int brightness;
  cv::Vec3b bgr;
};

// The brightest unclipped px of the judged part, every second one both ways.
std::vector<Candidate> brightest(const CheckView& view) {
  std::vector<Candidate> all;
  for (int y = 0; y < view.bgr.rows; y += 2)
    for (int x = 0; x < view.bgr.cols; x += 2) {
      if (!view.judged.at<uchar>(y, x)) continue;
      const cv::Vec3b& px = view.bgr.at<cv::Vec3b>(y, x);
      const int low = std::min({px[0], px[1], px[2]}), high = std::max({px[0], px[1], px[2]});
      if (high > k_most_level || low < k_least_level) continue;
      all.push_back({low, px});
    }
  const size_t kept = std::min(all.size(), k_pool_px);
  std::partial_sort(
      all.begin(), all.begin() + static_cast<std::ptrdiff_t>(kept), all.end(),
      [](const Candidate& a, const Candidate& b) { return a.brightness > b.brightness; });
  all.resize(kept);
  return all;
}

double median(std::vector<double>& values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// The hue of a cast in plain words.
std::string cast_name(double hue) {
  constexpr std::array<const char*, 8> k_names{"pink",  "orange", "yellow", "yellow-green",
                                               "green", "cyan",   "blue",   "violet"};
  return k_names[static_cast<size_t>(std::lround(hue / 45)) % k_names.size()];
}

}  // namespace

CheckItem colour_cast_item(const CheckView& view) {
  // White balance limits of ISO 19264-1:2021 level C and FADGI 2023 one star, there on a neutral
  // target; here the whites are the board's own, which is coarser.
  CheckItem item{.id = "colour-cast",
                 .unit = "dE (a*b*)",
                 .good_limit = 8,
                 .usable_limit = 16,
                 .source =
                     "good: FADGI 2023 one star, white balance; usable: common practice, no "
                     "source"};
  std::vector<double> a, b;
  for (const Candidate& c : brightest(view)) {
    const Lab lab = lab_from_srgb({c.bgr[2] / 255.0, c.bgr[1] / 255.0, c.bgr[0] / 255.0});
    if (chroma(lab) > k_most_chroma) continue;
    a.push_back(lab.a);
    b.push_back(lab.b);
  }
  if (a.size() < k_least_px) {
    item.sentence =
        "Nothing bright and nearly grey is in view to judge the colour of the light by; lay the "
        "scale card beside the board.";
    return item;
  }
  const Lab cast{0, median(a), median(b)};
  item.figure = chroma(cast);
  item.verdict = verdict_below(item.figure, item.good_limit, item.usable_limit);
  item.sentence =
      item.verdict == Verdict::good
          ? fmt::format("The brightest greys are nearly neutral (off by {:.1f}).", item.figure)
          : fmt::format(
                "The brightest greys look {} (off by {:.1f}): set the white balance on a "
                "white sheet under the same lamps, and use one kind of lamp only.",
                cast_name(hue_deg(cast)), item.figure);
  return item;
}

}  // namespace verdigrid
