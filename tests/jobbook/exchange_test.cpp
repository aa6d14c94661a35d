#include "jobbook/exchange.h"

#include <catch2/catch.hpp>
#include <fstream>

#include "base/error.h"
#include "jobbook/entities.h"
#include "photo/encode.h"
#include "tests/jobbook/scratch.h"

using namespace verdigrid;
using nlohmann::json;
namespace fs = std::filesystem;

namespace {

// A whole JPEG with a name in a comment, as cameras and people leave them.
Bytes tagged_photo() {
  Bytes jpeg = jpeg_bytes(cv::Mat(8, 8, CV_8UC3, cv::Scalar(40, 90, 30)));
  const std::string comment = std::string("\xff\xfe\x00\x12", 4) + "W. Secretcamera\n";
  const auto* first = reinterpret_cast<const std::byte*>(comment.data());
  jpeg.insert(jpeg.begin() + 2, first, first + comment.size());
  return jpeg;
}

struct Filled {
  std::string unit, photo, sha;
};

Filled fill(JobBook& book) {
  Unit u;
  u.name = "field logger";
  u.owner = "W. Secretname";
  Filled f;
  f.unit = book.put("received", {"", "unit", {}, to_body(u)});
  const std::string board = book.put("board", {"", "board", f.unit, to_body(Board{"main board"})});
  const Bytes picture = tagged_photo();
  f.sha = book.add_file(picture);
  f.photo = book.put("photo", {"", "photo", board, to_body(KeptPhoto{f.sha, "front.jpg"})});
  return f;
}

void change_text(const fs::path& file, const std::string& from, const std::string& to) {
  std::ifstream in(file);
  std::string text{std::istreambuf_iterator<char>(in), {}};
  in.close();
  const size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  std::ofstream(file) << text.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("a unit goes out as a folder and into another job book, twice without harm") {
  const Scratch s;
  JobBookOptions one_second = fixed_options();
  one_second.now = [] { return std::string("2026-03-01T10:00:00Z"); };
  JobBook book = JobBook::create(s.book(), one_second);
  const Filled f = fill(book);
  export_unit(book, f.unit, s.folder / "out", OwnerData::include);
  JobBook other = JobBook::create(s.folder / "other", fixed_options("second"));
  const ImportedUnit first = import_unit(other, s.folder / "out");
  CHECK(first.new_records == 3);
  CHECK(first.files == 1);
  CHECK(other.get(f.photo).body == book.get(f.photo).body);
  CHECK(other.get(f.photo).unit == f.unit);
  CHECK(other.file(f.sha) == book.file(f.sha));
  CHECK(import_unit(other, s.folder / "out").known_records == 3);
  CHECK(other.faults().empty());
}

TEST_CASE("an export leaves out the owner unless asked") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const Filled f = fill(book);
  export_unit(book, f.unit, s.folder / "out", OwnerData::leave_out);
  std::ifstream in(s.folder / "out" / "unit.json");
  const std::string text{std::istreambuf_iterator<char>(in), {}};
  CHECK_THAT(text, !Catch::Contains("Secretname") && Catch::Contains("field logger") &&
                       !Catch::Contains(f.sha));
  for (const auto& entry : fs::directory_iterator(s.folder / "out" / "photos")) {
    const Bytes bytes = read_file(entry.path(), 100000);
    const std::string all(reinterpret_cast<const char*>(bytes.data()), bytes.size());
    CHECK_THAT(all, !Catch::Contains("Secretcamera"));
    CHECK_THAT(text, Catch::Contains(entry.path().filename().string()));
  }
  JobBook other = JobBook::create(s.folder / "other", fixed_options());
  CHECK(import_unit(other, s.folder / "out").files == 1);
  CHECK_THROWS_AS(export_unit(book, f.photo, s.folder / "x", OwnerData::include), Error);
}

TEST_CASE("a damaged, foreign or conflicting export imports nothing") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const Filled f = fill(book);
  const fs::path out = s.folder / "out";
  export_unit(book, f.unit, out, OwnerData::include);
  JobBook other = JobBook::create(s.folder / "other", fixed_options());

  SECTION("photo changed") {
    std::ofstream(out / "photos" / f.sha) << "other";
    CHECK_THROWS_WITH(import_unit(other, out), Catch::Contains("is damaged"));
  }
  SECTION("photo named outside the folder") {
    change_text(out / "unit.json", f.sha, "../../../etc/passwd");
    CHECK_THROWS_WITH(import_unit(other, out), Catch::Contains("is no SHA-256"));
  }
  SECTION("newer version") {
    change_text(out / "unit.json", "\"version\": 1", "\"version\": 2");
    CHECK_THROWS_WITH(import_unit(other, out), Catch::Contains("newer program"));
  }
  SECTION("not ours") {
    std::ofstream(out / "unit.json") << "{\"format\": \"something\"}";
    CHECK_THROWS_WITH(import_unit(other, out), Catch::Contains("no exported unit"));
  }
  SECTION("parent unknown") {
    change_text(out / "unit.json", "\"parent\": \"" + f.unit + "\"", "\"parent\": \"unit-none\"");
    CHECK_THROWS_WITH(import_unit(other, out), Catch::Contains("names no record before it"));
  }
  SECTION("conflict") {
    change_text(out / "unit.json", "field logger", "other logger");
    CHECK_THROWS_WITH(import_unit(book, out), Catch::Contains("differs"));
    CHECK(book.get(f.unit).body.at("name") == "field logger");
  }
  CHECK(other.of_kind("unit").empty());
}

TEST_CASE("a body may not name a file that is not stored") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  CHECK_THROWS_WITH(book.put("photo", {"", "photo", {}, json{{"sha256", std::string(64, 'a')}}}),
                    Catch::Contains("Add the file first"));
}
