// One description of a value's fields, for writing it as JSON and reading it back; used inside this
// folder. A `visit(Fields&, T&)` names each field once; Fields is JsonWriter or JsonReader.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/interval.h"
#include "layout/json_fields.h"

namespace verdigrid {

class JsonWriter {
 public:
  using Json = nlohmann::ordered_json;

  void number(const char* key, double& v) { json_[key] = v; }
  template <class Whole>
  void whole(const char* key, Whole& v) {
    json_[key] = v;
  }
  void text(const char* key, std::string& v) { json_[key] = v; }
  void truth(const char* key, bool& v) { json_[key] = v; }
  void texts(const char* key, std::vector<std::string>& v) { json_[key] = v; }
  void numbers(const char* key, double* v, size_t n) { json_[key] = std::vector<double>(v, v + n); }
  void points(const char* key, Ring& v) {
    Json all = Json::array();
    for (const cv::Point2d& p : v) all.push_back({p.x, p.y});
    json_[key] = all;
  }
  template <class Enum, size_t N>
  void word(const char* key, Enum& v, const std::array<Enum, N>&) {
    json_[key] = name(v);
  }
  template <class T>
  void object(const char* key, T& v) {
    JsonWriter inner;
    visit(inner, v);
    json_[key] = std::move(inner.json_);
  }
  template <class T>
  void maybe(const char* key, std::optional<T>& v) {
    if (v)
      object(key, *v);
    else
      json_[key] = nullptr;
  }
  template <class T>
  void list(const char* key, std::vector<T>& v) {
    Json all = Json::array();
    for (T& item : v) {
      JsonWriter inner;
      visit(inner, item);
      all.push_back(std::move(inner.json_));
    }
    json_[key] = all;
  }
  Json& json() { return json_; }

 private:
  Json json_ = Json::object();
};

class JsonReader {
 public:
  explicit JsonReader(JsonFields fields) : f_(std::move(fields)) {}

  void number(const char* key, double& v) { v = f_.number(key); }
  template <class Whole>
  void whole(const char* key, Whole& v) {
    v = static_cast<Whole>(f_.whole(key));
  }
  void text(const char* key, std::string& v) { v = f_.text_or(key, ""); }
  void truth(const char* key, bool& v) {
    f_.allow(key);
    if (!f_.has(key)) f_.refuse(key, "is missing");
    v = f_.truth_or(key, false);
  }
  void texts(const char* key, std::vector<std::string>& v) { v = f_.texts(key); }
  void numbers(const char* key, double* v, size_t n) {
    const std::vector<double> all = f_.numbers(key, n);
    std::copy(all.begin(), all.end(), v);
  }
  void points(const char* key, Ring& v) { v = f_.points(key); }
  template <class Enum, size_t N>
  void word(const char* key, Enum& v, const std::array<Enum, N>& all) {
    const std::string given = f_.text(key);
    for (const Enum value : all)
      if (given == name(value)) {
        v = value;
        return;
      }
    f_.refuse(key, "\"" + given + "\" is no word that this program knows here");
  }
  template <class T>
  void object(const char* key, T& v) {
    JsonReader inner(f_.object(key));
    visit(inner, v);
    inner.f_.finish();
  }
  template <class T>
  void maybe(const char* key, std::optional<T>& v) {
    f_.allow(key);
    v.reset();
    if (!f_.has(key)) return;
    v.emplace();
    object(key, *v);
  }
  template <class T>
  void list(const char* key, std::vector<T>& v) {
    v.clear();
    for (JsonFields& item : f_.objects(key)) {
      JsonReader inner(item);
      visit(inner, v.emplace_back());
      inner.f_.finish();
    }
  }
  JsonFields& fields() { return f_; }

 private:
  JsonFields f_;
};

}  // namespace verdigrid
