#include "measure/survey_file.h"

#include <catch2/catch.hpp>
#include <clocale>
#include <locale>
#include <nlohmann/json.hpp>

#include "base/error.h"
#include "base/sha256.h"
#include "tests/measure/sample_survey.h"
#include "tests/process.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using nlohmann::json;
namespace fs = std::filesystem;

namespace {

// A folder of its own per test, gone afterwards.
struct Scratch {
  fs::path path;
  explicit Scratch(const std::string& name)
      : path(fs::temp_directory_path() / ("verdigrid_survey_" + name)) {
    fs::remove_all(path);
    fs::create_directories(path);
  }
  ~Scratch() { fs::remove_all(path); }
};

bool is_equal(const cv::Mat& a, const cv::Mat& b) {
  return a.size() == b.size() && a.type() == b.type() &&
         (a.empty() || cv::norm(a, b, cv::NORM_L1) == 0);
}

std::string text_of(const fs::path& path) {
  const Bytes bytes = read_file(path, 1 << 24);
  return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

// What loading says after `change` was made to the JSON of the sample.
template <class Change>
Error refusal_after(const std::string& name, Change change) {
  const Scratch folder(name);
  write_survey(folder.path, survey_files(sample_survey()));
  json j = json::parse(text_of(folder.path / "survey.json"));
  change(j);
  write_file(folder.path / "survey.json", j.dump());
  try {
    load_survey(folder.path);
  } catch (const Error& e) {
    return e;
  }
  return {ErrorKind::internal, "loaded without complaint"};
}

}  // namespace

TEST_CASE("a survey saved and loaded again is equal in every value and every byte") {
  for (const Survey& s : {sample_survey(), empty_survey()}) {
    const Scratch folder("round_trip");
    const SurveyFiles files = survey_files(s);
    write_survey(folder.path, files);
    const Survey back = load_survey(folder.path);
    CHECK(is_equal(back.map.labels, s.map.labels));
    CHECK(is_equal(back.map.confidence, s.map.confidence));
    CHECK(is_equal(back.check.hidden, s.check.hidden));
    CHECK(is_equal(back.findings.finding_of_px, s.findings.finding_of_px));
    CHECK(back.zones == s.zones);
    CHECK(back.layout == s.layout);
    CHECK(back.sources == s.sources);
    CHECK(back.other_side == s.other_side);
    CHECK(back.photo.name == s.photo.name);
    CHECK(back.photo_size_px == s.photo_size_px);
    CHECK(back.options.measure.label_error == s.options.measure.label_error);
    CHECK(back.rectification.board_from_photo_px == s.rectification.board_from_photo_px);
    REQUIRE(back.findings.findings.size() == s.findings.findings.size());
    for (size_t i = 0; i < s.findings.findings.size(); ++i) {
      CHECK(back.findings.findings[i].confidence == s.findings.findings[i].confidence);
      CHECK(back.findings.findings[i].regions_px == s.findings.findings[i].regions_px);
    }
    const SurveyFiles again = survey_files(back);
    CHECK(again.json == files.json);
    CHECK(again.zones_csv == files.zones_csv);
    CHECK(again.pictures[0].bytes == files.pictures[0].bytes);
    CHECK(again.pictures[1].bytes == files.pictures[1].bytes);
  }
}

TEST_CASE("survey.json fits its schema, which refuses what loading refuses", "[slow]") {
  const Scratch folder("schema");
  const auto validated = [&](const std::string& json_text) {
    write_file(folder.path / "s.json", json_text);
    return test::run({"python3", VERDIGRID_SOURCE_DIR "/tests/schema.py",
                      VERDIGRID_SOURCE_DIR "/assets/schema/survey.schema.json",
                      (folder.path / "s.json").string()});
  };
  for (const Survey& s : {sample_survey(), empty_survey()}) {
    const test::Outcome outcome = validated(survey_files(s).json);
    INFO(outcome.out << outcome.err);
    CHECK(outcome.code == 0);
  }
  json j = json::parse(survey_files(sample_survey()).json);
  for (const char* field : {"/detector", "/board/unseen/total_percent", "/options/findings/tie"}) {
    const json without = j.patch({{{"op", "remove"}, {"path", field}}});
    CHECK(validated(without.dump()).code == 1);
  }
  j["board"]["mood"] = 1;
  CHECK(validated(j.dump()).code == 1);
}

TEST_CASE("survey.json names every picture with its SHA-256, also those for people") {
  const Bytes overlay{std::byte{1}, std::byte{2}};
  const Scratch folder("pictures");
  const SurveyFiles files = survey_files(sample_survey(), {{"overlay.jpg", overlay}});
  write_survey(folder.path, files);
  const json j = json::parse(files.json);
  REQUIRE(j["pictures"].size() == 3);
  for (const json& p : j["pictures"])
    CHECK(p["sha256"] ==
          sha256_hex(read_file(folder.path / p["file"].get<std::string>(), 1 << 24)));
  const Survey back = load_survey(folder.path / "survey.json");
  REQUIRE(back.pictures.size() == 1);
  CHECK(back.pictures[0] == PictureName{"overlay.jpg", sha256_hex(overlay)});
  CHECK(survey_files(back).json == files.json);
}

TEST_CASE("a wrong field is named by its path and nothing is loaded") {
  struct Case {
    const char* change;  // JSON patch, RFC 6902
    const char* path;
  };
  const Case cases[] = {
      {R"([{"op":"remove","path":"/detector"}])", "survey.json: detector: is missing"},
      {R"([{"op":"add","path":"/colour","value":1}])", "colour: is not a field"},
      {R"([{"op":"replace","path":"/format","value":"x"}])", "format: must be"},
      {R"([{"op":"replace","path":"/photo/size_px","value":[300,0]}])", "photo.size_px"},
      {R"([{"op":"replace","path":"/photo/size_px","value":[300.5,10]}])", "photo.size_px"},
      {R"([{"op":"replace","path":"/options/detector/setting","value":"loud"}])",
       "options.detector.setting: \"loud\" is none of show-less, normal, show-more"},
      {R"([{"op":"replace","path":"/rectification/way","value":"guess"}])", "rectification"},
      {R"([{"op":"replace","path":"/rectification/photo_size_px","value":[3,4]}])",
       "rectification"},
      {R"([{"op":"replace","path":"/photo_check/items/0/verdict","value":"fine"}])",
       "photo_check.items[0].verdict"},
      {R"([{"op":"replace","path":"/photo_check/hidden/runs","value":[0,1]}])",
       "photo_check.hidden.runs"},
      {R"([{"op":"replace","path":"/photo_check/hidden/runs","value":[0,-5]}])",
       "photo_check.hidden.runs"},
      {R"([{"op":"replace","path":"/board/affected/area/low","value":1e9}])",
       "board.affected.area.value"},
      {R"([{"op":"replace","path":"/squares/3/unseen/total_percent","value":101}])",
       "squares[3].unseen.total_percent"},
      {R"([{"op":"replace","path":"/squares/0/astm_d610","value":11}])", "squares[0].astm_d610"},
      {R"([{"op":"replace","path":"/grid/rows","value":0}])", "grid.rows"},
      {R"([{"op":"replace","path":"/findings/0/id","value":2}])", "findings[0].id"},
      {R"([{"op":"replace","path":"/findings/1/residue","value":"none"}])", "findings[1].residue"},
      {R"([{"op":"replace","path":"/findings/1/confidence","value":1.5}])",
       "findings[1].confidence"},
      {R"([{"op":"replace","path":"/findings/0/box_px","value":[290,0,20,5]}])",
       "findings[0].box_px"},
      {R"([{"op":"replace","path":"/findings/0/regions_px/0/outer/1","value":"x"}])",
       "findings[0].regions_px[0].outer[1]"},
      {R"([{"op":"replace","path":"/places/0/findings","value":[3]}])", "places[0].findings"},
      {R"([{"op":"replace","path":"/parts/1/reach","value":"maybe"}])",
       "parts[1].reach: \"maybe\" is none of not reached, near, touched"},
      {R"([{"op":"replace","path":"/parts/0/row/area","value":-1}])", "parts[0].row.area"},
      {R"([{"op":"replace","path":"/parts/0/joints_reached","value":9}])",
       "parts[0].joints_reached"},
      {R"([{"op":"replace","path":"/likely_sources/0/finding","value":99}])",
       "likely_sources[0].finding"},
      {R"([{"op":"remove","path":"/other_side/0/hole"}])", "other_side[0].hole: is missing"},
      {R"([{"op":"replace","path":"/options/measure/reach/land_mm","value":-1}])",
       "options.measure.reach.land_mm"},
      {R"([{"op":"replace","path":"/pictures/0/file","value":"../labels.png"}])",
       "pictures[0].file"},
      {R"([{"op":"remove","path":"/pictures/0"}])", "labels.png is not named"},
      {R"([{"op":"replace","path":"/pictures/1/sha256","value":"00"}])", "confidence.png"},
  };
  for (const Case& c : cases) {
    CAPTURE(c.change);
    const Error e =
        refusal_after("wrong_field", [&](json& j) { j = j.patch(json::parse(c.change)); });
    CHECK(e.kind() == ErrorKind::bad_input);
    CHECK_THAT(e.what(), Contains(c.path));
  }
}

TEST_CASE("a survey of a newer version is refused before its fields are judged") {
  const Error e = refusal_after("newer", [](json& j) {
    j["version"] = k_survey_version + 1;
    j["what comes next"] = true;
  });
  CHECK(e.kind() == ErrorKind::storage);
  CHECK_THAT(e.what(), Contains("newer"));
}

TEST_CASE("pictures that are not the survey's are refused") {
  const Scratch folder("other_pictures");
  const SurveyFiles files = survey_files(sample_survey());
  write_survey(folder.path, files);
  Bytes changed = files.pictures[0].bytes;
  changed[changed.size() / 2] ^= std::byte{4};
  write_file(folder.path / "labels.png", changed);
  CHECK_THROWS_WITH(load_survey(folder.path), Contains("labels.png") && Contains("SHA-256"));
  fs::remove(folder.path / "labels.png");
  CHECK_THROWS_WITH(load_survey(folder.path), Contains("labels.png"));
}

TEST_CASE("every cut of survey.json is refused in one sentence", "[slow]") {
  const Scratch folder("cut");
  const SurveyFiles files = survey_files(empty_survey());
  write_survey(folder.path, files);
  for (size_t n = 0; n + 2 < files.json.size(); n += 61) {
    write_file(folder.path / "survey.json", std::string_view(files.json).substr(0, n));
    CHECK_THROWS_WITH(load_survey(folder.path), Contains("survey.json: not JSON"));
  }
  write_file(folder.path / "survey.json", std::string_view(R"({"format": 1e999})"));
  CHECK_THROWS_WITH(load_survey(folder.path), Contains("survey.json"));
}

TEST_CASE("a missing folder is refused by name") {
  CHECK_THROWS_WITH(load_survey("/nowhere/at/all"), Contains("/nowhere/at/all"));
}

TEST_CASE("files keep their decimal point under a comma locale") {
  struct CommaPoint : std::numpunct<char> {
    char do_decimal_point() const override { return ','; }
    char do_thousands_sep() const override { return '.'; }
    std::string do_grouping() const override { return "\3"; }
  };
  const SurveyFiles plain = survey_files(sample_survey());
  // C++ streams take the facet always; the C library only where such a locale is installed.
  const std::locale before = std::locale::global(std::locale(std::locale(), new CommaPoint));
  const char* const c_locale = std::setlocale(LC_ALL, "de_DE.UTF-8");
  const SurveyFiles other = survey_files(sample_survey());
  const Scratch folder("locale");
  write_survey(folder.path, other);
  const Survey back = load_survey(folder.path);
  std::locale::global(before);
  std::setlocale(LC_ALL, "C");
  INFO("C library locale: " << (c_locale ? c_locale : "not installed"));
  CHECK(other.json == plain.json);
  CHECK(other.zones_csv == plain.zones_csv);
  CHECK(back.zones == sample_survey().zones);
}

TEST_CASE("the names for a new folder are those that are written") {
  const std::vector<std::string> names = survey_file_names();
  const Scratch folder("names");
  write_survey(folder.path, survey_files(sample_survey(), {{"overlay.jpg", {std::byte{1}}},
                                                           {"places.jpg", {std::byte{1}}}}));
  size_t n = 0;
  for (const auto& entry : fs::directory_iterator(folder.path)) {
    CHECK(std::count(names.begin(), names.end(), entry.path().filename().string()) == 1);
    ++n;
  }
  CHECK(n == names.size());
}
