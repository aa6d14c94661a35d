// The built program, run as a person runs it.

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>

#include "tests/cli/drawn_board.h"
#include "tests/process.h"

using namespace verdigrid;
using test::Crusts;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

const std::set<std::string> k_names{"survey.json",    "zones.csv",   "labels.png",
                                    "confidence.png", "overlay.jpg", "places.jpg"};

test::Outcome verdigrid_run(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), VERDIGRID_PROGRAM);
  return test::run(arguments);
}

// With the detector that takes no model and little time.
test::Outcome survey_run(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), {"survey", "--detector", "first-method"});
  return verdigrid_run(arguments);
}

std::set<std::string> names_in(const fs::path& folder) {
  std::set<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder))
    names.insert(entry.path().filename().string());
  return names;
}

long line_count(const std::string& text) { return std::count(text.begin(), text.end(), '\n'); }

}  // namespace

TEST_CASE("a survey of a drawn board writes its six files and a summary of ten lines", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::some);
  const fs::path out = t.path() / "deeper" / "survey";
  const test::Outcome ran =
      survey_run({photo.string(), "--board-mm", test::k_board_mm, "-o", out.string()});
  CAPTURE(ran.err);
  REQUIRE(ran.code == 0);
  CHECK(names_in(out) == k_names);
  CHECK(names_in(out.parent_path()) == std::set<std::string>{"survey"});
  CHECK(line_count(ran.out) >= 5);
  CHECK(line_count(ran.out) <= 10);

  const Json survey = Json::parse(test::text_of(out / "survey.json"));
  CHECK(survey["format"] == "verdigrid-survey");
  CHECK(survey["grid"]["columns"] == 8);
  CHECK(survey["grid"]["rows"] == 6);
  // A pixel more or less at both ends of 800 px.
  CHECK(survey["rectification"]["px_per_mm"]["value"].get<double>() == Approx(5).epsilon(0.005));
  CHECK(survey["findings"].size() > 0);
  CHECK(survey["board"]["affected"]["area"]["value"].get<double>() > 10);
}

TEST_CASE("the same survey is the same to the byte", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::some);
  for (const char* name : {"a", "b"})
    REQUIRE(survey_run({photo.string(), "-o", (t.path() / name).string()}).code == 0);
  for (const std::string& name : k_names) {
    CAPTURE(name);
    CHECK(test::text_of(t.path() / "a" / name) == test::text_of(t.path() / "b" / name));
  }
}

TEST_CASE("the option --json prints the survey and nothing else", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::some);
  const test::Outcome ran =
      survey_run({photo.string(), "--json", "-o", (t.path() / "out").string()});
  REQUIRE(ran.code == 0);
  const Json printed = Json::parse(ran.out);
  CHECK(printed == Json::parse(test::text_of(t.path() / "out" / "survey.json")));
}

TEST_CASE("a survey without findings clears nothing", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::none);
  const test::Outcome ran = survey_run({photo.string(), "--board-mm", test::k_board_mm, "--setting",
                                        "show-less", "-o", (t.path() / "out").string()});
  CAPTURE(ran.out, ran.err);
  REQUIRE(ran.code == 0);
  CHECK(ran.out.find("not a clearance") != std::string::npos);
  CHECK(ran.out.find("unseen") != std::string::npos);
  const std::regex clearance("\\b(clean|safe|ok|okay|fine|cleared|all clear)\\b",
                             std::regex::icase);
  CHECK_FALSE(std::regex_search(ran.out + ran.err, clearance));
  CHECK(Json::parse(test::text_of(t.path() / "out" / "survey.json"))["findings"].empty());
}

TEST_CASE("messages carry no progress signs when they go to a file", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::some, 12);
  const test::Outcome ran = survey_run({photo.string()});
  REQUIRE(ran.code == 0);
  CHECK(ran.err.find('\r') == std::string::npos);
  CHECK(ran.err.find('\x1b') == std::string::npos);
}

TEST_CASE("without a folder nothing is written", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::none);
  CHECK(survey_run({photo.string()}).code == 0);
  CHECK(names_in(t.path()) == std::set<std::string>{"board.png"});
}

