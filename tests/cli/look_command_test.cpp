// verdigrid look and survey --answers, as a program of its own.
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "drawn_board.h"
#include "photo/decode.h"
#include "tests/cli/program.h"
#include "tests/process.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

using Json = nlohmann::json;

// With the detector that takes no model; `lines` come through a pipe.
test::Outcome look(const fs::path& photo, const fs::path& folder, const std::string& lines) {
  return test::run({"/bin/sh", "-c",
                    "printf '" + lines + "' | '" + VERDIGRID_PROGRAM + "' look '" + photo.string() +
                        "' -o '" + folder.string() + "' --detector first-method --board-mm " +
                        test::k_board_mm});
}

Json answers_in(const fs::path& folder) {
  return Json::parse(test::text_of(folder / "review.json"))["answers"];
}

double area_px(const test::Outcome& survey) {
  double all = 0;
  const Json j = Json::parse(survey.out);
  for (const Json& f : j["findings"]) all += f["area_px"].get<double>();
  return all;
}

}  // namespace

TEST_CASE("a look takes answers from a pipe, keeps them, takes them back and goes on", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", test::Crusts::some);
  const fs::path folder = t.path() / "look";
  const test::Outcome first = look(photo, folder, "y copper-salt\\nhm\\nn\\nb\\nq\\n");
  CAPTURE(first.out, first.err);
  REQUIRE(first.code == 0);
  CHECK(fs::file_size(folder / "place-01.jpg") > 1000);
  CHECK(first.err.find("\"hm\" is no answer") != std::string::npos);
  REQUIRE(answers_in(folder).size() == 1);
  CHECK(answers_in(folder)[0]["answer"] == "yes");

  const test::Outcome second = look(photo, folder, "p 20,20\\np 9999,1\\n");
  CAPTURE(second.out, second.err);
  REQUIRE(second.code == 0);
  CHECK(second.err.find("no point X,Y of the photo") != std::string::npos);
  CHECK(answers_in(folder).size() == 2);
}

TEST_CASE("survey --review takes changes by hand in to the pixel and leaves the survey alone",
          "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", test::Crusts::none);
  REQUIRE(look(photo, t.path() / "look", "p 20,20\\nq\\n").code == 0);
  Json review = Json::parse(test::text_of(t.path() / "look/review.json"));
  review["answers"] = Json::array();
  const auto rectangle = [](double x, double y, double width, double height) {
    return Json::array(
        {{{"outer", {{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}}},
          {"holes", Json::array()}}});
  };
  const auto survey_with = [&](const Json& edits) {
    review["edits"] = edits;
    write_file(t.path() / "review.json", review.dump());
    return test::run({VERDIGRID_PROGRAM, "survey", photo.string(), "--detector", "first-method",
                      "--json", "--board-mm", test::k_board_mm, "--review",
                      (t.path() / "review.json").string()});
  };
  const test::Outcome untouched = survey_with(Json::array());
  CAPTURE(untouched.err);
  REQUIRE(untouched.code == 0);
  const double before = area_px(untouched);
  // 100 x 50 whole pixels drawn, then half of them rubbed out.
  Json edits = Json::array({{{"edit", "draw"},
                             {"class", "white-salt"},
                             {"after_answers", 0},
                             {"region_px", rectangle(299.5, 199.5, 100, 50)}}});
  const test::Outcome drawn = survey_with(edits);
  CAPTURE(drawn.err);
  REQUIRE(drawn.code == 0);
  CHECK(area_px(drawn) - before == 5000);
  CHECK(drawn.out.find("white-salt") != std::string::npos);
  edits.push_back({{"edit", "erase"},
                   {"class", nullptr},
                   {"after_answers", 0},
                   {"region_px", rectangle(299.5, 199.5, 50, 50)}});
  const test::Outcome erased = survey_with(edits);
  REQUIRE(erased.code == 0);
  CHECK(area_px(erased) - before == 2500);
  CHECK(Json::parse(erased.out)["review"]["edits"] == 2);

  edits.push_back({{"edit", "paint"}, {"class", nullptr}, {"after_answers", 0}});
  const test::Outcome refused = survey_with(edits);
  CHECK(refused.code == 3);
  CHECK(refused.err.find("paint") != std::string::npos);
}

