#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <unordered_set>

#include "base/error.h"
#include "layout/edit.h"
#include "layout/frame.h"

namespace verdigrid {

namespace {

void check_designator(const std::unordered_set<std::string>& taken, const std::string& name) {
  if (name.empty())
    throw Error(ErrorKind::bad_input, "A part needs a designator; type one, for example C12.");
  if (taken.contains(name))
    throw Error(ErrorKind::bad_input,
                fmt::format("There is a part \"{}\" already; choose another designator.", name));
}

std::unordered_set<std::string> designators(const Layout& layout) {
  std::unordered_set<std::string> names;
  for (const Part& part : layout.parts) names.insert(part.designator);
  return names;
}

// "C7", 2 -> "C9"; "GND", 1 -> "GND-2". Leading zeros keep their width.
std::string counted_on(const std::string& first, int steps) {
  if (steps == 0) return first;
  size_t digits = first.size();
  while (digits > 0 && std::isdigit(static_cast<unsigned char>(first[digits - 1])) &&
         first.size() - digits < 9)
    --digits;
  if (digits == first.size()) return fmt::format("{}-{}", first, steps + 1);
  const long number = std::stol(first.substr(digits)) + steps;
  return fmt::format("{}{:0{}}", first.substr(0, digits), number, first.size() - digits);
}

Part moved(Part part, cv::Point2d by) {
  part.centre += by;
  for (Joint& joint : part.joints) joint.centre += by;
  return part;
}

Polygon mirrored(Polygon polygon, double sum_x) {
  const auto mirror = [sum_x](Ring& ring) {
    for (cv::Point2d& p : ring) p.x = sum_x - p.x;
  };
  mirror(polygon.outer);
  // Mirroring turns the sense of a ring; the reversed list keeps it clockwise.
  std::reverse(polygon.outer.begin(), polygon.outer.end());
  for (Ring& hole : polygon.holes) {
    mirror(hole);
    std::reverse(hole.begin(), hole.end());
  }
  return polygon;
}

Side other(Side side) { return side == Side::front ? Side::back : Side::front; }

std::optional<Side> other(const std::optional<Side>& side) {
  if (!side) return std::nullopt;
  return other(*side);
}

Part turned_part(Part part, double sum_x) {
  part.centre.x = sum_x - part.centre.x;
  part.rotation_deg = turn_in_circle(-part.rotation_deg);
  part.side = other(part.side);
  for (Joint& joint : part.joints) joint.centre.x = sum_x - joint.centre.x;
  return part;
}

}  // namespace

void ArrayOptions::check() const {
  const auto refuse = [](const char* what) {
    throw Error(ErrorKind::wrong_use, fmt::format("Array of parts: {}.", what));
  };
  if (columns < 1 || columns > 1000) refuse("columns must be 1 to 1000");
  if (rows < 1 || rows > 1000) refuse("rows must be 1 to 1000");
  if (columns * rows > 10'000) refuse("columns times rows must be at most 10000");
  if (columns > 1 && column_step == cv::Point2d()) refuse("column_step must not be zero");
  if (rows > 1 && row_step == cv::Point2d()) refuse("row_step must not be zero");
}

Layout with_part(const Layout& layout, const Part& part) { return with_array(layout, part, {}); }

Layout with_array(const Layout& layout, const Part& first, const ArrayOptions& options) {
  options.check();
  std::unordered_set<std::string> taken = designators(layout);
  Layout out = layout;
  for (int row = 0; row < options.rows; ++row)
    for (int column = 0; column < options.columns; ++column) {
      Part part = moved(first, options.column_step * column + options.row_step * row);
      part.designator = counted_on(first.designator, row * options.columns + column);
      if (row + column > 0)
        for (Joint& joint : part.joints) joint.net.clear();  // a copy hangs on other nets
      check_designator(taken, part.designator);
      taken.insert(part.designator);
      out.parts.push_back(std::move(part));
    }
  return out;
}

Layout turned_over(const Layout& layout) {
  const cv::Rect2d box =
      layout.outline.empty() ? layout_box(layout) : bounding_box(layout.outline.outer);
  const double sum_x = 2 * box.x + box.width;
  Layout out = layout;
  out.outline = mirrored(layout.outline, sum_x);
  for (Zone& zone : out.zones) {
    zone.polygon = mirrored(zone.polygon, sum_x);
    zone.side = other(zone.side);
  }
  for (Part& part : out.parts) part = turned_part(std::move(part), sum_x);
  for (Hole& hole : out.holes) hole.centre.x = sum_x - hole.centre.x;
  for (LayoutNote& note : out.notes) {
    for (cv::Point2d& p : note.points) p.x = sum_x - p.x;
    note.side = other(note.side);
  }
  for (ReferencePoint& p : out.reference_points) p.centre.x = sum_x - p.centre.x;
  for (ReferencePhoto& photo : out.reference_photos) {
    photo.side = other(photo.side);
    photo.board_from_photo_px =
        cv::Matx33d(-1, 0, sum_x, 0, 1, 0, 0, 0, 1) * photo.board_from_photo_px;
  }
  return out;
}

}  // namespace verdigrid
