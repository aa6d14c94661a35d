#include "plan/rate_table.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "base/error.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using nlohmann::json;

namespace {

json starting_document() { return json::parse(rate_table_json(starting_rates())); }

RateTable from(const json& document) { return rate_table_from_json(document.dump(), "rates.json"); }

}  // namespace

TEST_CASE("the starting table has every operation once and says that it is a start") {
  const RateTable table = starting_rates();
  for (const Operation o : operations()) {
    if (o == Operation::other) continue;
    const Rate& r = rate_of(table, o);
    CHECK(is_starting_value(r));
    CHECK_THAT(r.source, Contains("common practice"));
    for (const Triple& t : {r.sound, r.damaged}) {
      CHECK(0 < t.low);
      CHECK(t.low < t.likely);
      CHECK(t.likely < t.high);
    }
    CHECK(r.sound.likely <= r.damaged.likely);
    CHECK(operation_named(name(o)) == o);
  }
  CHECK(rate_of(table, Operation::repair_pad).waiting_min == 24 * 60);
  CHECK_THROWS_AS(rate_of(table, Operation::other), Error);
}

TEST_CASE("a rate table written and read again is the same") {
  RateTable table = starting_rates();
  table.currency = "kr";
  table.money_per_hour = 612.5;
  table.spread = SpreadKind::bounds;
  table.parts = {{"C12", 0.35}, {"100 uF", 0.2}};
  table.rates.front().learning_slope = 0.95;
  table.rates.front().consumables = 1.0 / 3;
  table.rates.front().source = "mine";
  CHECK(from(json::parse(rate_table_json(table))) == table);
}

TEST_CASE("a rate table that cannot be is refused by field") {
  const auto refused = [](const json& document, const char* path) {
    CHECK_THROWS_WITH(from(document), Contains(path));
  };
  json j = starting_document();
  j["rates"][2]["damaged_min"] = {5, 4, 3};
  refused(j, "rates[2].damaged_min");
  j = starting_document();
  j["rates"][0]["operation"] = "polish";
  refused(j, "rates[0].operation");
  j = starting_document();
  j["rates"].erase(3);
  refused(j, "replace-smd-can");
  j = starting_document();
  j["rates"].push_back(j["rates"][0]);
  refused(j, "2 rows");
  j = starting_document();
  j["money_per_hour"] = -1;
  refused(j, "money_per_hour");
  j = starting_document();
  j["rates"][0]["sound"] = 3;
  refused(j, "rates[0].sound");
  j = starting_document();
  j["version"] = 2;
  CHECK_THROWS_AS(from(j), Error);
  refused(j, "newer");
  CHECK_THROWS_WITH(rate_table_from_json("{", "rates.json"), Contains("rates.json"));
}

TEST_CASE("remarks name what looks wrong") {
  RateTable table = starting_rates();
  table.money_per_hour = 40;
  for (Rate& r : table.rates) r.source = "mine";
  CHECK(remarks(table).empty());
  table.rates[0].sound = {1, 1, 100};
  table.rates[3].damaged = {0.4, 1, 3};
  const auto list = remarks(table);
  REQUIRE(list.size() == 2);
  CHECK_THAT(list[0], Contains("photograph, sound"));
  CHECK_THAT(list[1], Contains("replace-smd-can: damaged takes less"));
  CHECK_THAT(remarks(starting_rates()).front(), Contains("starting values"));
}

TEST_CASE("methods are named with what is known of them") {
  CHECK(method_words(Operation::trace_by_wire) ==
        "IPC-7721 4.2.4, skill Intermediate, conformance Medium");
  CHECK_THAT(method_words(Operation::repair_pad), Contains("from memory"));
  CHECK(method_words(Operation::dry) == "no published method");
}
