#include "layout/json_fields.h"

#include <fmt/format.h>

#include <limits>

#include "base/error.h"

namespace verdigrid {

using nlohmann::json;

JsonFields::JsonFields(const json& object, std::string path, std::string where)
    : object_(&object), path_(std::move(path)), where_(std::move(where)) {
  if (!object.is_object())
    refuse_path(path_.empty() ? "the file" : path_, "must be an object in braces");
}

std::string JsonFields::path_of(const std::string& key) const {
  return path_.empty() ? key : path_ + "." + key;
}

void JsonFields::refuse_path(const std::string& path, const std::string& what) const {
  throw Error(ErrorKind::bad_input, fmt::format("{}: {}: {}.", where_, path, what));
}

void JsonFields::refuse(const std::string& key, const std::string& what) const {
  refuse_path(path_of(key), what);
}

bool JsonFields::has(const std::string& key) const {
  const auto it = object_->find(key);
  return it != object_->end() && !it->is_null();
}

const json& JsonFields::required(const std::string& key) {
  asked_.insert(key);
  const auto it = object_->find(key);
  if (it == object_->end()) refuse(key, "is missing");
  return *it;
}

std::string JsonFields::text(const std::string& key) {
  const json& value = required(key);
  if (!value.is_string()) refuse(key, "must be a text in quotes");
  return value.get<std::string>();
}

std::string JsonFields::text_or(const std::string& key, const std::string& standard) {
  asked_.insert(key);
  return has(key) ? text(key) : standard;
}

double JsonFields::number(const std::string& key) {
  const json& value = required(key);
  if (!value.is_number()) refuse(key, "must be a number");
  return value.get<double>();
}

double JsonFields::number_or(const std::string& key, double standard) {
  asked_.insert(key);
  return has(key) ? number(key) : standard;
}

int JsonFields::whole(const std::string& key) {
  const double value = number(key);
  // Written so that NaN fails too.
  if (!(value >= std::numeric_limits<int>::min() && value <= std::numeric_limits<int>::max()) ||
      value != static_cast<double>(static_cast<int>(value)))
    refuse(key, "must be a whole number");
  return static_cast<int>(value);
}

int JsonFields::whole_or(const std::string& key, int standard) {
  asked_.insert(key);
  return has(key) ? whole(key) : standard;
}

bool JsonFields::truth_or(const std::string& key, bool standard) {
  asked_.insert(key);
  if (!has(key)) return standard;
  const json& value = required(key);
  if (!value.is_boolean()) refuse(key, "must be true or false");
  return value.get<bool>();
}

cv::Point2d JsonFields::point_at(const json& value, const std::string& path) const {
  if (!value.is_array() || value.size() != 2 || !value[0].is_number() || !value[1].is_number())
    refuse_path(path, "must be two numbers, [x, y]");
  return {value[0].get<double>(), value[1].get<double>()};
}

Ring JsonFields::ring_at(const json& value, const std::string& path) const {
  if (!value.is_array()) refuse_path(path, "must be a list of points");
  Ring ring;
  ring.reserve(value.size());
  for (size_t i = 0; i < value.size(); ++i)
    ring.push_back(point_at(value[i], fmt::format("{}[{}]", path, i)));
  return ring;
}

cv::Point2d JsonFields::point(const std::string& key) {
  return point_at(required(key), path_of(key));
}

Ring JsonFields::points(const std::string& key) { return ring_at(required(key), path_of(key)); }

std::vector<Ring> JsonFields::rings(const std::string& key) {
  asked_.insert(key);
  if (!has(key)) return {};
  const json& value = required(key);
  if (!value.is_array()) refuse(key, "must be a list of rings");
  std::vector<Ring> rings;
  for (size_t i = 0; i < value.size(); ++i)
    rings.push_back(ring_at(value[i], fmt::format("{}[{}]", path_of(key), i)));
  return rings;
}

std::vector<double> JsonFields::numbers(const std::string& key, size_t count) {
  const json& value = required(key);
  if (!value.is_array() || value.size() != count)
    refuse(key, fmt::format("must be a list of {} numbers", count));
  std::vector<double> list;
  for (size_t i = 0; i < count; ++i) {
    if (!value[i].is_number())
      refuse_path(fmt::format("{}[{}]", path_of(key), i), "must be a number");
    list.push_back(value[i].get<double>());
  }
  return list;
}

std::vector<std::string> JsonFields::texts(const std::string& key) {
  asked_.insert(key);
  if (!has(key)) return {};
  const json& value = required(key);
  if (!value.is_array()) refuse(key, "must be a list of texts");
  std::vector<std::string> list;
  for (size_t i = 0; i < value.size(); ++i) {
    if (!value[i].is_string())
      refuse_path(fmt::format("{}[{}]", path_of(key), i), "must be a text in quotes");
    list.push_back(value[i].get<std::string>());
  }
  return list;
}

JsonFields JsonFields::object(const std::string& key) {
  return JsonFields(required(key), path_of(key), where_);
}

std::vector<JsonFields> JsonFields::objects(const std::string& key) {
  asked_.insert(key);
  if (!has(key)) return {};
  const json& value = required(key);
  if (!value.is_array()) refuse(key, "must be a list");
  std::vector<JsonFields> list;
  list.reserve(value.size());
  for (size_t i = 0; i < value.size(); ++i)
    list.emplace_back(value[i], fmt::format("{}[{}]", path_of(key), i), where_);
  return list;
}

void JsonFields::finish() const {
  for (const auto& [key, value] : object_->items())
    if (!asked_.contains(key)) refuse(key, "is not a field of this format; check its spelling");
}

void check_heading(JsonFields& fields, std::string_view where, const char* format, int newest) {
  if (fields.text("format") != format)
    fields.refuse("format", fmt::format("must be \"{}\"", format));
  const int version = fields.whole("version");
  if (version > newest)
    throw Error(ErrorKind::storage,
                fmt::format("{}: version: {} is newer than this program knows ({}); use a newer "
                            "program to open it.",
                            where, version, newest));
  if (version < 1) fields.refuse("version", "must be at least 1");
}

}  // namespace verdigrid