TEST_CASE("an older survey is replaced, a folder with anything else is not", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::none);
  const std::vector<std::string> command{photo.string(), "-o", (t.path() / "out").string()};
  REQUIRE(survey_run(command).code == 0);
  REQUIRE(survey_run(command).code == 0);
  CHECK(names_in(t.path() / "out") == k_names);
  write_file(t.path() / "out" / "review.json", "{}");
  const test::Outcome kept = survey_run(command);
  CHECK(kept.code == 6);
  CHECK(kept.err.find("review.json") != std::string::npos);
  CHECK(fs::exists(t.path() / "out" / "review.json"));
}

TEST_CASE("paths with spaces, umlauts and bytes that are not UTF-8 work", "[cli]") {
  const test::TemporaryFolder t;
  const std::string name = GENERATE("my board.png", "Plätinen-Rückseite.png", "\xff\xfe board.png");
  const fs::path folder = t.path() / "Ordner mit \xc3\xa4";
  fs::create_directories(folder);
  const fs::path photo = test::write_board(folder / name, Crusts::some);
  const test::Outcome ran = survey_run({photo.string(), "-o", (folder / "out put").string()});
  CAPTURE(ran.err);
  CHECK(ran.code == 0);
  CHECK(names_in(folder / "out put") == k_names);
  CHECK_NOTHROW(Json::parse(test::text_of(folder / "out put" / "survey.json")));
}

TEST_CASE("a kept rectification gives a second photo the same scale", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::some);
  const std::string kept = (t.path() / "kept.json").string();
  REQUIRE(survey_run({photo.string(), "--board-mm", test::k_board_mm, "--keep-rectification", kept})
              .code == 0);
  const test::Outcome again = survey_run({photo.string(), "--rectification", kept, "--json"});
  REQUIRE(again.code == 0);
  CHECK(Json::parse(again.out)["rectification"] == Json::parse(test::text_of(kept)));
}

TEST_CASE("a photo check says what to reshoot and ends with 0", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::some, 2);
  const test::Outcome text =
      verdigrid_run({"check", photo.string(), "--board-mm", test::k_board_mm});
  CHECK(text.code == 0);
  CHECK(text.out.starts_with("board.png: reshoot"));  // 2 px per mm shows no 0.3 mm
  const test::Outcome json =
      verdigrid_run({"check", photo.string(), "--board-mm", test::k_board_mm, "--json"});
  CHECK(json.code == 0);
  CHECK(Json::parse(json.out)["verdict"] == "reshoot");
}

TEST_CASE("the parts of the --corners way fit together", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::some);
  // The board lies 12 mm inside the frame: 60 px at 5 px per mm, borders at half pixels.
  const test::Outcome ran =
      survey_run({photo.string(), "--board-mm", test::k_board_mm, "--corners", "59.5,59.5",
                  "859.5,59.5", "859.5,559.5", "59.5,559.5", "--json"});
  CAPTURE(ran.err);
  REQUIRE(ran.code == 0);
  const Json r = Json::parse(ran.out)["rectification"];
  CHECK(r["way"] == "board-size-corners");
  CHECK(r["px_per_mm"]["value"].get<double>() == Approx(5).epsilon(0.002));
}

TEST_CASE("the scale card is a PDF of one page, and an existing file is kept", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path card = t.path() / "card.pdf";
  const std::string paper = GENERATE("a4", "letter");
  REQUIRE(verdigrid_run({"card", "-o", card.string(), "--paper", paper}).code == 0);
  CHECK(test::text_of(card).starts_with("%PDF-"));
  CHECK(names_in(t.path()) == std::set<std::string>{"card.pdf"});
  const test::Outcome pages = test::run({"pdfinfo", card.string()});
  REQUIRE(pages.code == 0);
  // 210 x 297 mm and 8.5 x 11 inch in 1/72 inch.
  const char* size = paper == "a4" ? "595.276 x 841.89 pts" : "612 x 792 pts";
  CHECK(pages.out.find(size) != std::string::npos);
  CHECK(std::regex_search(pages.out, std::regex("Pages: +1\n")));

  write_file(card, "mine");
  const test::Outcome kept = verdigrid_run({"card", "-o", card.string()});
  CHECK(kept.code == 2);
  CHECK(kept.err.find("--replace") != std::string::npos);
  CHECK(test::text_of(card) == "mine");
  CHECK(verdigrid_run({"card", "-o", card.string(), "--replace"}).code == 0);
  CHECK(verdigrid_run({"card", "-o", (t.path() / "card.txt").string()}).code == 2);
  CHECK(verdigrid_run({"card", "-o", (t.path() / "none/card.pdf").string()}).code == 6);
}

