#include "detect/grouping.h"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "detect/deposits.h"

namespace verdigrid {

namespace {

bool holds(const Deposit& d, cv::Point p) {
  if (!d.box_px.contains(p)) return false;
  return std::any_of(d.runs.begin(), d.runs.end(),
                     [&](const Run& r) { return r.y == p.y && r.from <= p.x && p.x < r.to; });
}

cv::Point rounded(cv::Point2d p) { return {cvRound(p.x), cvRound(p.y)}; }

bool touches(const Deposit& d, const GroupingStep& cut) {
  const int steps = std::max(1, static_cast<int>(2 * cv::norm(cut.b_px - cut.a_px)));
  for (int i = 0; i <= steps; ++i)
    if (holds(d, rounded(cut.a_px + (cut.b_px - cut.a_px) * (double(i) / steps)))) return true;
  return false;
}

bool is_left(const GroupingStep& cut, int x, int y) {
  const cv::Point2d along = cut.b_px - cut.a_px, to(x - cut.a_px.x, y - cut.a_px.y);
  return along.cross(to) < 0;
}

void add_cut(std::vector<Deposit>& to, const Deposit& d, const GroupingStep& cut,
             const cv::Mat& confidence) {
  std::vector<Run> sides[2];
  for (const Run& r : d.runs)
    for (int from = r.from; from < r.to;) {
      const bool left = is_left(cut, from, r.y);
      int end = from + 1;
      while (end < r.to && is_left(cut, end, r.y) == left) ++end;
      sides[left ? 0 : 1].push_back({r.y, from, end, r.label});
      from = end;
    }
  for (std::vector<Run>& side : sides)
    if (!side.empty()) to.push_back(deposit_of(std::move(side), confidence));
}

void split(std::vector<Deposit>& deposits, const GroupingStep& cut, const cv::Mat& confidence) {
  std::vector<Deposit> after;
  for (Deposit& d : deposits)
    if (touches(d, cut))
      add_cut(after, d, cut, confidence);
    else
      after.push_back(std::move(d));
  deposits = std::move(after);
}

void merge(std::vector<Deposit>& deposits, const GroupingStep& step, const cv::Mat& confidence) {
  const auto with = [&](cv::Point2d p) {
    return std::find_if(deposits.begin(), deposits.end(),
                        [&](const Deposit& d) { return holds(d, rounded(p)); });
  };
  const auto a = with(step.a_px), b = with(step.b_px);
  if (a == deposits.end() || b == deposits.end() || a == b) return;
  std::vector<Run> runs = a->runs;
  runs.insert(runs.end(), b->runs.begin(), b->runs.end());
  std::sort(runs.begin(), runs.end(), [](const Run& l, const Run& r) {
    return std::tie(l.y, l.from) < std::tie(r.y, r.from);
  });
  *a = deposit_of(std::move(runs), confidence);
  deposits.erase(b);
}

}  // namespace

std::vector<Deposit> regrouped(std::vector<Deposit> deposits, const Grouping& grouping,
                               const cv::Mat& confidence) {
  for (const GroupingStep& step : grouping)
    if (step.kind == GroupingStep::Kind::split)
      split(deposits, step, confidence);
    else
      merge(deposits, step, confidence);
  return deposits;
}

}  // namespace verdigrid
