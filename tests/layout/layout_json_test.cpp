#include "layout/layout_json.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <random>

#include "base/error.h"
#include "tests/layout/sample_layout.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using nlohmann::json;

namespace {

std::string refusal(const std::string& text) {
  try {
    layout_from_json(text, "x.layout.json");
  } catch (const Error& e) {
    return e.what();
  }
  return "";
}

// The sample as JSON with one thing changed by `change`.
template <typename F>
std::string refusal_after(F change) {
  json document = json::parse(layout_json(sample_layout()));
  change(document);
  return refusal(document.dump());
}

json schema() {
  std::ifstream in(VERDIGRID_SOURCE_DIR "/assets/schema/layout.schema.json");
  return json::parse(in);
}

// Checks that the keys of `value` are exactly the schema's properties, in both directions: `value`
// has every field in use.
void check_keys(const json& value, const json& object_schema) {
  for (const auto& [key, item] : value.items()) {
    INFO(key);
    CHECK(object_schema["properties"].contains(key));
  }
  for (const auto& [key, item] : object_schema["properties"].items()) {
    INFO(key);
    CHECK(value.contains(key));
  }
}

}  // namespace

TEST_CASE("save then load gives an equal layout") {
  const Layout layout = sample_layout();
  CHECK(layout_from_json(layout_json(layout), "x") == layout);
  const auto path = std::filesystem::temp_directory_path() / "verdigrid_layout_test.layout.json";
  save_layout(path, layout);
  CHECK(load_layout(path) == layout);
  std::filesystem::remove(path);
  CHECK(layout_from_json(layout_json(Layout{}), "x") == Layout{});
}

TEST_CASE("any finite number comes back bit for bit") {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> size(-6, 6), mantissa(-1, 1);
  Layout layout = sample_layout();
  for (int i = 0; i < 2000; ++i)
    layout.parts[0].joints.push_back(
        {"", {mantissa(random) * std::pow(10, size(random)), mantissa(random) * 1e-12}, 0, false});
  CHECK(layout_from_json(layout_json(layout), "x") == layout);
}

TEST_CASE("a wrong field is named by its path") {
  CHECK_THAT(refusal_after([](json& d) { d["parts"][1]["centre"] = "left"; }),
             Contains("x.layout.json: parts[1].centre: must be two numbers"));
  CHECK_THAT(refusal_after([](json& d) { d["zones"][0]["importance"] = 6; }),
             Contains("zones[0].importance: 6 is not 1 to 5"));
  CHECK_THAT(refusal_after([](json& d) { d["zones"][1]["name"] = "Power"; }),
             Contains("zones[1].name"));
  CHECK_THAT(refusal_after([](json& d) { d["zones"][1]["polygon"]["outer"][2][0] = nullptr; }),
             Contains("zones[1].polygon.outer[2]"));
  CHECK_THAT(refusal_after([](json& d) { d["parts"][0]["joints"][1]["diameter"] = -1; }),
             Contains("parts[0].joints[1].diameter"));
  CHECK_THAT(refusal_after([](json& d) { d["parts"][0]["joints"][1]["net"] = 5; }),
             Contains("x.layout.json: parts[0].joints[1].net: must be a text"));
  CHECK_THAT(refusal_after([](json& d) { d["parts"][0]["kind"] = "gizmo"; }),
             Contains("parts[0].kind: \"gizmo\""));
  CHECK_THAT(refusal_after([](json& d) { d["parts"][2]["rotation_deg"] = 360; }),
             Contains("parts[2].rotation_deg"));
  CHECK_THAT(refusal_after([](json& d) { d["grid"]["columns"] = 2.5; }),
             Contains("grid.columns: must be a whole number"));
  CHECK_THAT(refusal_after([](json& d) { d["notes"][0]["points"].erase(1); }),
             Contains("notes[0].points: needs at least 2 points"));
  CHECK_THAT(refusal_after([](json& d) { d["reference_photos"][0]["board_from_photo_px"] = 3; }),
             Contains("reference_photos[0].board_from_photo_px"));
  CHECK_THAT(refusal_after([](json& d) { d["parts"][0]["valeu"] = "1"; }),
             Contains("parts[0].valeu: is not a field"));
  CHECK_THAT(refusal_after([](json& d) { d.erase("unit"); }), Contains("unit: is missing"));
  CHECK_THAT(refusal_after([](json& d) { d["outline"] = json::array(); }),
             Contains("outline: must be an object"));
  CHECK_THAT(refusal_after([](json& d) {
               d["parts"][0]["body"] = {3, 0};
             }),
             Contains("parts[0].body: give both"));
}

