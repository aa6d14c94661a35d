#include "report/exchange_json.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/error.h"
#include "detect/regions.h"

namespace verdigrid {

namespace {

using Json = nlohmann::ordered_json;

constexpr double k_half_px = 0.5;  // between the two ways to count pixels

bool has_holes(const Finding& f) {
  return std::any_of(f.regions_px.begin(), f.regions_px.end(),
                     [](const Polygon& p) { return !p.holes.empty(); });
}

Json flat_ring(const Ring& ring) {
  Json flat = Json::array();
  for (const cv::Point2d& p : ring) {
    flat.push_back(p.x + k_half_px);
    flat.push_back(p.y + k_half_px);
  }
  return flat;
}

// Lengths of runs of 0 and 1 in turn, column after column, beginning with 0.
Json run_lengths(const cv::Mat& finding_of_px, int id) {
  Json counts = Json::array();
  bool value = false;
  long length = 0;
  for (int x = 0; x < finding_of_px.cols; ++x)
    for (int y = 0; y < finding_of_px.rows; ++y) {
      if ((finding_of_px.at<std::uint16_t>(y, x) == id) != value) {
        counts.push_back(length);
        value = !value;
        length = 0;
      }
      ++length;
    }
  counts.push_back(length);
  return {{"counts", counts}, {"size", {finding_of_px.rows, finding_of_px.cols}}};
}

Json segmentation(const Survey& s, const Finding& f) {
  if (has_holes(f)) return run_lengths(s.findings.finding_of_px, f.id);
  Json polygons = Json::array();
  for (const Polygon& p : f.regions_px) polygons.push_back(flat_ring(p.outer));
  return polygons;
}

Json board_ring(const Rectification& r, const Ring& ring) {
  Json points = Json::array();
  for (const cv::Point2d& p : ring) {
    const cv::Point2d at = board_point(r, p);
    points.push_back({at.x, at.y});
  }
  return points;
}

std::string text_of(const Json& j) {
  return j.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

// Reads one file; every refusal names the path of the field.
class CocoReader {
 public:
  CocoReader(std::string_view text, std::string where)
      : where_(std::move(where)), file_(nlohmann::json::parse(text, nullptr, false)) {
    if (!file_.is_object()) refuse("", "is no JSON object; name a file of COCO annotations");
    for (const char* list : {"images", "annotations", "categories"})
      if (!file_.contains(list) || !file_[list].is_array()) refuse(list, "is missing or no list");
  }

  std::vector<CocoRegion> regions(const std::string& photo_name, cv::Size photo_px) {
    photo_px_ = photo_px;
    const long long image = image_id(photo_name);
    std::vector<CocoRegion> all;
    for (size_t i = 0; i < file_["annotations"].size(); ++i) {
      const nlohmann::json& a = file_["annotations"][i];
      const std::string path = fmt::format("annotations[{}]", i);
      if (whole(a, path, "image_id") != image) continue;
      all.push_back({residue_of(whole(a, path, "category_id"), path), polygons(a, path)});
    }
    return all;
  }

 private:
  [[noreturn]] void refuse(const std::string& path, const std::string& what) const {
    throw Error(ErrorKind::bad_input,
                where_ + ": " + (path.empty() ? "" : path + " ") + what + ".");
  }

  long long whole(const nlohmann::json& j, const std::string& path, const char* field) const {
    if (!j.is_object() || !j.contains(field) || !j[field].is_number_integer())
      refuse(path + "." + field, "is missing or no whole number");
    return j[field].get<long long>();
  }

  long long image_id(const std::string& photo_name) const {
    std::vector<const nlohmann::json*> fitting;
    for (size_t i = 0; i < file_["images"].size(); ++i) {
      const nlohmann::json& image = file_["images"][i];
      const std::string path = fmt::format("images[{}]", i);
      if (whole(image, path, "width") == photo_px_.width &&
          whole(image, path, "height") == photo_px_.height)
        fitting.push_back(&image);
    }
    if (fitting.size() > 1)
      std::erase_if(fitting, [&](const nlohmann::json* image) {
        const auto name = image->find("file_name");
        return name == image->end() || *name != photo_name;
      });
    if (fitting.size() != 1)
      refuse("images", fmt::format("hold no single picture of {} x {} px named {}", photo_px_.width,
                                   photo_px_.height, photo_name));
    return whole(*fitting[0], "images", "id");
  }

  Residue residue_of(long long category, const std::string& path) const {
    for (size_t i = 0; i < file_["categories"].size(); ++i) {
      const nlohmann::json& c = file_["categories"][i];
      if (whole(c, fmt::format("categories[{}]", i), "id") != category) continue;
      for (const Residue r : k_residues)
        if (c.value("name", "") == name(r)) return r;
      return Residue::unsure;
    }
    refuse(path + ".category_id", "names no category of the file");
  }

  std::vector<Polygon> polygons(const nlohmann::json& a, const std::string& path) const {
    const std::string at = path + ".segmentation";
    if (!a.contains("segmentation")) refuse(at, "is missing");
    const nlohmann::json& s = a["segmentation"];
    if (s.is_object()) return from_runs(s, at);
    if (!s.is_array() || s.empty()) refuse(at, "is neither polygons nor run lengths");
    std::vector<Polygon> all;
    for (const nlohmann::json& flat : s) all.push_back({ring_from(flat, at), {}});
    return all;
  }

  Ring ring_from(const nlohmann::json& flat, const std::string& at) const {
    if (!flat.is_array() || flat.size() < 6 || flat.size() % 2 != 0)
      refuse(at, "has a polygon without three points");
    Ring ring;
    for (size_t i = 0; i < flat.size(); i += 2) {
      if (!flat[i].is_number() || !flat[i + 1].is_number()) refuse(at, "has a point of no numbers");
      const cv::Point2d p{flat[i].get<double>() - k_half_px, flat[i + 1].get<double>() - k_half_px};
      if (!(p.x >= -1 && p.y >= -1 && p.x <= photo_px_.width && p.y <= photo_px_.height))
        refuse(at, "has a point outside the picture");
      ring.push_back(p);
    }
    return clockwise(ring);
  }

  std::vector<Polygon> from_runs(const nlohmann::json& s, const std::string& at) const {
    if (!s.contains("counts") || !s["counts"].is_array())
      refuse(at + ".counts", "is no list (compressed run lengths are not read)");
    cv::Mat mask = cv::Mat::zeros(photo_px_.width, photo_px_.height, CV_8UC1);  // columns as rows
    long long end = 0;
    bool value = false;
    for (const nlohmann::json& count : s["counts"]) {
      if (!count.is_number_unsigned()) refuse(at + ".counts", "holds what is no length");
      const auto first = end;
      const auto n = count.get<unsigned long long>();
      if (n > mask.total() - static_cast<size_t>(end))
        refuse(at + ".counts", "runs past the picture");
      end += static_cast<long long>(n);
      if (value) std::fill(mask.data + first, mask.data + end, std::uint8_t{255});
      value = !value;
    }
    if (static_cast<size_t>(end) != mask.total())
      refuse(at + ".counts", "does not fill the picture");
    return border_polygons(mask.t(), {0, 0});
  }

  std::string where_;
  nlohmann::json file_;
  cv::Size photo_px_;
};

}  // namespace

std::string coco_json(const Survey& s) {
  Json annotations = Json::array(), categories = Json::array();
  for (const Residue r : k_residues)
    categories.push_back({{"id", static_cast<int>(r)},
                          {"name", std::string(name(r))},
                          {"supercategory", "residue"}});
  for (const Finding& f : s.findings.findings)
    annotations.push_back({{"id", f.id},
                           {"image_id", 1},
                           {"category_id", static_cast<int>(f.residue)},
                           {"segmentation", segmentation(s, f)},
                           {"area", f.area_px},
                           {"bbox", {f.box_px.x, f.box_px.y, f.box_px.width, f.box_px.height}},
                           {"iscrowd", 0},
                           {"score", f.confidence}});
  Json image = {{"id", 1},
                {"file_name", s.photo.name},
                {"width", s.photo_size_px.width},
                {"height", s.photo_size_px.height}};
  if (s.photo.captured_at) image["date_captured"] = *s.photo.captured_at;
  return text_of({{"info",
                   {{"description", "Likely residue by its look; not a clearance"},
                    {"contributor", "Verdigrid " + s.program_version},
                    {"detector", s.detector_id},
                    {"photo_sha256", s.photo.sha256}}},
                  {"licenses", Json::array()},
                  {"images", Json::array({image})},
                  {"annotations", annotations},
                  {"categories", categories}});
}

std::vector<CocoRegion> coco_regions(std::string_view text, const std::string& where,
                                     const std::string& photo_name, cv::Size photo_px) {
  return CocoReader(text, where).regions(photo_name, photo_px);
}

std::string polygons_json(const Survey& s) {
  Json findings = Json::array();
  for (const Finding& f : s.findings.findings) {
    Json regions = Json::array();
    for (const Polygon& p : f.regions_px) {
      Json holes = Json::array();
      for (const Ring& hole : p.holes) holes.push_back(board_ring(s.rectification, hole));
      regions.push_back({{"outer", board_ring(s.rectification, p.outer)}, {"holes", holes}});
    }
    findings.push_back(
        {{"id", f.id},
         {"class", std::string(name(f.residue))},
         {"square",
          square_at(s.zones.grid, board_point(s.rectification, f.centre_px)).value_or("")},
         {"confidence", f.confidence},
         {"regions", regions}});
  }
  return text_of({{"format", "verdigrid-polygons"},
                  {"version", 1},
                  {"unit", s.zones.has_mm ? "mm" : "board px"},
                  {"side", name(s.rectification.side)},
                  {"photo_sha256", s.photo.sha256},
                  {"findings", findings}});
}

}  // namespace verdigrid
