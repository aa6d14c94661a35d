#include "detect/deposits.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace verdigrid {
namespace {

// Component number per cell of cell_px x cell_px, after joining cells closer than merge_px.
cv::Mat component_of_cell(const std::vector<Run>& runs, cv::Size photo_px, int cell_px,
                          double merge_px) {
  cv::Mat cells((photo_px.height + cell_px - 1) / cell_px, (photo_px.width + cell_px - 1) / cell_px,
                CV_8UC1, cv::Scalar(0));
  for (const auto& run : runs) {
    auto* row = cells.ptr<uchar>(run.y / cell_px);
    std::fill(row + run.from / cell_px, row + (run.to - 1) / cell_px + 1, uchar{255});
  }
  // Two pixels meet when each is widened by half the distance.
  const int reach = static_cast<int>(std::lround(merge_px / 2 / cell_px));
  if (reach > 0)
    cv::dilate(cells, cells,
               cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * reach + 1, 2 * reach + 1}));
  cv::Mat components;
  cv::connectedComponents(cells, components, 8);
  return components;
}

void add(Deposit& d, const Run& run, const cv::Mat& confidence, double& confidence_sum) {
  const int n = run.to - run.from;
  d.votes[run.label] += n;
  d.area_px += n;
  d.centre_px += cv::Point2d(n * (run.from + run.to - 1) / 2.0, static_cast<double>(n) * run.y);
  const cv::Rect box(run.from, run.y, n, 1);
  d.box_px = d.runs.empty() ? box : d.box_px | box;
  const auto* row = confidence.ptr<uchar>(run.y);
  for (int x = run.from; x < run.to; ++x) confidence_sum += row[x];
  d.runs.push_back(run);
}

void finish(Deposit& d, double confidence_sum) {
  const auto n = static_cast<double>(d.area_px);
  d.centre_px *= 1.0 / n;
  d.confidence = confidence_sum / n / 255.0;
}

}  // namespace

std::vector<Deposit> deposits_of(const ResidueMap& map, double merge_px) {
  const auto runs = runs_of(map.labels);
  if (runs.empty()) return {};
  const int cell_px = std::max(1, static_cast<int>(merge_px / 4));
  const cv::Mat components = component_of_cell(runs, map.labels.size(), cell_px, merge_px);
  std::vector<int> index_of_component;
  std::vector<Deposit> deposits;
  std::vector<double> confidence_sums;
  for (const auto& run : runs) {
    const auto c =
        static_cast<std::size_t>(components.at<int>(run.y / cell_px, run.from / cell_px));
    if (index_of_component.size() <= c) index_of_component.resize(c + 1, -1);
    if (index_of_component[c] < 0) {
      index_of_component[c] = static_cast<int>(deposits.size());
      deposits.emplace_back();
      confidence_sums.push_back(0);
    }
    const auto i = static_cast<std::size_t>(index_of_component[c]);
    add(deposits[i], run, map.confidence, confidence_sums[i]);
  }
  for (std::size_t i = 0; i < deposits.size(); ++i) finish(deposits[i], confidence_sums[i]);
  return deposits;
}

Deposit deposit_of(std::vector<Run> runs, const cv::Mat& confidence) {
  Deposit d;
  double sum = 0;
  d.runs.reserve(runs.size());
  for (const Run& run : runs) add(d, run, confidence, sum);
  finish(d, sum);
  return d;
}

Residue voted_class(const Deposit& deposit, double tie) {
  std::size_t first = 1, second = 0;
  for (std::size_t c = 2; c < deposit.votes.size(); ++c) {
    if (deposit.votes[c] > deposit.votes[first]) {
      second = first;
      first = c;
    } else if (second == 0 || deposit.votes[c] > deposit.votes[second]) {
      second = c;
    }
  }
  const bool is_tied = deposit.votes[second] >= tie * deposit.votes[first];
  return is_tied ? Residue::unsure : static_cast<Residue>(first);
}

cv::Mat picture_of(const Deposit& deposit) {
  cv::Mat picture(deposit.box_px.size(), CV_8UC1, cv::Scalar(0));
  for (const auto& run : deposit.runs)
    picture.row(run.y - deposit.box_px.y)
        .colRange(run.from - deposit.box_px.x, run.to - deposit.box_px.x)
        .setTo(255);
  return picture;
}

}  // namespace verdigrid
