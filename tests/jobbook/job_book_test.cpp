#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "base/error.h"
#include "jobbook/entities.h"
#include "jobbook/schema.h"
#include "tests/jobbook/scratch.h"

using namespace verdigrid;
using nlohmann::json;
namespace fs = std::filesystem;

namespace {

json unit_named(const std::string& name) {
  Unit u;
  u.name = name;
  return to_body(u);
}

std::string whole_folder_text(const fs::path& folder) {
  std::ostringstream all;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    if (entry.is_regular_file()) all << std::ifstream(entry.path(), std::ios::binary).rdbuf();
  return all.str();
}

}  // namespace

TEST_CASE("a record put in comes back after reopening") {
  const Scratch s;
  std::string id;
  {
    JobBook book = JobBook::create(s.book(), fixed_options());
    id = book.put("received", {"", "unit", {}, unit_named("field logger")});
  }
  const JobBook book = JobBook::open(s.book(), fixed_options());
  CHECK(unit_from(book.get(id).body).name == "field logger");
  CHECK(book.get(id).unit == id);
  CHECK(book.faults().empty());
}

TEST_CASE("a job book is not made twice and not opened where there is none") {
  const Scratch s;
  CHECK_THROWS_WITH(JobBook::open(s.book(), fixed_options()), Catch::Contains("is no job book"));
  { const JobBook book = JobBook::create(s.book(), fixed_options()); }
  CHECK_THROWS_WITH(JobBook::create(s.book(), fixed_options()),
                    Catch::Contains("holds a job book already"));
}

TEST_CASE("all edits of a change happen or none") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const std::vector<Edit> edits{{"", "unit", {}, unit_named("a")},
                                {"", "board", "board-nowhere", json::object()}};
  CHECK_THROWS_AS(book.change("two at once", edits), Error);
  CHECK(book.of_kind("unit").empty());
  CHECK_FALSE(book.last_step());
}

TEST_CASE("undo after do gives an equal record, and doing again by undoing the undo") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const std::string unit = book.put("received", {"", "unit", {}, unit_named("a")});
  const std::string board =
      book.put("board", {"", "board", unit, to_body(Board{"main board", "", "", "", ""})});
  const Record before = book.get(board);
  json renamed = before.body;
  renamed["name"] = "memory card";
  book.put("renamed", {board, "board", unit, renamed});
  const auto step = book.last_step();
  REQUIRE(step);
  book.undo(*step);
  CHECK(book.get(board).body == before.body);

  book.put("removed", {board, "board", unit, std::nullopt});
  CHECK_FALSE(book.find(board));
  book.undo(*book.last_step());
  CHECK(book.get(board).body == before.body);
  CHECK(book.get(board).made_at == before.made_at);
  CHECK(book.get(board).unit == unit);
}

TEST_CASE("a step is not undone over later changes of the same record") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const std::string unit = book.put("received", {"", "unit", {}, unit_named("a")});
  book.put("renamed", {unit, "unit", {}, unit_named("b")});
  CHECK_THROWS_WITH(book.undo(1), Catch::Contains("changed again after it"));
  CHECK_THROWS_WITH(book.undo(77), Catch::Contains("no step 77"));
}

TEST_CASE("steps on one record are taken back one after the other") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const std::string unit = book.put("received", {"", "unit", {}, unit_named("a")});
  for (const char* name : {"b", "c", "d"})
    book.put("renamed", {unit, "unit", {}, unit_named(name)});
  for (const char* name : {"c", "b", "a"}) {
    book.undo(*book.last_step());
    CHECK(book.get(unit).body == unit_named(name));
  }
  CHECK_THROWS_AS(book.undo(3), Error);  // taken back once already, and so was what it built on
}

TEST_CASE("the history says who, when and what") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options("M. Muster"));
  const std::string unit = book.put("received", {"", "unit", {}, unit_named("a")});
  book.put("renamed", {unit, "unit", {}, unit_named("b")});
  const auto history = book.history(unit);
  REQUIRE(history.size() == 2);
  CHECK(history[1].who == "M. Muster");
  CHECK(history[1].what == "renamed");
  CHECK(history[1].before->at("name") == "a");
  CHECK(history[1].after->at("name") == "b");
  CHECK(history[0].at < history[1].at);
}

