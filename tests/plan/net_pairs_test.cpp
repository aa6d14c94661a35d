#include "plan/net_pairs.h"

#include <fmt/format.h>

#include <catch2/catch.hpp>

#include "layout/edit.h"
#include "layout/layout.h"
#include "tests/measure/sample_survey.h"
#include "tests/plan/facts.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

struct Pin {
  std::string pin, net;
  cv::Point2d at;
  bool is_through = false;
};

Part soldered(const std::string& designator, PartKind kind, const std::vector<Pin>& pins) {
  Part p;
  p.designator = designator;
  p.kind = kind;
  for (const Pin& pin : pins) p.joints.push_back({pin.pin, pin.at, 1, pin.is_through, pin.net});
  return p;
}

// /RESET runs from U3 over R12 to Q1, 30 mm each; CLK from U3 to Q1 apart from it.
Layout board() {
  Layout layout = layout_over({{{0, 0}, {100, 0}, {100, 75}, {0, 75}}, {}}, true);
  layout.parts = {
      soldered("U3", PartKind::ic, {{"5", "/RESET", {30, 30}}, {"6", "CLK", {30, 50}}}),
      soldered("R12", PartKind::resistor, {{"1", "/RESET", {60, 30}}, {"2", "", {64, 30}}}),
      soldered("Q1", PartKind::transistor, {{"2", "/RESET", {60, 60}}, {"3", "CLK", {50, 70}}})};
  return layout;
}

ResidueShape spot(int id, Residue residue, cv::Point2d at, double half = 0.5) {
  return {id,
          residue,
          {{rectangle_ring(at - cv::Point2d(half, half), at + cv::Point2d(half, half)), {}}}};
}

std::vector<std::string> pairs_words(const std::vector<ReachedPair>& pairs) {
  std::vector<std::string> all;
  for (const ReachedPair& p : pairs) all.push_back(words(p.pair));
  return all;
}

using Words = std::vector<std::string>;

}  // namespace

TEST_CASE("eaten copper between two pins of a net names these two") {
  const auto pairs = net_pairs(board(), Side::front, {spot(7, Residue::eaten_copper, {45, 31})});
  CHECK(pairs_words(pairs) == Words{"net /RESET: U3 pin 5 to R12 pin 1"});
  CHECK(pairs.at(0).findings == std::vector<int>{7});
  CHECK_FALSE(pairs.at(0).at_joint);
  // Beyond the reach of a line; white salt lies on solder mask and reaches joints only.
  CHECK(net_pairs(board(), Side::front, {spot(7, Residue::eaten_copper, {45, 34})}).empty());
  CHECK(net_pairs(board(), Side::front, {spot(7, Residue::white_salt, {45, 30})}).empty());
}

TEST_CASE("a reached joint is paired with its neighbours in the net and stands first") {
  // The residue ends 0.4 mm from the land of R12 pin 1; 0.6 mm is out of reach.
  const auto at = [](double gap) {
    return spot(1, Residue::white_salt, {60, 30 - 0.5 - gap - 0.5});
  };
  CHECK(pairs_words(net_pairs(board(), Side::front, {at(0.4)})) ==
        Words{"net /RESET: R12 pin 1 to U3 pin 5", "net /RESET: R12 pin 1 to Q1 pin 2"});
  CHECK(net_pairs(board(), Side::front, {at(0.6)}).empty());
  // Joints before lines, corroding classes before others.
  const auto ranked =
      net_pairs(board(), Side::front,
                {spot(1, Residue::eaten_copper, {45, 30}), spot(2, Residue::white_salt, {30, 50}),
                 spot(3, Residue::attacked_joint, {60, 60})});
  CHECK(pairs_words(ranked) == Words{"net /RESET: Q1 pin 2 to R12 pin 1",
                                     "net CLK: U3 pin 6 to Q1 pin 3",
                                     "net /RESET: U3 pin 5 to R12 pin 1"});
  CHECK(ranked.at(1).findings == std::vector<int>{2});
}

TEST_CASE("pins of one chip prove nothing and those of a connector do") {
  Layout layout = board();
  layout.parts = {soldered("U1", PartKind::ic, {{"4", "VCC", {10, 10}}, {"8", "VCC", {20, 10}}})};
  const std::vector<ResidueShape> residue{spot(1, Residue::attacked_joint, {10, 10})};
  CHECK(net_pairs(layout, Side::front, residue).empty());
  layout.parts[0].kind = PartKind::connector;
  CHECK(pairs_words(net_pairs(layout, Side::front, residue)) ==
        Words{"net VCC: U1 pin 4 to U1 pin 8"});
  // Two lands of one pin, and two pins at one place, are one end.
  layout.parts[0].joints[1].pin = "4";
  CHECK(net_pairs(layout, Side::front, residue).empty());
  layout.parts = {soldered("R1", PartKind::resistor, {{"1", "VCC", {10, 10}}}),
                  soldered("R2", PartKind::resistor, {{"1", "VCC", {10.8, 10}}})};
  CHECK(net_pairs(layout, Side::front, residue).empty());
  layout.parts[1].joints[0] = {"", {30, 10}, 0, false, "VCC"};
  CHECK(pairs_words(net_pairs(layout, Side::front, residue)) == Words{"net VCC: R1 pin 1 to R2"});
}

