// What reading JSON files needs beside JsonFields; used inside this folder and by plan.
#pragma once

#include <fmt/format.h>

#include <array>
#include <limits>
#include <optional>

#include "layout/json_fields.h"
#include "measure/zone_table.h"

namespace verdigrid {

// The value whose name() stands in the field.
template <class Enum, size_t N>
Enum word(JsonFields& f, const std::string& key, const std::array<Enum, N>& values) {
  const std::string text = f.text(key);
  std::string all;
  for (const Enum value : values) {
    if (text == name(value)) return value;
    all += (all.empty() ? "" : ", ") + std::string(name(value));
  }
  f.refuse(key, "\"" + text + "\" is none of " + all);
}

std::optional<std::string> text_if(JsonFields& f, const std::string& key);  // missing or null: none
std::optional<double> number_if(JsonFields& f, const std::string& key);
double at_least_0(JsonFields& f, const std::string& key);
double percent(JsonFields& f, const std::string& key);
int between(JsonFields& f, const std::string& key, int low, int high);

// Finding ids: `list` is the object that `f` reads.
std::vector<int> ids(const nlohmann::json& list, JsonFields& f, const std::string& key);

// Fields unit, grid, board, squares, zones, parts of the document `j` that `f` reads.
ZoneTable zone_table_of(const nlohmann::json& j, JsonFields& f);

}  // namespace verdigrid
