#include "base/json_parts.h"

#include <fmt/format.h>

#include "base/error.h"

namespace verdigrid {

namespace {

std::string compact(const nlohmann::ordered_json& j) {
  return j.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

}  // namespace

nlohmann::json checked_json(std::string_view text, const std::string& name,
                            const std::string& format, int newest_version) {
  nlohmann::json j = nlohmann::json::parse(text, nullptr, false);
  if (j.is_discarded() || !j.is_object() || j.value("format", nlohmann::json()) != format)
    throw Error(
        ErrorKind::bad_input,
        fmt::format("{}: this is no {} file; give one that this program wrote.", name, format));
  const nlohmann::json version = j.value("version", nlohmann::json());
  if (!version.is_number_integer() || version.get<int>() < 1)
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: the field version is missing or no whole number.", name));
  if (version.get<int>() > newest_version)
    throw Error(ErrorKind::storage,
                fmt::format("{}: written by a newer program (version {}, this one reads up to {}); "
                            "update this program.",
                            name, version.get<int>(), newest_version));
  return j;
}

void throw_bad_field(const std::string& name, const std::string& what) {
  throw Error(ErrorKind::bad_input,
              fmt::format("{}: a field is missing or of the wrong kind ({}); write the file again.",
                          name, what));
}

std::string json_lines(const nlohmann::ordered_json& j) {
  std::string text = "{";
  const char* comma = "\n";
  for (const auto& [key, value] : j.items()) {
    text += comma + compact(nlohmann::ordered_json(key)) + ": ";
    comma = ",\n";
    if (!value.is_array() || value.empty() || !value[0].is_object()) {
      text += compact(value);
      continue;
    }
    for (size_t i = 0; i < value.size(); ++i)
      text += (i == 0 ? "[\n  " : ",\n  ") + compact(value[i]);
    text += "]";
  }
  return text + "\n}\n";
}

nlohmann::json to_json(const cv::Matx33d& m) {
  nlohmann::json rows = nlohmann::json::array();
  for (int y = 0; y < 3; ++y) rows.push_back({m(y, 0), m(y, 1), m(y, 2)});
  return rows;
}

cv::Matx33d matrix_from_json(const nlohmann::json& j) {
  cv::Matx33d m;
  for (int y = 0; y < 3; ++y)
    for (int x = 0; x < 3; ++x)
      m(y, x) = j.at(static_cast<size_t>(y)).at(static_cast<size_t>(x)).get<double>();
  return m;
}

nlohmann::json to_json(const Ring& ring) {
  nlohmann::json points = nlohmann::json::array();
  for (const cv::Point2d p : ring) points.push_back({p.x, p.y});
  return points;
}

Ring ring_from_json(const nlohmann::json& j) {
  Ring ring;
  for (const nlohmann::json& p : j) ring.emplace_back(p.at(0).get<double>(), p.at(1).get<double>());
  return ring;
}

nlohmann::json to_json(const Polygon& polygon) {
  nlohmann::json holes = nlohmann::json::array();
  for (const Ring& hole : polygon.holes) holes.push_back(to_json(hole));
  return {{"outer", to_json(polygon.outer)}, {"holes", std::move(holes)}};
}

Polygon polygon_from_json(const nlohmann::json& j) {
  Polygon polygon{ring_from_json(j.at("outer")), {}};
  for (const nlohmann::json& hole : j.at("holes")) polygon.holes.push_back(ring_from_json(hole));
  return polygon;
}

nlohmann::json to_json(const std::vector<Polygon>& polygons) {
  nlohmann::json list = nlohmann::json::array();
  for (const Polygon& p : polygons) list.push_back(to_json(p));
  return list;
}

std::vector<Polygon> polygons_from_json(const nlohmann::json& j) {
  std::vector<Polygon> polygons;
  for (const nlohmann::json& p : j) polygons.push_back(polygon_from_json(p));
  return polygons;
}

nlohmann::json to_json(cv::Size size) { return {size.width, size.height}; }

cv::Size size_from_json(const nlohmann::json& j) {
  return {j.at(0).get<int>(), j.at(1).get<int>()};
}

}  // namespace verdigrid
