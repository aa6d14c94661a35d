#include "jobbook/entities.h"

#include <catch2/catch.hpp>

#include "base/error.h"

using namespace verdigrid;
using nlohmann::json;

TEST_CASE("a unit goes to its body and back") {
  Unit u;
  u.name = "field logger";
  u.items = 3;
  u.is_supply = true;
  u.received_by = Signature{"M. Muster", "2026-03-01T10:00:00Z"};
  u.battery = {Answer3::yes,
               "NiCd barrel",
               Answer3::yes,
               Answer3::no,
               "",
               {},
               Signature{"M. Muster", "2026-03-01T10:01:00Z"},
               "2026-03-02",
               3.6};
  u.nests = Answer3::yes;
  const json body = to_body(u);
  CHECK(to_body(unit_from(body)) == body);
  CHECK(unit_from(body).battery.volts == 3.6);
  CHECK(unit_from(body).received_by->who == "M. Muster");
  CHECK(unit_from(json::object()).state == "received");
}

TEST_CASE("a field of the wrong type or an unknown value is named") {
  CHECK_THROWS_WITH(unit_from({{"name", 7}}),
                    Catch::Contains("name: has a value of the wrong type"));
  CHECK_THROWS_WITH(unit_from({{"battery", {{"leaking", "maybe"}}}}),
                    Catch::Contains("battery.leaking: \"maybe\""));
  CHECK_THROWS_WITH(kept_photo_from({{"side", "top"}}), Catch::Contains("side"));
  CHECK_THROWS_AS(unit_from(json::array()), Error);
  Unit u;
  u.state = "somewhere";
  CHECK_THROWS_WITH(to_body(u), Catch::Contains("state: \"somewhere\""));
}

TEST_CASE("a battery that may keep data alive stays in until that is signed") {
  Battery b;
  b.fitted = Answer3::yes;
  CHECK_THAT(battery_removal_block(b), Catch::Contains("Nobody knows yet"));
  b.keeps_data = Answer3::yes;
  CHECK_THAT(battery_removal_block(b), Catch::Contains("read the data out first"));
  b.loss_accepted = Signature{"owner", "2026-03-01T10:00:00Z"};
  CHECK(battery_removal_block(b).empty());
  b.loss_accepted.reset();
  b.keeps_data = Answer3::no;
  CHECK(battery_removal_block(b).empty());
}

TEST_CASE("a unit nobody has asked about yet calls for every caution but the nests") {
  CHECK(cautions(Unit{}).size() == 3);
  Unit u;
  u.picture_tube = u.mains_capacitors = u.battery.fitted = u.nests = Answer3::no;
  CHECK(cautions(u).empty());
  u.picture_tube = Answer3::yes;
  CHECK_THAT(cautions(u).front(),
             Catch::Contains("qualified person") && Catch::Contains("local codes"));
}
