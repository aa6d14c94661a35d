#include "detect/look_places.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "base/error.h"
#include "detect/places.h"
#include "detect/regions.h"

namespace verdigrid {
namespace {

constexpr double k_least_p = 0.004;     // below this nothing is worth a look
constexpr double k_hold_of_seed = 0.7;  // a region keeps to at least this share of its seed's p
constexpr float k_alike_lab = 11;       // and to colours this close to its mean
constexpr double k_largest_of_board = 0.02;
constexpr int k_seeds = 400;  // regions grown before choosing
// Worth grows with area to these powers; a sure place is still worth a little.
constexpr double k_first_worth_of_area = 0.35, k_worth_of_area = 0.5, k_sure_and_a_little = 1.15;
constexpr double k_alike_discount = 0.5, k_alike_distance = 30;
// A place is worth less by this for each like it of which a person was not sure.
constexpr double k_unsure_discount = 0.5, k_unsure_distance = 15;

struct Region {
  std::vector<int> members;
  long area_px = 0;
  double p = 0;  // mean by area
  cv::Vec3f lab;
  double worth = 0;
};

cv::Vec3f lab_of(const LookBase& base, int i) {
  const auto* f = base.features.ptr<float>(i);
  return {f[0], f[1], f[2]};
}

Region grown_region(const LookBase& base, const std::vector<double>& p, int seed,
                    std::vector<char>& is_taken) {
  const double hold = k_hold_of_seed * p[static_cast<std::size_t>(seed)];
  const double most = k_largest_of_board * static_cast<double>(base.image.board_px);
  Region region;
  cv::Vec3d sum;
  std::vector<int> queue{seed};
  is_taken[static_cast<std::size_t>(seed)] = 1;
  for (std::size_t q = 0; q < queue.size(); ++q) {
    const int i = queue[q];
    const auto u = static_cast<std::size_t>(i);
    const int n = base.superpixels.area_px[u];
    region.members.push_back(i);
    region.area_px += n;
    region.p += n * p[u];
    sum += cv::Vec3d(lab_of(base, i)) * static_cast<double>(n);
    if (static_cast<double>(region.area_px) > most) break;
    const cv::Vec3f mean(sum * (1.0 / static_cast<double>(region.area_px)));
    for (const int j : base.superpixels.neighbours[u]) {
      const auto v = static_cast<std::size_t>(j);
      if (is_taken[v] || p[v] < hold || cv::norm(lab_of(base, j) - mean) > k_alike_lab) continue;
      is_taken[v] = 1;
      queue.push_back(j);
    }
  }
  for (std::size_t q = region.members.size(); q < queue.size(); ++q)
    is_taken[static_cast<std::size_t>(queue[q])] = 0;
  region.p /= static_cast<double>(region.area_px);
  region.lab = cv::Vec3f(sum * (1.0 / static_cast<double>(region.area_px)));
  return region;
}

std::vector<Region> grown_regions(const LookBase& base, const std::vector<double>& p,
                                  const std::vector<char>& is_asked, LookFor aim) {
  std::vector<char> is_taken = is_asked;
  std::vector<int> order(p.size());
  std::iota(order.begin(), order.end(), 0);
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
    return p[static_cast<std::size_t>(a)] > p[static_cast<std::size_t>(b)];
  });
  std::vector<Region> regions;
  for (const int i : order) {
    const auto u = static_cast<std::size_t>(i);
    if (p[u] < k_least_p || static_cast<int>(regions.size()) >= k_seeds) break;
    if (is_taken[u]) continue;
    regions.push_back(grown_region(base, p, i, is_taken));
  }
  const auto board = static_cast<double>(base.image.board_px);
  for (auto& r : regions) {
    const double share = static_cast<double>(r.area_px) / board;
    r.worth = aim == LookFor::first_yes
                  ? r.p * std::pow(share, k_first_worth_of_area)
                  : r.p * (k_sure_and_a_little - r.p) * std::pow(share, k_worth_of_area);
  }
  return regions;
}

cv::Vec3f mean_lab(const LookBase& base, const std::vector<int>& members) {
  cv::Vec3d sum;
  double area = 0;
  for (const int i : members) {
    const double n = base.superpixels.area_px[static_cast<std::size_t>(i)];
    sum += cv::Vec3d(lab_of(base, i)) * n;
    area += n;
  }
  return cv::Vec3f(sum * (1 / area));
}

// 1 for the same colour, 0 from `distance` (CIE76) on.
double likeness(const cv::Vec3f& a, const cv::Vec3f& b, double distance) {
  return std::max(0.0, 1 - cv::norm(a - b) / distance);
}

void ask_unsure_later(const LookBase& base, const std::vector<std::vector<int>>& not_sure,
                      std::vector<Region>& regions) {
  for (const std::vector<int>& members : not_sure) {
    if (members.empty()) continue;
    const cv::Vec3f lab = mean_lab(base, members);
    for (Region& r : regions)
      r.worth *= 1 - k_unsure_discount * likeness(r.lab, lab, k_unsure_distance);
  }
}

Residue voted(const Region& region, const std::vector<Residue>& residue) {
  std::array<int, k_residue_count> votes{};
  for (const int i : region.members)
    ++votes[static_cast<std::size_t>(residue[static_cast<std::size_t>(i)])];
  return static_cast<Residue>(std::max_element(votes.begin(), votes.end()) - votes.begin());
}