TEST_CASE("a file that is no layout is refused with a sentence") {
  CHECK_THAT(refusal(""), Contains("not JSON"));
  CHECK_THAT(refusal("{\"format\": \"other\"}"), Contains("format: must be"));
  CHECK_THAT(refusal("[]"), Contains("must be an object"));
  CHECK_THAT(refusal("{\"format\":\"verdigrid-layout\",\"version\":1,\"unit\":1e999}"),
             Contains("number that is too large"));
}

TEST_CASE("a newer version is refused as such and not as a fault of the file") {
  json document = json::parse(layout_json(sample_layout()));
  document["version"] = k_layout_version + 1;
  document["something_new"] = 1;
  try {
    layout_from_json(document.dump(), "x");
    FAIL("must be refused");
  } catch (const Error& e) {
    CHECK(e.kind() == ErrorKind::storage);
    CHECK_THAT(std::string(e.what()), Contains("newer"));
  }
}

TEST_CASE("a file of version 1 has no nets and is read as it was") {
  const std::string old =
      R"({"format": "verdigrid-layout", "version": 1, "unit": "mm", "parts": [{"designator": "R1",
          "centre": [3, 4], "joints": [{"pin": "1", "centre": [2, 4]}, {"pin": "2", "centre": [4, 4],
          "diameter": 1.5, "through": true}]}]})";
  const Layout layout = layout_from_json(old, "old");
  REQUIRE(layout.parts.at(0).joints.size() == 2);
  CHECK(layout.parts[0].joints[1] == Joint{"2", {4, 4}, 1.5, true, ""});
  const json again = json::parse(layout_json(layout));
  CHECK(again["version"] == 2);
  CHECK_FALSE(again["parts"][0]["joints"][0].contains("net"));
}

TEST_CASE("a layout that cannot be read back is not written") {
  Layout layout = sample_layout();
  layout.parts[0].centre.x = std::nan("");
  CHECK_THROWS_WITH(layout_json(layout), Contains("parts[0].centre[0]: not a finite number"));
  layout = sample_layout();
  layout.zones[0].note.assign(1, char(0xFF));
  CHECK_THROWS_WITH(layout_json(layout), Contains("UTF-8"));
}

TEST_CASE("the schema describes exactly the fields that are written") {
  const json s = schema(), d = json::parse(layout_json(sample_layout()));
  check_keys(d, s);
  const json& defs = s["$defs"];
  check_keys(d["outline"], defs["polygon"]);
  check_keys(d["grid"], s["properties"]["grid"]["oneOf"][1]);
  check_keys(d["zones"][0], defs["zone"]);
  json part = d["parts"][0];
  part["frequency_hz"] = 1;
  check_keys(part, defs["part"]);
  check_keys(part["joints"][0], defs["joint"]);
  check_keys(d["holes"][0], defs["hole"]);
  check_keys(d["notes"][0], defs["note"]);
  check_keys(d["reference_points"][0], defs["reference_point"]);
  check_keys(d["reference_photos"][0], defs["reference_photo"]);
  check_keys(d["reference_photos"][0]["lens"], defs["lens"]);
  check_keys(d["source"], defs["source"]);
  CHECK(s["properties"]["version"]["enum"].back() == k_layout_version);
  std::vector<std::string> kinds;
  for (PartKind kind : part_kinds()) kinds.push_back(name(kind));
  CHECK(defs["part"]["properties"]["kind"]["enum"].get<std::vector<std::string>>() == kinds);
}

TEST_CASE("a cut or changed file never does worse than a sentence") {
  const std::string whole = layout_json(sample_layout());
  std::mt19937 random(11);
  for (size_t cut = 0; cut + 2 < whole.size(); cut += 37)
    CHECK(refusal(whole.substr(0, cut)) != "");
  for (int i = 0; i < 1500; ++i) {
    std::string changed = whole;
    for (int k = 0; k < 3; ++k)
      changed[random() % changed.size()] = static_cast<char>(random() & 0xFF);
    const std::string sentence = refusal(changed);
    if (!sentence.empty()) CHECK_THAT(sentence, Contains("x.layout.json: "));
  }
}
