#include "synthetic/report.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

namespace verdigrid::synthetic {

namespace {

using nlohmann::json;

json areas_json(const AreaByClass& areas) {
  json j = json::object();
  for (const Residue r : k_residues)
    if (areas[static_cast<size_t>(r)] > 0) j[std::string(name(r))] = areas[static_cast<size_t>(r)];
  return j;
}

json ring_json(const Ring& ring) {
  json j = json::array();
  for (const cv::Point2d p : ring) j.push_back({p.x, p.y});
  return j;
}

}  // namespace

std::string truth_json(const BoardSpec& spec, const Truth& t) {
  json j;
  j["format"] = "rendered-board-truth";
  j["version"] = 1;
  j["solder_mask"] = name(spec.mask);
  j["side"] = name(t.side);
  j["board_mm"] = {spec.size_mm.width, spec.size_mm.height};
  j["photo_px"] = {t.photo_size_px.width, t.photo_size_px.height};
  j["px_per_mm"] = t.px_per_mm;
  j["tilt_deg"] = t.view.tilt_deg;
  j["lens"] = {{"camera", std::vector<double>(t.view.lens.camera.val, t.view.lens.camera.val + 9)},
               {"distortion", t.view.lens.distortion}};
  j["board_mm_from_photo_px"] =
      std::vector<double>(t.view.board_mm_from_photo_px.val, t.view.board_mm_from_photo_px.val + 9);
  j["outline_px"] = ring_json(t.outline_px.outer);
  j["outline_mm"] = ring_json(t.outline_mm.outer);
  j["area_mm2"] = areas_json(t.area_mm2);
  for (const SquareArea& s : t.squares)
    if (const json a = areas_json(s.by_class); !a.empty()) j["squares"][s.name] = a;
  for (const ReachedPart& p : t.reached) j["parts_reached"][p.designator] = areas_json(p.by_class);
  return j.dump(1) + "\n";
}

std::string parts_csv(const Truth& t) {
  std::string s = "designator,kind,package,side,x_mm,y_mm,rotation_deg,width_mm,height_mm\n";
  for (const PlacedPart& p : t.parts_mm)
    s += fmt::format("{},{},{},{},{:.3f},{:.3f},{:.1f},{:.2f},{:.2f}\n", p.designator, name(p.kind),
                     p.package, name(p.side), p.centre_mm.x, p.centre_mm.y, p.rotation_deg,
                     p.body_mm.width, p.body_mm.height);
  return s;
}

}  // namespace verdigrid::synthetic
