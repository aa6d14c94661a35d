#include "jobbook/search.h"

#include <catch2/catch.hpp>

#include "jobbook/entities.h"
#include "tests/jobbook/scratch.h"

using namespace verdigrid;
using nlohmann::json;

TEST_CASE("records are found by the beginning of any word, by state, class, zone and part") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  Unit u;
  u.name = "Wetterstation Süd";
  u.state = "surveyed";
  const std::string unit = book.put("received", {"", "unit", {}, to_body(u)});
  u.name = "bench supply";
  u.state = "received";
  book.put("received", {"", "unit", {}, to_body(u)});
  const json found = {
      {"found", {{{"residue", "copper-salt"}, {"zone", "C6"}, {"parts", {"U7", "C12"}}}}}};
  const std::string survey = book.put("surveyed", {"", "survey", unit, found});

  const auto only = [&book](const SearchQuery& q) {
    const auto hits = search(book, q);
    return hits.size() == 1 ? hits[0].id : std::to_string(hits.size()) + " hits";
  };
  CHECK(only({"wetter"}) == unit);
  CHECK(only({"sud wetter"}) == unit);
  CHECK(only({"", "surveyed"}) == unit);
  CHECK(only({"", "", "copper-salt"}) == survey);
  CHECK(only({"", "", "", "C6"}) == survey);
  CHECK(only({"", "", "", "", "U7"}) == survey);
  CHECK(only({"", "", "copper-salt", "B1"}) == "0 hits");
  CHECK(search(book, {}).empty());
  CHECK(search(book, {"\" OR ( NEAR * ^ : -"}).empty());
  book.put("removed", {survey, "survey", unit, std::nullopt});
  CHECK(only({"", "", "copper-salt"}) == "0 hits");
}
