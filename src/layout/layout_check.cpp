#include <fmt/format.h>

#include <cmath>
#include <set>

#include "base/error.h"
#include "layout/layout.h"
#include "layout/layout_words.h"

namespace verdigrid {

namespace {

constexpr double k_largest_coordinate = 1e6;  // 1 km in mm, or a photo of a million px
constexpr double k_largest_frequency_hz = 1e12;
constexpr size_t k_most_parts = 100'000, k_most_zones = 10'000, k_most_points = 200'000;

[[noreturn]] void refuse(const std::string& path, const std::string& what) {
  throw Error(ErrorKind::bad_input, fmt::format("{}: {}.", path, what));
}

void check_number(double value, const std::string& path) {
  if (!std::isfinite(value)) refuse(path, "not a finite number");
  if (std::abs(value) > k_largest_coordinate)
    refuse(path, fmt::format("{:g} is beyond +-{:g}", value, k_largest_coordinate));
}

void check_length(double value, const std::string& path) {
  check_number(value, path);
  if (value < 0) refuse(path, "a length cannot be negative");
}

void check_point(cv::Point2d p, const std::string& path) {
  check_number(p.x, path + "[0]");
  check_number(p.y, path + "[1]");
}

void check_points(const Ring& points, size_t at_least, const std::string& path) {
  if (points.size() < at_least) refuse(path, fmt::format("needs at least {} points", at_least));
  if (points.size() > k_most_points)
    refuse(path, fmt::format("more than {} points", k_most_points));
  for (size_t i = 0; i < points.size(); ++i) check_point(points[i], fmt::format("{}[{}]", path, i));
}

void check_polygon(const Polygon& polygon, const std::string& path) {
  check_points(polygon.outer, 3, path + ".outer");
  for (size_t i = 0; i < polygon.holes.size(); ++i)
    check_points(polygon.holes[i], 3, fmt::format("{}.holes[{}]", path, i));
}

void check_zones(const std::vector<Zone>& zones) {
  if (zones.size() > k_most_zones) refuse("zones", fmt::format("more than {}", k_most_zones));
  std::set<std::string> names;
  for (size_t i = 0; i < zones.size(); ++i) {
    const std::string path = fmt::format("zones[{}]", i);
    if (zones[i].name.empty()) refuse(path + ".name", "must not be empty");
    if (!names.insert(zones[i].name).second)
      refuse(path + ".name", fmt::format("\"{}\" names another zone too", zones[i].name));
    if (zones[i].importance < 1 || zones[i].importance > 5)
      refuse(path + ".importance", fmt::format("{} is not 1 to 5", zones[i].importance));
    check_polygon(zones[i].polygon, path + ".polygon");
  }
}

void check_part(const Part& part, const std::string& path) {
  if (part.designator.empty()) refuse(path + ".designator", "must not be empty");
  check_point(part.centre, path + ".centre");
  check_number(part.rotation_deg, path + ".rotation_deg");
  if (part.rotation_deg < 0 || part.rotation_deg >= 360)
    refuse(path + ".rotation_deg", "must be at least 0 and below 360");
  check_length(part.body.width, path + ".body[0]");
  check_length(part.body.height, path + ".body[1]");
  if ((part.body.width > 0) != (part.body.height > 0))
    refuse(path + ".body", "give both width and height, or 0 and 0 when the size is not known");
  if (part.shape == BodyShape::round && part.body.width != part.body.height)
    refuse(path + ".body", "a round body has its diameter twice");
  if (part.frequency_hz) {
    const double f = *part.frequency_hz;
    if (!std::isfinite(f) || f <= 0 || f > k_largest_frequency_hz)
      refuse(path + ".frequency_hz", "must be above 0 and at most 1e12");
  }
  if (part.joints.size() > k_most_points) refuse(path + ".joints", "too many");
  for (size_t i = 0; i < part.joints.size(); ++i) {
    check_point(part.joints[i].centre, fmt::format("{}.joints[{}].centre", path, i));
    check_length(part.joints[i].diameter, fmt::format("{}.joints[{}].diameter", path, i));
  }
}

void check_notes(const std::vector<LayoutNote>& notes) {
  for (size_t i = 0; i < notes.size(); ++i) {
    const LayoutNoteKind kind = notes[i].kind;
    const size_t needed = kind == LayoutNoteKind::outline ? 3
                          : kind == LayoutNoteKind::arrow ? 2
                                                          : 1;
    const std::string path = fmt::format("notes[{}].points", i);
    check_points(notes[i].points, needed, path);
    if (kind != LayoutNoteKind::outline && notes[i].points.size() != needed)
      refuse(path, fmt::format("{} points where \"{}\" has {}", notes[i].points.size(), name(kind),
                               needed));
  }
}

void check_photos(const std::vector<ReferencePhoto>& photos) {
  std::set<Side> sides;
  for (size_t i = 0; i < photos.size(); ++i) {
    const std::string path = fmt::format("reference_photos[{}]", i);
    if (!sides.insert(photos[i].side).second)
      refuse(path + ".side", "another photo of this side is there already");
    if (photos[i].size_px.width <= 0 || photos[i].size_px.height <= 0)
      refuse(path + ".size_px", "must be positive");
    for (int k = 0; k < 9; ++k)
      if (!std::isfinite(photos[i].board_from_photo_px.val[k]))
        refuse(fmt::format("{}.board_from_photo_px[{}]", path, k), "not a finite number");
    if (!photos[i].lens) continue;
    for (double v : photos[i].lens->camera.val)
      if (!std::isfinite(v)) refuse(path + ".lens.camera", "not a finite number");
    for (double v : photos[i].lens->distortion)
      if (!std::isfinite(v)) refuse(path + ".lens.distortion", "not a finite number");
  }
}

void check_grid(const Grid& grid, bool has_mm) {
  check_number(grid.frame.x, "grid.frame[0]");
  check_number(grid.frame.y, "grid.frame[1]");
  check_length(grid.frame.width, "grid.frame[2]");
  check_length(grid.frame.height, "grid.frame[3]");
  if (grid.frame.width <= 0 || grid.frame.height <= 0)
    refuse("grid.frame", "must have a positive width and height");
  if (grid.columns < 1 || grid.columns > 10'000) refuse("grid.columns", "must be 1 to 10000");
  if (grid.rows < 1 || grid.rows > 10'000) refuse("grid.rows", "must be 1 to 10000");
  if (grid.has_mm != has_mm) refuse("grid", "its unit is not that of the layout");
}

}  // namespace

const char* name(Hatch hatch) { return word_of(k_hatches, hatch); }
const char* name(NegativeEnd end) { return word_of(k_negative_ends, end); }
const char* name(BodyShape shape) { return word_of(k_body_shapes, shape); }
const char* name(LayoutNoteKind kind) { return word_of(k_note_kinds, kind); }
const char* name(LayoutOrigin origin) { return word_of(k_origins, origin); }

void check_layout(const Layout& layout) {
  if (!layout.outline.outer.empty() || !layout.outline.holes.empty())
    check_polygon(layout.outline, "outline");
  if (layout.grid) check_grid(*layout.grid, layout.has_mm);
  check_zones(layout.zones);
  if (layout.parts.size() > k_most_parts)
    refuse("parts", fmt::format("more than {}", k_most_parts));
  for (size_t i = 0; i < layout.parts.size(); ++i)
    check_part(layout.parts[i], fmt::format("parts[{}]", i));
  for (size_t i = 0; i < layout.holes.size(); ++i) {
    check_point(layout.holes[i].centre, fmt::format("holes[{}].centre", i));
    check_length(layout.holes[i].diameter, fmt::format("holes[{}].diameter", i));
  }
  check_notes(layout.notes);
  for (size_t i = 0; i < layout.reference_points.size(); ++i)
    check_point(layout.reference_points[i].centre, fmt::format("reference_points[{}].centre", i));
  check_photos(layout.reference_photos);
}

}  // namespace verdigrid