TEST_CASE("a net of many joints is a plane: each reached joint goes to one that is not") {
  Layout layout = board();
  layout.parts.clear();
  for (int i = 0; i < 30; ++i)
    layout.parts.push_back(
        soldered(fmt::format("C{}", i), PartKind::capacitor, {{"2", "GND", {10 + 2.0 * i, 20}}}));
  const std::vector<ResidueShape> residue{spot(1, Residue::leak_film, {20, 20}, 3)};
  // C4 to C6 lie in it, C3 and C7 begin 1 mm from it less half a land, which is in reach.
  CHECK(pairs_words(net_pairs(layout, Side::front, residue)) ==
        Words{"net GND: C3 pin 2 to C2 pin 2", "net GND: C7 pin 2 to C8 pin 2",
              "net GND: C4 pin 2 to C2 pin 2", "net GND: C6 pin 2 to C8 pin 2",
              "net GND: C5 pin 2 to C2 pin 2"});
}

TEST_CASE("only joints that show on the side of the residue are reached") {
  Layout layout = board();
  const std::vector<ResidueShape> residue{spot(1, Residue::copper_salt, {30, 30})};
  CHECK(net_pairs(layout, Side::back, residue).empty());
  layout.parts[0].joints[0].is_through = true;
  CHECK(pairs_words(net_pairs(layout, Side::back, residue)) ==
        Words{"net /RESET: U3 pin 5 to R12 pin 1"});
}

TEST_CASE("without nets or mm there are no pairs") {
  const std::vector<ResidueShape> residue{spot(1, Residue::copper_salt, {30, 30})};
  Layout layout = board();
  layout.has_mm = false;
  CHECK(net_pairs(layout, Side::front, residue).empty());
  layout = board();
  for (Part& p : layout.parts)
    for (Joint& j : p.joints) j.net.clear();
  CHECK(net_pairs(layout, Side::front, residue).empty());
  NetPairOptions options;
  options.plane_joints = 1;
  CHECK_THROWS_WITH(net_pairs(board(), Side::front, residue, options), Contains("plane_joints"));
  options = {};
  options.line_mm = -1;
  CHECK_THROWS_WITH(net_pairs(board(), Side::front, residue, options), Contains("line_mm"));
}

// The drawn survey has copper salt in a disc of 4 mm about (30, 30) mm, in a zone, and an attacked
// joint at (60, 40).
TEST_CASE("the plan of a drawn survey names the net and its ends where the layout has nets") {
  const Survey survey = sample_survey();
  const Plan plain = plan_of("drawn", {side_facts(survey)}, {}, starting_rates());
  CHECK(item_with(plain, Operation::continuity).pairs.empty());

  const Layout layout = board();
  const SideFacts facts = side_facts(survey, &layout);
  const Plan plan = plan_of("drawn", {facts}, {}, starting_rates());
  const WorkItem& w = item_with(plan, Operation::continuity, "power, \"left\"");
  REQUIRE(w.pairs.size() == 1);
  CHECK(words(w.pairs[0]) == "net /RESET: U3 pin 5 to R12 pin 1");
  CHECK_THAT(w.reason, Contains("1 of 1 pairs"));
  int listed = 0;
  for (const WorkItem& other : plan.items)
    for (const NetPair& pair : other.pairs)
      listed += words(pair) == "net /RESET: R12 pin 1 to Q1 pin 2";
  CHECK(listed == 1);
  CHECK_THAT(plan_json(plan), Contains("\"net\": \"/RESET\""));
  CHECK(plan_from_json(plan_json(plan), "p") == plan);
}

TEST_CASE("pairs are counted by one item only and long lists are cut and said to be") {
  SideFacts side = leaked_side();
  for (int i = 0; i < 30; ++i)
    side.pairs.push_back(
        {{"N" + std::to_string(i), {"U1", std::to_string(i)}, {"J1", "1"}}, {3, 4}, true});
  side.pairs.push_back({{"other", {"C1", "1"}, {"R1", "1"}}, {2}, true});
  const Plan plan = plan_of("board", {side}, {}, starting_rates());
  const WorkItem& d4 = item_with(plan, Operation::continuity, "D4");
  CHECK(d4.pairs.size() == 20);
  CHECK(d4.quantity == 20);
  CHECK_THAT(d4.reason, Contains("20 of 30 pairs"));
  const WorkItem& b2 = item_with(plan, Operation::continuity, "B2");
  REQUIRE(b2.pairs.size() == 1);
  CHECK(b2.pairs[0].net == "other");

  SideFacts back = leaked_side();
  back.side = Side::back;
  back.pairs = {{{"other", {"C1", "1"}, {"R1", "1"}}, {2}, true}};
  const Plan both = plan_of("board", {side, back}, {}, starting_rates());
  long listed = 0;
  for (const WorkItem& w : both.items)
    listed += std::count(w.pairs.begin(), w.pairs.end(), back.pairs[0].pair);
  CHECK(listed == 1);
}
