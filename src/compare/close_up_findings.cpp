#include "compare/close_up_findings.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include "base/error.h"
#include "measure/area_interval.h"

namespace verdigrid {

namespace {

// A finding of the close-up belongs to the finding of the photo that lies under most of it, or, at
// a border, within this many px of the photo.
constexpr int k_near_px = 3;

int finding_near(const cv::Mat& finding_of_px, cv::Point at) {
  const cv::Rect frame({}, finding_of_px.size());
  int best = 0;
  double nearest = (k_near_px + 0.5) * (k_near_px + 0.5);
  for (int y = at.y - k_near_px; y <= at.y + k_near_px; ++y)
    for (int x = at.x - k_near_px; x <= at.x + k_near_px; ++x) {
      if (!frame.contains({x, y})) continue;
      const int id = finding_of_px.at<ushort>(y, x);
      const double off = (x - at.x) * (x - at.x) + (y - at.y) * (y - at.y);
      if (id == 0 || off >= nearest) continue;
      nearest = off;
      best = id;
    }
  return best;
}

// What the close-up's survey has of one group: the findings laid to one finding of the photo.
struct Group {
  std::array<double, k_residue_count> area{};
  double px2_board = 0;  // mean board area of a px
  long px = 0, border_sides = 0;
  std::set<int> ids;
  cv::Rect box;
};

// For each finding of the close-up the finding of the photo that it lies on; 0 for none.
std::vector<int> finding_under(const Survey& photo, const Survey& close_up,
                               const CloseUpPlace& place) {
  std::vector<int> under(close_up.findings.findings.size() + 1, 0);
  if (photo.findings.finding_of_px.empty() || close_up.findings.finding_of_px.empty()) return under;
  std::vector<std::map<int, long>> votes(under.size());
  const cv::Mat& ids = close_up.findings.finding_of_px;
  for (int y = 0; y < ids.rows; ++y)
    for (int x = 0; x < ids.cols; ++x) {
      const int id = ids.at<ushort>(y, x);
      if (id == 0) continue;
      const cv::Point2d p = mapped(place.photo_from_close_up, cv::Point2d(x, y));
      ++votes[static_cast<size_t>(id)]
             [finding_near(photo.findings.finding_of_px, {cvRound(p.x), cvRound(p.y)})];
    }
  for (size_t id = 1; id < votes.size(); ++id) {
    long most = 0;
    for (const auto& [finding, count] : votes[id])
      if (finding != 0 && count > most) {
        most = count;
        under[id] = finding;
      }
  }
  return under;
}

std::map<int, Group> groups_of(const Survey& close_up, const std::vector<int>& under) {
  std::map<int, Group> groups;  // by finding of the photo; what lies on none: -id in the close-up
  const cv::Mat& ids = close_up.findings.finding_of_px;
  for (int y = 0; y < ids.rows; ++y)
    for (int x = 0; x < ids.cols; ++x) {
      const int id = ids.at<ushort>(y, x);
      if (id == 0) continue;
      const int finding = under[static_cast<size_t>(id)];
      Group& g = groups[finding == 0 ? -id : finding];
      const double area =
          local_area_scale(close_up.rectification.board_from_photo_px, cv::Point2d(x, y));
      g.area[close_up.map.labels.at<uchar>(y, x)] += area;
      g.px2_board += area;
      ++g.px;
      g.ids.insert(id);
      g.box = g.box.empty() ? cv::Rect(x, y, 1, 1) : g.box | cv::Rect(x, y, 1, 1);
      const auto is_other = [&](int yy, int xx) {
        return yy < 0 || xx < 0 || yy >= ids.rows || xx >= ids.cols || ids.at<ushort>(yy, xx) == 0;
      };
      g.border_sides +=
          is_other(y - 1, x) + is_other(y + 1, x) + is_other(y, x - 1) + is_other(y, x + 1);
    }
  for (auto& [key, g] : groups) g.px2_board /= static_cast<double>(g.px);
  return groups;
}

Residue most_of(const Group& g) {
  const auto best = std::max_element(g.area.begin() + 1, g.area.end());
  return static_cast<Residue>(best - g.area.begin());
}

Interval area_of(const Group& g, const Survey& close_up) {
  double area = 0;
  for (double a : g.area) area += a;
  const MeasureOptions& m = close_up.options.measure;
  AreaErrors errors;
  errors.scale_variance = std::pow(2 * close_up.rectification.length_rel_sd * area, 2);
  errors.edge_variance = m.label_edge_sd_px * m.label_edge_sd_px * m.label_edge_correlation_px *
                         std::numbers::pi / 4 * static_cast<double>(g.border_sides) * g.px2_board *
                         g.px2_board;
  errors.label = m.label_error.square[static_cast<size_t>(most_of(g))];
  errors.place_area = g.box.area() * g.px2_board;
  return area_interval(area, errors);
}

// Pixels of each finding of the photo that lie under the close-up: how many, and their area.
struct Seen {
  long px = 0;
  double area = 0;
};

std::vector<Seen> seen_by(const Survey& photo, const CloseUpPlace& place) {
  std::vector<Seen> seen(photo.findings.findings.size() + 1);
  const cv::Mat& ids = photo.findings.finding_of_px;
  if (ids.empty()) return seen;
  const Polygon frame{place.outline_px, {}};
  const cv::Rect2d box = bounding_box(frame.outer);
  const cv::Rect window =
      cv::Rect(cv::Point(cvFloor(box.x), cvFloor(box.y)),
               cv::Point(cvCeil(box.x + box.width) + 1, cvCeil(box.y + box.height) + 1)) &
      cv::Rect({}, ids.size());
  for (int y = window.y; y < window.y + window.height; ++y)
    for (int x = window.x; x < window.x + window.width; ++x) {
      const int id = ids.at<ushort>(y, x);
      if (id == 0 || !contains(frame, cv::Point2d(x, y))) continue;
      Seen& s = seen[static_cast<size_t>(id)];
      ++s.px;
      s.area += pixel_area_board(photo.rectification, cv::Point2d(x, y));
    }
  return seen;
}

std::string square_of(const Survey& photo, cv::Point2d p_px) {
  return square_at(photo.zones.grid, board_point(photo.rectification, p_px)).value_or("");
}

void put_group(const Group& g, const Survey& close_up, FinerFinding& into) {
  into.finer_residue = most_of(g);
  into.finer_area = area_of(g, close_up);
  for (int id : g.ids) into.close_up_findings.push_back({id});
  into.box_px = g.box;
}

}  // namespace

std::vector<FinerFinding> finer_findings(const Survey& photo, const Survey& close_up,
                                         const CloseUpPlace& place) {
  if (photo.photo_size_px != place.photo_size_px ||
      close_up.photo_size_px != place.close_up_size_px)
    throw Error(ErrorKind::bad_input,
                "The surveys are not of the two photos that the close-up was placed with.");
  const std::map<int, Group> groups = groups_of(close_up, finding_under(photo, close_up, place));
  const std::vector<Seen> seen = seen_by(photo, place);
  std::vector<FinerFinding> out;
  for (const Finding& f : photo.findings.findings) {
    const Seen& s = seen[static_cast<size_t>(f.id)];
    const auto group = groups.find(f.id);
    if (s.px == 0 && group == groups.end()) continue;
    FinerFinding one;
    one.finding = f.id;
    one.residue = f.residue;
    one.seen_percent = 100.0 * static_cast<double>(s.px) / static_cast<double>(f.area_px);
    one.area = s.area;
    one.square = square_of(photo, f.centre_px);
    if (group != groups.end()) put_group(group->second, close_up, one);
    out.push_back(std::move(one));
  }
  for (const Finding& f : close_up.findings.findings) {
    const auto group = groups.find(-f.id);
    if (group == groups.end()) continue;
    FinerFinding one;
    one.square = square_of(photo, mapped(place.photo_from_close_up, f.centre_px));
    put_group(group->second, close_up, one);
    out.push_back(std::move(one));
  }
  return out;
}

std::vector<std::string> finer_lines(const std::vector<FinerFinding>& findings, bool has_mm) {
  const char* unit = has_mm ? "mm²" : "board px²";
  std::vector<std::string> lines;
  for (const FinerFinding& f : findings) {
    const std::string where = f.square.empty() ? "" : ", " + f.square;
    const std::string finer =
        f.finer_residue == Residue::none
            ? "nothing flagged in the close-up"
            : fmt::format("{} {:.2f} {} in the close-up (95 %: {:.2f} to {:.2f})",
                          name(f.finer_residue), f.finer_area.value, unit, f.finer_area.low,
                          f.finer_area.high);
    if (f.finding == 0)
      lines.push_back(fmt::format("Only in the close-up{}: {}", where, finer));
    else
      lines.push_back(fmt::format(
          "Finding {}{}: {} {:.2f} {} in the photo{}; {}", f.finding, where, name(f.residue),
          f.area, unit,
          f.seen_percent < 99.5 ? fmt::format(" ({:.0f} % of it is shown)", f.seen_percent) : "",
          finer));
  }
  return lines;
}

}  // namespace verdigrid
