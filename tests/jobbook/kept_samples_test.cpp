// A job book of every schema that was ever released opens here, whole, and can be written to.

#include <catch2/catch.hpp>

#include "jobbook/entities.h"
#include "jobbook/schema.h"
#include "jobbook/search.h"
#include "tests/jobbook/scratch.h"

using namespace verdigrid;
namespace fs = std::filesystem;

TEST_CASE("there is a kept sample of every schema and each opens with all that is in it") {
  for (int version = 1; version <= k_schema_version; ++version) {
    CAPTURE(version);
    const fs::path kept =
        fs::path(VERDIGRID_JOBBOOK_SAMPLES) / ("schema-" + std::to_string(version));
    REQUIRE(fs::exists(kept / "job-book.sqlite"));
    const Scratch s;
    fs::copy(kept, s.book());
    JobBook book = JobBook::open(s.book(), fixed_options());
    CHECK(schema_version(book.database()) == k_schema_version);
    CHECK(book.faults().empty());
    const auto units = book.of_kind("unit");
    REQUIRE(units.size() == 1);
    const Unit unit = unit_from(units[0].body);
    CHECK(unit.name == "field logger");
    CHECK(unit.owner == "A. Example");
    CHECK(unit.location == "shelf 3");
    CHECK(unit.battery.keeps_data == Answer3::yes);
    CHECK(book.children(units[0].id, "kit").size() == 1);
    CHECK(book.history(units[0].id).size() == 3);
    CHECK(search(book, {"logg", {}, {}, {}, {}}).size() == 1);
    Unit moved = unit;
    moved.location = "bench";
    book.put("moved", {units[0].id, "unit", {}, to_body(moved)});
    CHECK(unit_from(book.get(units[0].id).body).location == "bench");
  }
}
