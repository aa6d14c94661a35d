#include "measure/other_side.h"

#include <algorithm>

#include "layout/layout.h"
#include "measure/layout_regions.h"
#include "measure/photo_outline.h"

namespace verdigrid {

namespace {

constexpr double k_joint_mm = 1.6;  // of a through-hole joint whose size is not known

std::vector<int> findings_in(const cv::Mat& finding_of_px, const PolygonRows& rows) {
  std::vector<int> ids;
  for (int y = rows.first_row(); y < rows.end_row(); ++y)
    for (const PixelSpan& s : rows.row(y))
      for (int x = s.first; x < s.end; ++x) {
        const int id = finding_of_px.at<std::uint16_t>(y, x);
        if (id != 0 && std::find(ids.begin(), ids.end(), id) == ids.end()) ids.push_back(id);
      }
  std::sort(ids.begin(), ids.end());
  return ids;
}

struct ThroughHole {
  cv::Point2d centre;
  double diameter;
  std::string words;
};

std::vector<ThroughHole> through_holes(const Layout& layout) {
  std::vector<ThroughHole> all;
  for (const Hole& h : layout.holes)
    all.push_back({h.centre, h.diameter, h.is_plated ? "via" : "mounting hole"});
  for (const Part& part : layout.parts)
    for (const Joint& j : part.joints) {
      if (!j.is_through) continue;
      const double diameter = j.diameter > 0 ? j.diameter : layout.has_mm ? k_joint_mm : 0;
      if (diameter > 0)
        all.push_back({j.centre, diameter,
                       (j.pin.empty() ? std::string("a joint of ") : "joint " + j.pin + " of ") +
                           part.designator});
    }
  return all;
}

}  // namespace

std::vector<OtherSideLook> other_side_looks(const Findings& findings, const Rectification& r,
                                            const Layout& layout, const Grid& grid) {
  std::vector<OtherSideLook> looks;
  if (findings.finding_of_px.empty()) return looks;
  const PhotoShapes shapes(r);
  for (const ThroughHole& hole : through_holes(layout)) {
    const PolygonRows rows(shapes.photo_polygon({circle(hole.centre, hole.diameter), {}}),
                           r.photo_size_px);
    for (const int id : findings_in(findings.finding_of_px, rows))
      looks.push_back({id, hole.centre, square_at(grid, hole.centre).value_or(""), hole.words});
  }
  return looks;
}

}  // namespace verdigrid