TEST_CASE("a record with others below it is not removed") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const std::string unit = book.put("received", {"", "unit", {}, unit_named("a")});
  book.put("board", {"", "board", unit, json::object()});
  CHECK_THROWS_WITH(book.put("removed", {unit, "unit", {}, std::nullopt}),
                    Catch::Contains("Remove those first"));
}

TEST_CASE("stored photos are verified: a damaged or missing one is found and named") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const std::string a = book.add_file(bytes_of("picture a")),
                    b = book.add_file(bytes_of("picture b"));
  CHECK(book.faults().empty());
  std::ofstream(book.photos().path_of(a), std::ios::binary) << "picture x";
  fs::remove(book.photos().path_of(b));
  const auto faults = book.faults();
  REQUIRE(faults.size() == 2);
  const std::string all = faults[0].what + faults[1].what;
  CHECK_THAT(all, Catch::Contains(a) && Catch::Contains(b) && Catch::Contains("damaged") &&
                      Catch::Contains("missing"));
  CHECK_THROWS_AS(book.file(a), Error);
  book.add_file(bytes_of("picture a"));
  CHECK(book.faults().size() == 1);
}

TEST_CASE("hostile text in every field comes back as it was and harms nothing") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options("x'; DROP TABLE record; --"));
  std::string long_text(100000, 'q');
  for (const std::string text :
       {"'; DROP TABLE record; --", "\"quoted\" \\ back\nnew\ttab", "<script>alert(1)</script>",
        "\xE2\x80\xAE right to left", "emoji \xF0\x9F\x94\x8B", "%s%n{}", long_text.c_str()}) {
    Unit u;
    u.name = u.owner = u.serial = u.smell = u.battery.kind = text;
    const std::string id = book.put(text, {"", "unit", {}, to_body(u)});
    const Unit back = unit_from(book.get(id).body);
    CHECK(back.name == text);
    CHECK(back.battery.kind == text);
    CHECK(book.history(id).front().what == text);
  }
  CHECK(book.faults().empty());
}

TEST_CASE("removing owner data leaves no trace of it in any file, keeps the rest, and is logged") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  Unit u;
  u.name = "field logger";
  u.owner = "Wilhelmine Secretname";
  u.owner_contact = "0123-UNIQUECONTACT";
  const std::string id = book.put("received", {"", "unit", {}, to_body(u)});
  u.state = "surveyed";
  book.put("surveyed", {id, "unit", {}, to_body(u)});
  CHECK_THAT(whole_folder_text(s.book()), Catch::Contains("Secretname"));
  book.forget_owner(id);
  const std::string all = whole_folder_text(s.book());
  CHECK_THAT(all, !Catch::Contains("Secretname") && !Catch::Contains("UNIQUECONTACT"));
  CHECK(unit_from(book.get(id).body).name == "field logger");
  CHECK(book.history(id).back().what == "owner data removed");
  CHECK(book.faults().empty());
}

TEST_CASE("a backup is a whole job book of its own") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const std::string sha = book.add_file(bytes_of("picture"));
  const std::string id = book.put("received", {"", "unit", {}, unit_named("a")});
  book.backup(s.folder / "copy");
  const JobBook copy = JobBook::open(s.folder / "copy", fixed_options());
  CHECK(copy.get(id).body == book.get(id).body);
  CHECK(copy.file(sha) == book.file(sha));
  CHECK(copy.faults().empty());
  CHECK_THROWS_WITH(book.backup(s.folder / "copy"), Catch::Contains("exists already"));
}

TEST_CASE("a newer schema is refused and left as it is") {
  const Scratch s;
  { const JobBook book = JobBook::create(s.book(), fixed_options()); }
  {
    Database db(s.book() / "job-book.sqlite", Open::existing);
    db.run("PRAGMA user_version=99");
  }
  CHECK_THROWS_WITH(JobBook::open(s.book(), fixed_options()), Catch::Contains("newer program"));
  Database db(s.book() / "job-book.sqlite", Open::existing);
  CHECK(schema_version(db) == 99);
}

TEST_CASE("two open job books see each other's changes") {
  const Scratch s;
  JobBook one = JobBook::create(s.book(), fixed_options("one"));
  JobBook two = JobBook::open(s.book(), fixed_options("two"));
  const std::string id = one.put("received", {"", "unit", {}, unit_named("a")});
  two.put("renamed", {id, "unit", {}, unit_named("b")});
  CHECK(unit_from(one.get(id).body).name == "b");
}
