#include "compare/change_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>

#include "base/parallel.h"

namespace verdigrid {

namespace {

// Pixels of one finding by what became of them.
struct Counts {
  std::array<long, k_change_class_count> px{};
  cv::Rect box;
  cv::Point2d sum;
  long total = 0;

  void add(ChangeClass c, int x, int y) {
    ++px[static_cast<size_t>(c)];
    const cv::Rect here(x, y, 1, 1);
    box = total == 0 ? here : box | here;
    sum += cv::Point2d(x, y);
    ++total;
  }
  void add(const Counts& other) {
    if (other.total == 0) return;
    for (size_t k = 0; k < px.size(); ++k) px[k] += other.px[k];
    box = total == 0 ? other.box : box | other.box;
    sum += other.sum;
    total += other.total;
  }
  double share(ChangeClass c) const {
    return static_cast<double>(px[static_cast<size_t>(c)]) / static_cast<double>(total);
  }
};

using CountsById = std::map<int, Counts>;

// Of the findings whose ids `id_at` gives for a px; only pixels of the classes in `wanted` count.
template <class IdAt>
CountsById counts_of(const cv::Mat& classes, const std::array<bool, k_change_class_count>& wanted,
                     const IdAt& id_at) {
  constexpr int k_bands = 16;
  std::array<CountsById, k_bands> of_band;
  in_parallel(k_bands, [&](size_t band) {
    const int k = static_cast<int>(band);
    std::vector<Counts> counts;
    for (int y = classes.rows * k / k_bands; y < classes.rows * (k + 1) / k_bands; ++y) {
      const auto* row = classes.ptr<uchar>(y);
      for (int x = 0; x < classes.cols; ++x) {
        if (!wanted[row[x]]) continue;
        const size_t id = id_at(x, y);
        if (id == 0) continue;
        if (id >= counts.size()) counts.resize(id + 1);
        counts[id].add(static_cast<ChangeClass>(row[x]), x, y);
      }
    }
    for (size_t id = 0; id < counts.size(); ++id)
      if (counts[id].total > 0) of_band[band][static_cast<int>(id)] = counts[id];
  });
  CountsById out;
  for (const CountsById& counts : of_band)
    for (const auto& [id, n] : counts) out[id].add(n);
  return out;
}

Residue residue_of(const Survey& survey, int id) {
  for (const Finding& f : survey.findings.findings)
    if (f.id == id) return f.residue;
  return Residue::unsure;
}

struct Listing {
  const Comparison& comparison;
  std::vector<ChangeItem> changes;

  ChangeItem change_of(const Counts& n) const {
    ChangeItem c;
    c.box_px = n.box;
    c.centre_px = n.sum * (1.0 / static_cast<double>(n.total));
    place(c);
    c.area = static_cast<double>(n.total) * pixel_area_board(comparison.rectification, c.centre_px);
    return c;
  }
  void place(ChangeItem& c) const {
    c.square = square_at(comparison.table.grid, board_point(comparison.rectification, c.centre_px))
                   .value_or("");
  }
  bool is_worth_listing(const ChangeItem& c, const Counts& n) const {
    return n.total >= comparison.options.least_change_px &&
           (!comparison.table.has_mm || c.area >= comparison.options.least_change_mm2);
  }
};

ChangeClass class_of(const Counts& n, const ComparisonOptions& options) {
  const double apart = n.share(ChangeClass::part_changed) + n.share(ChangeClass::not_compared);
  if (apart > 0.5) return ChangeClass::part_changed;
  const double compared = 1 - apart;
  if (n.share(ChangeClass::uncertain_gone) >= options.uncertain_share * compared)
    return ChangeClass::uncertain_gone;
  if (n.share(ChangeClass::removed) >= options.removed_share * compared)
    return ChangeClass::removed;
  return ChangeClass::remaining;
}

void add_before(const Survey& before, Listing& list) {
  const Comparison& c = list.comparison;
  const cv::Mat& ids = before.findings.finding_of_px;
  if (ids.empty()) return;
  std::array<bool, k_change_class_count> all{};
  all.fill(true);
  const auto id_at = [&ids](int x, int y) { return ids.at<std::uint16_t>(y, x); };
  for (const auto& [id, n] : counts_of(c.classes, all, id_at)) {
    const ChangeClass what = class_of(n, c.options);
    if (what == ChangeClass::part_changed) continue;  // told by the part itself, or not compared
    ChangeItem change = list.change_of(n);
    change.what = what;
    change.residue = residue_of(before, id);
    change.finding_before = id;
    change.removed_percent = 100 * n.share(ChangeClass::removed);
    list.changes.push_back(std::move(change));
  }
}

void add_after(const Survey& after, Listing& list) {
  const Comparison& c = list.comparison;
  const cv::Mat& ids = after.findings.finding_of_px;
  if (ids.empty()) return;
  const auto id_at = [&](int x, int y) -> std::uint16_t {
    const cv::Point2d q = c.alignment.after_from_before(cv::Point2d(x, y));
    const cv::Point at(cvRound(q.x), cvRound(q.y));
    return cv::Rect({}, ids.size()).contains(at) ? ids.at<std::uint16_t>(at) : 0;
  };
  for (const ChangeClass what : {ChangeClass::fresh, ChangeClass::uncertain_new}) {
    std::array<bool, k_change_class_count> wanted{};
    wanted[static_cast<size_t>(what)] = true;
    for (const auto& [id, n] : counts_of(c.classes, wanted, id_at)) {
      ChangeItem change = list.change_of(n);
      if (!list.is_worth_listing(change, n)) continue;
      change.what = what;
      change.residue = residue_of(after, id);
      change.finding_after = id;
      list.changes.push_back(std::move(change));
    }
  }
}

void add_parts(Listing& list) {
  for (const PartChange& p : list.comparison.part_changes) {
    ChangeItem change;
    change.what = ChangeClass::part_changed;
    const cv::Rect2d box = bounding_box(p.region_px.outer);
    change.box_px = cv::Rect(cvFloor(box.x), cvFloor(box.y), cvCeil(box.width), cvCeil(box.height));
    change.centre_px = p.centre_px;
    change.area = p.area;
    change.part = p.designator.empty() ? std::string(name(p.kind))
                                       : fmt::format("{} {}", p.designator, name(p.kind));
    list.place(change);
    list.changes.push_back(std::move(change));
  }
}

int order_of(ChangeClass c) {
  constexpr std::array k_order{ChangeClass::fresh,          ChangeClass::remaining,
                               ChangeClass::uncertain_gone, ChangeClass::uncertain_new,
                               ChangeClass::part_changed,   ChangeClass::removed};
  return static_cast<int>(std::find(k_order.begin(), k_order.end(), c) - k_order.begin());
}

}  // namespace

std::vector<ChangeItem> change_list(const Survey& before, const Survey& after,
                                    const Comparison& comparison) {
  Listing list{comparison, {}};
  add_before(before, list);
  add_after(after, list);
  add_parts(list);
  std::stable_sort(list.changes.begin(), list.changes.end(),
                   [](const ChangeItem& a, const ChangeItem& b) {
                     if (order_of(a.what) != order_of(b.what))
                       return order_of(a.what) < order_of(b.what);
                     return a.area > b.area;
                   });
  int id = 0;
  for (ChangeItem& c : list.changes) c.id = ++id;
  return std::move(list.changes);
}

}  // namespace verdigrid