TEST_CASE("a survey uses the trained detector and says when it cannot", "[cli][slow]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::some, 3);
  const test::Outcome trained = verdigrid_run({"survey", photo.string(), "--json"});
  REQUIRE(trained.code == 0);
  CHECK_FALSE(Json::parse(trained.out)["detector"].get<std::string>().starts_with("first-method"));

  // A copy of the program that has no models beside it.
  fs::copy_file(VERDIGRID_PROGRAM, t.path() / "verdigrid");
  const test::Outcome alone =
      test::run({(t.path() / "verdigrid").string(), "survey", photo.string(), "--json"});
  REQUIRE(alone.code == 0);
  CHECK(Json::parse(alone.out)["detector"].get<std::string>().starts_with("first-method"));
  CHECK(alone.err.find("residue.json") != std::string::npos);
  // Of two photos it is said once.
  const fs::path later = test::write_board(t.path() / "later.png", Crusts::none, 3);
  const test::Outcome compared =
      test::run({(t.path() / "verdigrid").string(), "compare", photo.string(), later.string(),
                 "--board-mm", test::k_board_mm, "-o", (t.path() / "compared").string()});
  const size_t said = compared.err.find("residue.json");
  REQUIRE(said != std::string::npos);
  CHECK(compared.err.find("residue.json", said + 1) == std::string::npos);

  const test::Outcome with_data =
      test::run({(t.path() / "verdigrid").string(), "survey", photo.string(), "--json", "--data",
                 fs::path(VERDIGRID_PROGRAM).parent_path().string()});
  REQUIRE(with_data.code == 0);
  CHECK(Json::parse(with_data.out)["detector"] == Json::parse(trained.out)["detector"]);

  const test::Outcome named = verdigrid_run({"survey", photo.string(), "--model", "/nowhere.json"});
  CHECK(named.code == 3);
  CHECK(named.out.empty());
}

TEST_CASE("regions given to another program and taken back measure the same", "[cli][slow]") {
  const test::TemporaryFolder t;
  const auto at = [&](const char* name) { return (t.path() / name).string(); };
  test::write_board(t.path() / "board.png", Crusts::some);
  REQUIRE(survey_run({at("board.png"), "--board-mm", test::k_board_mm, "-o", at("a")}).code == 0);
  REQUIRE(verdigrid_run({"export", at("a"), "-o", at("f.json")}).code == 0);
  // Drawn anew on a survey that is told to show less, so that little or nothing is flagged by it.
  REQUIRE(survey_run({at("board.png"), "--board-mm", test::k_board_mm, "--setting", "show-less",
                      "-o", at("less")})
              .code == 0);
  const test::Outcome read =
      verdigrid_run({"import", at("f.json"), "--survey", at("less"), "-o", at("review.json")});
  CAPTURE(read.err);
  REQUIRE(read.code == 0);
  REQUIRE(survey_run({at("board.png"), "--board-mm", test::k_board_mm, "--setting", "show-less",
                      "--review", at("review.json"), "-o", at("b")})
              .code == 0);
  const auto affected_px = [&](const char* folder) {
    return Json::parse(test::text_of(t.path() / folder / "survey.json"))["board"]["affected"]["px"]
        .get<long>();
  };
  CHECK(affected_px("a") > 100);
  CHECK(affected_px("b") == affected_px("a"));
  CHECK(verdigrid_run({"import", at("board.png"), "--survey", at("a"), "-o", at("x.json")}).code ==
        3);
}
