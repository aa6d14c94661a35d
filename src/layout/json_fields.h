// Reading a JSON object field by field, where every complaint names the JSON path of the field.
//
// Throws bad_input: "FILE: parts[3].centre: must be two numbers." Lives as long as the value it
// reads.
#pragma once

#include <nlohmann/json.hpp>
#include <opencv2/core.hpp>
#include <set>
#include <string>

#include "base/geometry.h"
#include "layout/words.h"

namespace verdigrid {

class JsonFields {
 public:
  // `path` of the object itself, "" at the top; `where` is the file name.
  JsonFields(const nlohmann::json& object, std::string path, std::string where);

  bool has(const std::string& key) const;  // present and not null
  std::string path_of(const std::string& key) const;
  void allow(const std::string& key) { asked_.insert(key); }  // may be missing or null

  std::string text(const std::string& key);  // required
  std::string text_or(const std::string& key, const std::string& standard);
  double number(const std::string& key);
  double number_or(const std::string& key, double standard);
  int whole(const std::string& key);
  int whole_or(const std::string& key, int standard);
  bool truth_or(const std::string& key, bool standard);
  cv::Point2d point(const std::string& key);
  Ring points(const std::string& key);
  std::vector<double> numbers(const std::string& key, size_t count);
  std::vector<std::string> texts(const std::string& key);  // empty when missing
  JsonFields object(const std::string& key);
  std::vector<JsonFields> objects(const std::string& key);  // empty when missing
  std::vector<Ring> rings(const std::string& key);          // empty when missing

  template <typename E, std::size_t N>
  E word_or(const std::string& key, const Words<E, N>& words, E standard) {
    if (!has(key)) return standard;
    const std::string given = text(key);
    if (const auto value = value_of(words, given)) return *value;
    std::string all;
    for (const auto& [v, t] : words) all += (all.empty() ? "" : ", ") + std::string(t);
    refuse(key, "\"" + given + "\" is none of " + all);
  }

  [[noreturn]] void refuse(const std::string& key, const std::string& what) const;
  // Refuses fields that nobody asked for: a misspelt name must not be lost in silence.
  void finish() const;

 private:
  const nlohmann::json& required(const std::string& key);
  Ring ring_at(const nlohmann::json& value, const std::string& path) const;
  cv::Point2d point_at(const nlohmann::json& value, const std::string& path) const;
  [[noreturn]] void refuse_path(const std::string& path, const std::string& what) const;

  const nlohmann::json* object_;
  std::string path_, where_;
  std::set<std::string> asked_;
};

// Fields "format" and "version" of a file named `where`, before its other fields are judged: throws
// storage for a version newer than `newest`.
void check_heading(JsonFields& fields, std::string_view where, const char* format, int newest);

}  // namespace verdigrid
