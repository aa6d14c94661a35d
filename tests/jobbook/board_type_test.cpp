#include "jobbook/board_type.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "jobbook/entities.h"
#include "photo/encode.h"
#include "tests/jobbook/scratch.h"

using namespace verdigrid;
using Catch::Matchers::WithinAbs;
using nlohmann::json;

namespace {

// A unit of the type with one arrival photo, surveyed once or more.
void add_unit(JobBook& book, const std::string& type, const std::vector<json>& surveys) {
  const std::string unit = book.put("received", {"", "unit", {}, to_body(Unit{})});
  const std::string board = book.put("board", {"", "board", unit, to_body(Board{"main", type})});
  const std::string photo =
      book.put("photo", {"", "photo", board, json{{"role", "arrival"}, {"side", "front"}}});
  for (const json& found : surveys)
    book.put("surveyed", {"", "survey", photo, json{{"found", found}}});
}

json at(const std::string& zone, double percent, const std::vector<std::string>& parts = {}) {
  return {{"zone", zone}, {"residue", "copper-salt"}, {"percent", percent}, {"parts", parts}};
}

}  // namespace

TEST_CASE("what was learned counts units, and only their newest survey") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const std::string type =
      book.put("type", {"", "board-type", {}, to_body(BoardType{"logger main board"})});
  add_unit(book, type,
           {json::array({at("A1", 50)}), json::array({at("B2", 4, {"C7"}), at("B2", 2)})});
  add_unit(book, type, {json::array({at("B2", 2, {"C7"}), at("C3", 1)})});
  add_unit(book, type, {json::array()});
  add_unit(book, "", {json::array({at("Z9", 99)})});
  const auto rows = learned_of(book, type);
  REQUIRE(rows.size() == 3);
  CHECK(rows[0].place == "B2");
  CHECK(rows[0].units_found == 2);
  CHECK(rows[0].units_seen == 3);
  CHECK_THAT(rows[0].mean_percent, WithinAbs(4, 1e-9));
  CHECK(rows[1].place == "C7");
  CHECK(rows[1].is_part);
}

TEST_CASE("a board-type sheet goes to another job book and is merged, twice without harm") {
  const Scratch s;
  JobBook one = JobBook::create(s.book(), fixed_options("one"));
  BoardType t{
      "logger main board", "B", "two-sided", {"C7 is printed the wrong way round"}, {"rail 5 V"}};
  t.good_pictures.push_back(one.add_file(jpeg_bytes(cv::Mat(8, 8, CV_8UC3, cv::Scalar(1, 2, 3)))));
  const std::string type = one.put("type", {"", "board-type", {}, to_body(t)});
  add_unit(one, type, {json::array({at("B2", 2)})});
  const std::string sheet = board_type_sheet(one, type);

  JobBookOptions options = fixed_options("two");
  options.random = [n = 77u]() mutable { return n = n * 1664525u + 1013904223u; };
  JobBook two = JobBook::create(s.folder / "two", options);
  CHECK(import_board_type(two, sheet, "sheet.json") == type);
  CHECK(import_board_type(two, sheet, "sheet.json") == type);
  add_unit(two, type, {json::array({at("B2", 4)})});
  const auto rows = learned_of(two, type);
  REQUIRE(rows.size() == 1);
  CHECK(rows[0].units_found == 2);
  CHECK(rows[0].units_seen == 2);
  CHECK(board_type_from(two.get(type).body).traps == t.traps);
  CHECK(board_type_from(two.get(type).body).good_pictures.size() == 1);

  // Back home: our own figures are not counted a second time.
  import_board_type(one, board_type_sheet(two, type), "back.json");
  CHECK(learned_of(one, type).front().units_seen == 2);
}

TEST_CASE("a foreign, damaged or newer sheet is refused") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  CHECK_THROWS_WITH(import_board_type(book, "{}", "a.json"),
                    Catch::Contains("a.json: is no board-type sheet"));
  CHECK_THROWS_WITH(
      import_board_type(book, R"({"format":"verdigrid-board-type","version":9})", "a.json"),
      Catch::Contains("newer program"));
  CHECK_THROWS_WITH(
      import_board_type(book, R"({"format":"verdigrid-board-type","version":1})", "a.json"),
      Catch::Contains("a field is missing"));
  const std::string type = book.put("type", {"", "board-type", {}, to_body(BoardType{"a"})});
  std::string sheet = board_type_sheet(book, type);
  sheet.replace(sheet.find("\"pictures\": []"), 14, "\"pictures\": [\"%%%\"]");
  CHECK_THROWS_WITH(import_board_type(book, sheet, "a.json"),
                    Catch::Contains("picture in it is damaged"));
}
