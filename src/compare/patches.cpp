#include "compare/patches.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "compare/features.h"
#include "compare/patch_score.h"

namespace verdigrid {

namespace {

constexpr int k_blocks = 6;
constexpr size_t k_least_in_block = 4;
// Of patches that fit by chance, (2 * 2 + 1)^2 / (2 * 12 + 1)^2 = 4 % agree; three times that is
// no chance any more.
constexpr double k_block_share = 0.12;

bool lies_in(cv::Rect window, const PointMap& warp, cv::Size second) {
  for (const cv::Point corner :
       {window.tl(), cv::Point(window.x + window.width - 1, window.y),
        cv::Point(window.x, window.y + window.height - 1), window.br() - cv::Point(1, 1)}) {
    const cv::Point2d q = warp(corner);
    if (!(q.x >= 0 && q.y >= 0 && q.x <= second.width - 1 && q.y <= second.height - 1))
      return false;
  }
  return true;
}

double sd_of(const cv::Mat& patch) {
  cv::Scalar mean, sd;
  cv::meanStdDev(patch, mean, sd);
  return sd[0];
}

// Vertex of the parabola through three neighbours, -0.5..0.5.
double vertex(double before, double at, double after) {
  const double curve = before - 2 * at + after;
  if (curve >= -1e-9) return 0;
  return std::clamp(0.5 * (before - after) / curve, -0.5, 0.5);
}

struct Peak {
  cv::Point2d offset_px;
  double score = -1;
};

Peak peak_of(const cv::Mat& patch, const cv::Mat& window, int search) {
  const cv::Mat score = patch_scores(patch, window);
  Peak peak;
  cv::Point at;
  cv::minMaxLoc(score, nullptr, &peak.score, nullptr, &at);
  peak.offset_px = cv::Point2d(at.x - search, at.y - search);
  const auto value = [&](int x, int y) { return static_cast<double>(score.at<float>(y, x)); };
  if (at.x > 0 && at.x < score.cols - 1)
    peak.offset_px.x += vertex(value(at.x - 1, at.y), peak.score, value(at.x + 1, at.y));
  if (at.y > 0 && at.y < score.rows - 1)
    peak.offset_px.y += vertex(value(at.x, at.y - 1), peak.score, value(at.x, at.y + 1));
  return peak;
}

// The bounding box of the patches, cut into blocks; the share of the well-filled ones that agree.
double coverage_of(const std::vector<PatchMatch>& matches, const std::vector<char>& agrees) {
  Ring points;
  for (const PatchMatch& m : matches) points.push_back(m.first_px);
  const cv::Rect2d box = bounding_box(points);
  std::array<size_t, k_blocks * k_blocks> all{}, good{};
  for (size_t i = 0; i < matches.size(); ++i) {
    const auto block = [](double x, double start, double length) {
      return std::clamp(static_cast<int>((x - start) / std::max(length, 1e-9) * k_blocks), 0,
                        k_blocks - 1);
    };
    const auto b = static_cast<size_t>(block(matches[i].first_px.y, box.y, box.height) * k_blocks +
                                       block(matches[i].first_px.x, box.x, box.width));
    ++all[b];
    good[b] += agrees[i] != 0;
  }
  size_t filled = 0, covered = 0;
  for (size_t b = 0; b < all.size(); ++b) {
    if (all[b] < k_least_in_block) continue;
    ++filled;
    covered += static_cast<double>(good[b]) >= k_block_share * static_cast<double>(all[b]);
  }
  return filled == 0 ? 0 : static_cast<double>(covered) / static_cast<double>(filled);
}

}  // namespace

void PatchOptions::check() const {
  const auto refuse = [](const char* what) {
    throw Error(ErrorKind::wrong_use, fmt::format("Patches: {}.", what));
  };
  if (side_px < 7 || side_px > 255 || side_px % 2 == 0) refuse("side_px must be odd, 7 to 255");
  if (search_px < 1 || search_px > 255) refuse("search_px must be 1 to 255");
  if (spacing_px < 1) refuse("spacing_px must be at least 1");
  if (!(least_sd > 0)) refuse("least_sd must be above 0");
}

std::vector<PatchMatch> patch_matches(const cv::Mat& first, const cv::Mat& second,
                                      const PointMap& warp, const Polygon& region_px,
                                      const PatchOptions& options, const Work& work) {
  options.check();
  require(first.type() == CV_8UC1 && second.type() == CV_8UC1, "patches need grey pictures");
  const cv::Mat seen = seen_through(second, first.size(), warp, cv::INTER_LINEAR, cv::Scalar(0));
  const cv::Mat region = region_picture(first.size(), region_px);
  std::vector<cv::Point> centres;
  const int reach = options.side_px / 2 + options.search_px;
  for (int y = reach; y < first.rows - reach; y += options.spacing_px)
    for (int x = reach; x < first.cols - reach; x += options.spacing_px)
      if (region.empty() || region.at<uchar>(y, x)) centres.emplace_back(x, y);
  std::vector<PatchMatch> found(centres.size());
  std::vector<char> is_used(centres.size(), 0);
  work.check();
  cv::parallel_for_(cv::Range(0, static_cast<int>(centres.size())), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i) {
      const cv::Point c = centres[static_cast<size_t>(i)];
      const int half = options.side_px / 2;
      const cv::Rect patch(c.x - half, c.y - half, options.side_px, options.side_px);
      const cv::Rect window(c.x - reach, c.y - reach, 2 * reach + 1, 2 * reach + 1);
      if (!lies_in(window, warp, second.size())) continue;
      if (sd_of(first(patch)) < options.least_sd || sd_of(seen(patch)) < options.least_sd) continue;
      const Peak peak = peak_of(first(patch), seen(window), options.search_px);
      const cv::Point2d p(c);
      found[static_cast<size_t>(i)] = {p, peak.offset_px, warp(p + peak.offset_px), peak.score};
      is_used[static_cast<size_t>(i)] = 1;
    }
  });
  std::vector<PatchMatch> out;
  for (size_t i = 0; i < found.size(); ++i)
    if (is_used[i]) out.push_back(found[i]);
  return out;
}

Agreement agreement_of(const std::vector<PatchMatch>& matches, double tolerance_px,
                       double least_score) {
  Agreement out;
  out.patches = matches.size();
  std::vector<char> agrees(matches.size(), 0);
  double squares = 0;
  for (size_t i = 0; i < matches.size(); ++i) {
    const double off = cv::norm(matches[i].offset_px);
    if (off > tolerance_px || matches[i].score < least_score) continue;
    agrees[i] = 1;
    ++out.agreeing;
    squares += off * off;
  }
  if (out.patches == 0) return out;
  out.share = static_cast<double>(out.agreeing) / static_cast<double>(out.patches);
  out.coverage = coverage_of(matches, agrees);
  if (out.agreeing > 0) out.rms_px = std::sqrt(squares / static_cast<double>(out.agreeing));
  return out;
}

}  // namespace verdigrid