cv::Mat picture_of_members(const LookBase& base, const std::vector<int>& members, cv::Rect& box) {
  std::vector<char> is_member(base.prior.size(), 0);
  box = {};
  for (const int i : members) {
    is_member[static_cast<std::size_t>(i)] = 1;
    const cv::Point c(base.superpixels.centre_px[static_cast<std::size_t>(i)]);
    box |= cv::Rect(c.x - 16, c.y - 16, 33, 33);  // a superpixel reaches at most two spacings
  }
  box &= cv::Rect({0, 0}, base.image.lab.size());
  cv::Mat picture(box.size(), CV_8UC1, cv::Scalar(0));
  for (int y = 0; y < box.height; ++y)
    for (int x = 0; x < box.width; ++x) {
      const int i = base.superpixels.of_px.at<int>(y + box.y, x + box.x);
      if (i >= 0 && is_member[static_cast<std::size_t>(i)]) picture.at<uchar>(y, x) = 255;
    }
  return picture;
}

std::vector<Polygon> polygons_of(const LookBase& base, const std::vector<int>& members) {
  cv::Rect box;
  const cv::Mat picture = picture_of_members(base, members, box);
  auto polygons = border_polygons(picture, box.tl());
  const double k = base.image.factor;
  const auto to_photo = [&](Ring& ring) {
    for (auto& p : ring) p = (p + cv::Point2d(0.5, 0.5)) * k - cv::Point2d(0.5, 0.5);
  };
  for (auto& polygon : polygons) {
    to_photo(polygon.outer);
    for (auto& hole : polygon.holes) to_photo(hole);
  }
  return polygons;
}

cv::Rect box_of(const std::vector<Polygon>& polygons) {
  cv::Rect2d box;
  for (const auto& p : polygons) box |= bounding_box(p.outer);
  return {cvRound(box.x), cvRound(box.y), cvRound(box.width), cvRound(box.height)};
}

}  // namespace

std::vector<int> members_of(const LookBase& base, const std::vector<Polygon>& region_px) {
  const cv::Mat inside = picture_of(region_px, base.image.lab.size(), base.image.factor);
  std::vector<int> count(base.prior.size(), 0), members;
  for (int y = 0; y < inside.rows; ++y) {
    const auto* on = inside.ptr<uchar>(y);
    const auto* index = base.superpixels.of_px.ptr<int>(y);
    for (int x = 0; x < inside.cols; ++x)
      if (on[x] && index[x] >= 0) ++count[static_cast<std::size_t>(index[x])];
  }
  for (std::size_t i = 0; i < count.size(); ++i)
    if (2 * count[i] > base.superpixels.area_px[i]) members.push_back(static_cast<int>(i));
  return members;
}

std::vector<Residue> voted_labels(const cv::Mat& labels, const Superpixels& s) {
  std::vector<std::array<int, k_residue_count>> votes(s.area_px.size());
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x) {
      const int i = s.of_px.at<int>(y, x);
      if (i >= 0) ++votes[static_cast<std::size_t>(i)][labels.at<uchar>(y, x) % k_residue_count];
    }
  std::vector<Residue> result;
  for (const auto& v : votes)
    result.push_back(static_cast<Residue>(std::max_element(v.begin(), v.end()) - v.begin()));
  return result;
}

std::vector<LookPlace> look_places(const LookBase& base, const std::vector<double>& p,
                                   const std::vector<Residue>& residue, const AskedPlaces& asked,
                                   LookFor aim, int at_most) {
  auto regions = grown_regions(base, p, asked.is_asked, aim);
  ask_unsure_later(base, asked.not_sure, regions);
  std::vector<LookPlace> places;
  while (static_cast<int>(places.size()) < at_most && !regions.empty()) {
    const auto best =
        std::max_element(regions.begin(), regions.end(),
                         [](const Region& a, const Region& b) { return a.worth < b.worth; });
    const Region chosen = std::move(*best);
    regions.erase(best);
    LookPlace place;
    place.rank = static_cast<int>(places.size()) + 1;
    place.region_px = polygons_of(base, chosen.members);
    place.crop_px = crop_around(box_of(place.region_px), base.image.photo_px);
    place.confidence = chosen.p;
    place.residue = voted(chosen, residue);
    places.push_back(std::move(place));
    for (auto& r : regions)
      r.worth *= 1 - k_alike_discount * likeness(r.lab, chosen.lab, k_alike_distance);
  }
  return places;
}

std::vector<Polygon> pointed_region(const LookBase& base,
                                    const std::vector<cv::Point2d>& stroke_px) {
  std::vector<int> members;
  const auto add = [&](cv::Point2d p) {
    const int x =
        std::clamp(static_cast<int>((p.x + 0.5) / base.image.factor), 0, base.image.lab.cols - 1);
    const int y =
        std::clamp(static_cast<int>((p.y + 0.5) / base.image.factor), 0, base.image.lab.rows - 1);
    const int i = base.superpixels.of_px.at<int>(y, x);
    if (i >= 0) members.push_back(i);
  };
  for (std::size_t k = 0; k < stroke_px.size(); ++k) {
    add(stroke_px[k]);
    if (k == 0) continue;
    const cv::Point2d d = stroke_px[k] - stroke_px[k - 1];
    const int steps = static_cast<int>(cv::norm(d) / base.image.factor) + 1;
    for (int t = 1; t < steps; ++t) add(stroke_px[k - 1] + d * (double(t) / steps));
  }
  std::sort(members.begin(), members.end());
  members.erase(std::unique(members.begin(), members.end()), members.end());
  return polygons_of(base, members);
}

}  // namespace verdigrid
