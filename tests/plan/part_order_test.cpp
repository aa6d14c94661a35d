#include "plan/part_order.h"

#include <catch2/catch.hpp>

#include "tests/plan/facts.h"

using namespace verdigrid;

namespace {

NeededPart needed(const std::string& designator, const PartSpec& spec) {
  NeededPart p;
  p.unit = "unit-1", p.unit_name = "logger", p.board = "board-1", p.board_name = "main";
  p.designator = designator;
  p.spec = spec;
  p.currency = "EUR";
  return p;
}

const PartSpec k_can{PartKind::aluminium_radial, "100 uF", 16, 6.3, 11, 2.5};

}  // namespace

TEST_CASE("one value has one spelling, and what is no capacitance stays as it is") {
  for (const char* text : {"100uF", "100 uF",
                           " 100 \xC2\xB5"
                           "F",
                           "0.1mF", "100u", "100uF/16V", "100000 nF"})
    CHECK(plain_value(text) == "100 uF");
  CHECK(plain_value("4.7u") == "4.7 uF");
  CHECK(plain_value("22nF") == "22 nF");
  CHECK(plain_value("330p") == "330 pF");
  CHECK(plain_value("0.1 uF") == "0.1 uF");
  CHECK(plain_value("10k") == "10k");
  CHECK(plain_value("BC547") == "BC547");
  CHECK(plain_value("100") == "100");
}

TEST_CASE("sizes come from package names and from the part as it lies in the layout") {
  const auto of = [](const char* package, const char* rating = "") {
    return spec_of({"C1", PartKind::aluminium_radial, "100uF", rating, package});
  };
  const PartSpec radial = of("CP_Radial_D10.0mm_P5.00mm", "16 V, 105 C");
  CHECK(radial.diameter_mm == 10);
  CHECK(radial.spacing_mm == 5);
  CHECK(radial.height_mm == 0);
  CHECK(radial.volts == 16);
  const PartSpec chip = of("CP_Elec_6.3x7.7", "6.3V");
  CHECK(chip.diameter_mm == Approx(6.3));
  CHECK(chip.height_mm == Approx(7.7));
  CHECK(chip.volts == Approx(6.3));
  CHECK(of("something").diameter_mm == 0);
  Part lying;
  lying.shape = BodyShape::round;
  lying.body = {8, 8};
  lying.joints = {{"1", {10, 10}, 1, true}, {"2", {13.5, 10}, 1, true}};
  const PartSpec seen =
      spec_of({"C1", PartKind::aluminium_radial, "100uF/25V", "", "own name"}, &lying);
  CHECK(seen.diameter_mm == 8);
  CHECK(seen.spacing_mm == Approx(3.5));
  CHECK(seen.volts == 25);
  CHECK(missing_words(seen) == "height");
}

TEST_CASE("a higher voltage and a smaller body fit, nothing unknown and nothing else does") {
  CHECK(misfit(k_can, k_can).empty());
  PartSpec other = k_can;
  other.volts = 25, other.height_mm = 9;
  CHECK(misfit(other, k_can).empty());
  CHECK_FALSE(misfit(k_can, other).empty());
  for (auto change :
       {+[](PartSpec& s) { s.volts = 0; }, +[](PartSpec& s) { s.value = "47 uF"; },
        +[](PartSpec& s) { s.value.clear(); }, +[](PartSpec& s) { s.volts = 10; },
        +[](PartSpec& s) { s.diameter_mm = 8; }, +[](PartSpec& s) { s.height_mm = 20; },
        +[](PartSpec& s) { s.spacing_mm = 5; },
        +[](PartSpec& s) { s.kind = PartKind::tantalum; }}) {
    other = k_can;
    change(other);
    CAPTURE(words(other));
    CHECK_FALSE(misfit(other, k_can).empty());
  }
}

TEST_CASE("like parts of several boards are one line; what must not be ordered is in none") {
  std::vector<NeededPart> parts{needed("C1", k_can), needed("C2", k_can), needed("C3", k_can),
                                needed("C4", k_can), needed("C5", k_can), needed("C6", k_can)};
  parts[1].unit = "unit-2", parts[1].board = "board-2";
  parts[2].why_not = "Its value is not known.";
  parts[3].state = OrderState::ordered;
  parts[4].optional = true;
  parts[5].spec.volts = 25;
  parts[0].price = parts[1].price = 0.5;
  const std::vector<OrderLine> lines = order_lines(parts);
  REQUIRE(lines.size() == 2);
  CHECK(lines[0].parts == std::vector<size_t>{0, 1});
  CHECK(lines[0].price_each == 0.5);
  CHECK(lines[1].parts == std::vector<size_t>{5});
  CHECK(order_lines(parts, {true, {}})[0].parts.size() == 3);
  CHECK(order_lines(parts, {false, "unit-2"}).size() == 1);
  parts[1].substitute = "film, as the owner wished";
  CHECK(order_lines(parts).size() == 3);
  parts[1].substitute.clear(), parts[1].price.reset();
  CHECK_FALSE(order_lines(parts)[0].price_each);
}

TEST_CASE("the order as CSV has every size, quotes what needs it and names each part") {
  std::vector<NeededPart> parts{needed("C1", k_can), needed("C2", k_can)};
  for (NeededPart& p : parts) p.substitute = "25 V, \"long life\"";
  const std::string csv = order_csv(order_lines(parts), parts);
  CHECK(csv.find("2,aluminium-radial,100 uF,16,6.3,11,2.5,\"25 V, \"\"long life\"\"\"") !=
        std::string::npos);
  CHECK(csv.find("\"unit-1 logger, main: C1 C2\"") != std::string::npos);
  CHECK(std::count(csv.begin(), csv.end(), '\n') == 2);
}

TEST_CASE("the drawer serves each need once, the nearest voltage first, and says what differs") {
  const std::vector<NeededPart> parts{needed("C1", k_can), needed("C2", k_can), needed("C3", k_can),
                                      needed("C4", k_can)};
  PartSpec higher = k_can, highest = k_can, lower = k_can;
  higher.volts = 25, highest.volts = 63, lower.volts = 10;
  const std::vector<Taking> taken =
      takings_of(parts, {{highest, 5, ""}, {lower, 9, ""}, {higher, 1, ""}, {k_can, 1, ""}});
  REQUIRE(taken.size() == 4);
  CHECK(taken[0].row == 3);
  CHECK(taken[0].substitute.empty());
  CHECK(taken[1].row == 2);
  CHECK(taken[1].substitute == "25 V for 16 V, from the drawer");
  CHECK(taken[2].row == 0);
  CHECK(takings_of(parts, {{lower, 9, ""}}).empty());
}

TEST_CASE("states of a part have names that are read back") {
  for (const OrderState s : k_order_states) CHECK(order_state_named(name(s)) == s);
  CHECK_FALSE(order_state_named("lost"));
}