TEST_CASE("no to every place empties the survey that uses the answers", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", test::Crusts::some);
  std::string no;
  for (int i = 0; i < 40; ++i) no += "n\\n";
  const test::Outcome looked = look(photo, t.path() / "look", no);
  CAPTURE(looked.out, looked.err);
  REQUIRE(looked.code == 0);
  CHECK(looked.out.find("nothing left above") != std::string::npos);
  const auto survey = [&](std::vector<std::string> more) {
    more.insert(more.begin(), {VERDIGRID_PROGRAM, "survey", photo.string(), "--detector",
                               "first-method", "--json", "--board-mm", test::k_board_mm});
    return test::run(more);
  };
  const std::string review = (t.path() / "look/review.json").string();
  const test::Outcome plain = survey({}), taught = survey({"--answers", review});
  REQUIRE(plain.code == 0);
  REQUIRE(taught.code == 0);
  CHECK(area_px(plain) > 0);
  CHECK(area_px(taught) < 0.2 * area_px(plain));

  const fs::path other = test::write_board(t.path() / "other.png", test::Crusts::none);
  const test::Outcome refused = test::run({VERDIGRID_PROGRAM, "survey", other.string(), "--answers",
                                           review, "--detector", "first-method"});
  CHECK(refused.code == 3);
  CHECK(refused.err.find("another photo") != std::string::npos);
}

TEST_CASE("a look goes on from a survey folder with its photo beside it", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", test::Crusts::some);
  const fs::path survey = t.path() / "survey";
  REQUIRE(test::run({VERDIGRID_PROGRAM, "survey", photo.string(), "--detector", "first-method",
                     "--board-mm", test::k_board_mm, "-o", survey.string()})
              .code == 0);
  const auto look_at = [&](std::vector<std::string> more) {
    std::string words = "printf 'n\\n' | '" VERDIGRID_PROGRAM "' look";
    for (const std::string& word : more) words += " '" + word + "'";
    return test::run({"/bin/sh", "-c", words});
  };
  const fs::path folder = t.path() / "look";
  const auto from_survey = look_at({survey.string(), "-o", folder.string()});
  CAPTURE(from_survey.out, from_survey.err);
  REQUIRE(from_survey.code == 0);
  const auto from_photo = look(photo, t.path() / "look2", "n\\n");
  CHECK(from_survey.out == from_photo.out);  // the same map, the same places
  CHECK(answers_in(folder) == answers_in(t.path() / "look2"));

  CHECK(look_at({survey.string(), "-o", folder.string(), "--board-mm", "10x10"}).code == 2);
  CHECK(look_at({photo.string(), "-o", folder.string(), "--photo", photo.string()}).code == 2);
  fs::rename(photo, t.path() / "moved.png");
  const auto lost = look_at({survey.string(), "-o", folder.string()});
  CHECK(lost.code == 3);
  CHECK(lost.err.find("name it with --photo") != std::string::npos);
  CHECK(look_at(
            {survey.string(), "-o", folder.string(), "--photo", (t.path() / "moved.png").string()})
            .code == 0);
}

TEST_CASE("answers become training data when asked for", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", test::Crusts::some);
  const fs::path folder = t.path() / "taught";
  const auto looked =
      test::run({"/bin/sh", "-c",
                 "printf 'y copper-salt\\nn\\nq\\n' | '" VERDIGRID_PROGRAM "' look '" +
                     photo.string() + "' -o '" + (t.path() / "look").string() + "' --training '" +
                     folder.string() + "' --detector first-method --board-mm " + test::k_board_mm});
  CAPTURE(looked.out, looked.err);
  REQUIRE(looked.code == 0);
  const Json j = Json::parse(test::text_of(folder / "training.json"));
  CHECK(j["answers"].size() == 2);
  const cv::Mat copy = load_photo(folder / "photo.png").bgr, original = load_photo(photo).bgr;
  REQUIRE(copy.size() == original.size());
  CHECK(cv::norm(copy, original, cv::NORM_INF) == 0);
  CHECK(load_photo(folder / "labels.png").size_px() == original.size());
  CHECK(test::fits_schema(folder / "training.json", "training"));
}
