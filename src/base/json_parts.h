// Reading and writing the parts that our own JSON files share, with sentences instead of library
// messages. Points are [x, y]; rings are lists of points. May be called from any thread.
#pragma once

#include <nlohmann/json.hpp>
#include <opencv2/core.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "base/geometry.h"

namespace verdigrid {

// Parses, checks `format` and `version` (1..newest). `name` starts every sentence. Throws
// Error{bad_input}, or Error{storage} for a newer version.
nlohmann::json checked_json(std::string_view text, const std::string& name,
                            const std::string& format, int newest_version);

// Runs `read`; what the JSON library throws becomes one sentence of kind bad_input.
template <class Read>
auto read_fields(const std::string& name, Read read);

// An object as text: one line per field, and per item where the items are objects, so that it is
// readable and not ten times longer. What is no UTF-8 is replaced.
std::string json_lines(const nlohmann::ordered_json& object);

[[noreturn]] void throw_bad_field(const std::string& name, const std::string& what);

template <class Read>
auto read_fields(const std::string& name, Read read) {
  try {
    return read();
  } catch (const nlohmann::json::exception& e) {
    throw_bad_field(name, e.what());
  }
}

nlohmann::json to_json(const cv::Matx33d& m);
cv::Matx33d matrix_from_json(const nlohmann::json& j);
nlohmann::json to_json(const Ring& ring);
Ring ring_from_json(const nlohmann::json& j);
nlohmann::json to_json(const Polygon& polygon);  // {"outer": ring, "holes": [ring, ...]}
Polygon polygon_from_json(const nlohmann::json& j);
nlohmann::json to_json(const std::vector<Polygon>& polygons);
std::vector<Polygon> polygons_from_json(const nlohmann::json& j);
nlohmann::json to_json(cv::Size size);
cv::Size size_from_json(const nlohmann::json& j);

}  // namespace verdigrid
