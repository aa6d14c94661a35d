#include <nlohmann/json.hpp>

#include "base/error.h"
#include "base/files.h"
#include "layout/layout_json.h"
#include "layout/layout_words.h"

namespace verdigrid {

using json = nlohmann::ordered_json;

namespace {

json point_json(cv::Point2d p) { return json::array({p.x, p.y}); }

json ring_json(const Ring& ring) {
  json list = json::array();
  for (const cv::Point2d& p : ring) list.push_back(point_json(p));
  return list;
}

json polygon_json(const Polygon& polygon) {
  json holes = json::array();
  for (const Ring& hole : polygon.holes) holes.push_back(ring_json(hole));
  return {{"outer", ring_json(polygon.outer)}, {"holes", holes}};
}

json sides_json(const std::optional<Side>& side) { return side ? name(*side) : "both"; }

json zone_json(const Zone& zone) {
  return {{"name", zone.name},
          {"importance", zone.importance},
          {"note", zone.note},
          {"hatch", name(zone.hatch)},
          {"side", sides_json(zone.side)},
          {"polygon", polygon_json(zone.polygon)}};
}

json part_json(const Part& part) {
  json out = {{"designator", part.designator},
              {"kind", name(part.kind)},
              {"package", part.package},
              {"value", part.value},
              {"rating", part.rating},
              {"centre", point_json(part.centre)},
              {"rotation_deg", part.rotation_deg},
              {"side", name(part.side)},
              {"body", json::array({part.body.width, part.body.height})},
              {"shape", name(part.shape)},
              {"negative_end", name(part.negative_end)},
              {"chemistry", name(part.chemistry)}};
  if (part.frequency_hz) out["frequency_hz"] = *part.frequency_hz;
  json joints = json::array();
  for (const Joint& joint : part.joints) {
    joints.push_back({{"pin", joint.pin},
                      {"centre", point_json(joint.centre)},
                      {"diameter", joint.diameter},
                      {"through", joint.is_through}});
    if (!joint.net.empty()) joints.back()["net"] = joint.net;
  }
  out["joints"] = joints;
  return out;
}

json matrix_json(const cv::Matx33d& matrix) {
  json list = json::array();
  for (double v : matrix.val) list.push_back(v);
  return list;
}

json lens_json(const std::optional<ReferenceLens>& lens) {
  if (!lens) return nullptr;
  return {{"camera", matrix_json(lens->camera)}, {"distortion", lens->distortion}};
}

json photo_json(const ReferencePhoto& photo) {
  return {{"file", photo.file},
          {"sha256", photo.sha256},
          {"side", name(photo.side)},
          {"size_px", json::array({photo.size_px.width, photo.size_px.height})},
          {"board_from_photo_px", matrix_json(photo.board_from_photo_px)},
          {"lens", lens_json(photo.lens)}};
}

json grid_json(const Grid& grid) {
  return {{"frame", json::array({grid.frame.x, grid.frame.y, grid.frame.width, grid.frame.height})},
          {"columns", grid.columns},
          {"rows", grid.rows}};
}

template <typename T, typename F>
json list_json(const std::vector<T>& items, F item_json) {
  json list = json::array();
  for (const T& item : items) list.push_back(item_json(item));
  return list;
}

}  // namespace

std::string layout_json(const Layout& layout) {
  check_layout(layout);
  json out = {{"format", "verdigrid-layout"},
              {"version", k_layout_version},
              {"board_type", layout.board_type},
              {"revision", layout.revision},
              {"unit", layout.has_mm ? "mm" : "board px"}};
  out["outline"] = layout.outline.outer.empty() ? json() : polygon_json(layout.outline);
  out["grid"] = layout.grid ? grid_json(*layout.grid) : json();
  out["zones"] = list_json(layout.zones, zone_json);
  out["parts"] = list_json(layout.parts, part_json);
  out["holes"] = list_json(layout.holes, [](const Hole& hole) -> json {
    return {{"centre", point_json(hole.centre)},
            {"diameter", hole.diameter},
            {"plated", hole.is_plated}};
  });
  out["notes"] = list_json(layout.notes, [](const LayoutNote& note) -> json {
    return {{"kind", name(note.kind)},
            {"text", note.text},
            {"side", sides_json(note.side)},
            {"points", ring_json(note.points)}};
  });
  out["reference_points"] = list_json(layout.reference_points, [](const ReferencePoint& p) -> json {
    return {{"name", p.name}, {"centre", point_json(p.centre)}};
  });
  out["reference_photos"] = list_json(layout.reference_photos, photo_json);
  out["source"] = {{"origin", name(layout.source.origin)},
                   {"file", layout.source.file},
                   {"remarks", layout.source.remarks}};
  try {
    return out.dump(2) + "\n";
  } catch (const json::exception&) {
    throw Error(ErrorKind::bad_input,
                "The layout holds a text that is not UTF-8; retype the names and notes.");
  }
}

void save_layout(const std::filesystem::path& path, const Layout& layout) {
  write_file(path, layout_json(layout));
}

}  // namespace verdigrid
