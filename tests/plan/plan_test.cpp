#include "plan/plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <set>

#include "plan/edit_plan.h"
#include "plan/plan_words.h"
#include "tests/plan/facts.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

int count_of(const Plan& plan, Operation o) {
  return static_cast<int>(
      std::count_if(plan.items.begin(), plan.items.end(),
                    [o](const WorkItem& w) { return w.operation == o && !w.optional; }));
}

}  // namespace

TEST_CASE("findings and parts reached become work items with reasons") {
  const Plan plan = leaked_plan();
  // C1 is corroded, C2 is not: two triples, two items.
  CHECK(count_of(plan, Operation::replace_smd_can) == 2);
  CHECK(count_of(plan, Operation::lift_large_chip) == 1);
  CHECK(count_of(plan, Operation::look_beneath) == 1);
  CHECK(count_of(plan, Operation::local_clean) == 2);
  CHECK(count_of(plan, Operation::neutralise) == 2);
  CHECK(count_of(plan, Operation::strip_reading) == 4);  // before and after, two places
  CHECK(count_of(plan, Operation::remake_joint) == 1);
  CHECK(count_of(plan, Operation::repair_pad) == 1);
  CHECK(count_of(plan, Operation::trace_by_wire) == 1);
  CHECK(count_of(plan, Operation::rinse) == 1);
  CHECK(count_of(plan, Operation::dry) == 1);
  CHECK(item_with(plan, Operation::lift_large_chip).parts.front().designator == "U1");
  for (const WorkItem& w : plan.items) {
    CAPTURE(w.id, w.what);
    CHECK_FALSE(w.what.empty());
    CHECK_FALSE(w.reason.empty());
    CHECK(w.quantity > 0);
    for (const ItemPart& p : w.parts) {
      CHECK(p.designator != "U2");
      if (!w.optional) CHECK(p.designator != "C3");
    }
  }
}

TEST_CASE("damage is priced as damage only where metal is corroded") {
  const Plan plan = leaked_plan();
  CHECK(item_with(plan, Operation::local_clean, "B2").damaged);
  CHECK(item_with(plan, Operation::local_clean, "D4").damaged);
  const Plan film =
      plan_of("b", {side_of({finding(1, Residue::leak_film, "B2")})}, {}, starting_rates());
  CHECK_FALSE(item_with(film, Operation::local_clean).damaged);
}

TEST_CASE("items stand in the trade's order, and ids are unique") {
  const Plan plan = leaked_plan();
  CHECK(std::is_sorted(plan.items.begin(), plan.items.end(),
                       [](const WorkItem& a, const WorkItem& b) { return a.stage < b.stage; }));
  std::set<std::string> ids;
  for (const WorkItem& w : plan.items) CHECK(ids.insert(w.id).second);
  // Strip before neutraliser, neutraliser before wash, rinse before drying, checks after all.
  CHECK(Stage::read_strip < Stage::neutralise);
  CHECK(Stage::neutralise < Stage::wash);
  CHECK(Stage::rinse < Stage::dry);
  CHECK(Stage::dry < Stage::read_strip_again);
  CHECK(Stage::photograph_again < Stage::open_mask);
}

TEST_CASE("all of one series is offered and not counted") {
  const Plan plan = leaked_plan();
  const auto offered = std::find_if(plan.items.begin(), plan.items.end(), [](const WorkItem& w) {
    return w.optional && w.operation == Operation::replace_smd_can;
  });
  REQUIRE(offered != plan.items.end());
  CHECK(offered->parts.size() == 1);
  CHECK(offered->parts.front().designator == "C3");
  for (const Task& t : tasks_of(plan)) CHECK(t.id != offered->id);
}

TEST_CASE("neighbours of a likely source are offered where places are known") {
  SideFacts side = leaked_side();
  side.parts[0].centre = cv::Point2d(10, 10);
  side.parts[3].centre = cv::Point2d(20, 10);  // C9, 10 mm away
  side.parts[2].centre = cv::Point2d(60, 60);
  const Plan plan = plan_of("b", {side}, {}, starting_rates());
  const WorkItem& near = item_with(plan, Operation::replace_leaded_can);
  CHECK(near.optional);
  CHECK_THAT(near.reason, Contains("neighbours"));
}

TEST_CASE("a plan without a layout says that parts are not known") {
  const Plan plan =
      plan_of("b", {side_of({finding(1, Residue::white_salt, "A1")})}, {}, starting_rates());
  CHECK(count_of(plan, Operation::dry_pick_up) == 1);
  CHECK(count_of(plan, Operation::replace_smd_can) == 0);
  CHECK_THAT(plan_words(plan), Contains("which parts residue reaches is not known"));
}

TEST_CASE("without a scale no area is made up in silence") {
  SideFacts side = side_of({finding(1, Residue::white_salt, "A1", 0)});
  side.has_mm = false;
  const Plan plan = plan_of("b", {side}, {}, starting_rates());
  CHECK_THAT(item_with(plan, Operation::local_clean).reason, Contains("not known without a scale"));
}

TEST_CASE("more residue never takes less time") {
  SideFacts side = side_of({finding(1, Residue::white_salt, "A1", 400)});
  const double one = estimate_of(plan_of("b", {side}, {}, starting_rates())).total.likely_min;
  side.findings.front().area_mm2 = 4000;
  const double ten = estimate_of(plan_of("b", {side}, {}, starting_rates())).total.likely_min;
  CHECK(ten > one);
}

TEST_CASE("expected repairs are counted by confidence") {
  std::vector<FindingFact> many;
  for (int i = 1; i <= 10; ++i) {
    many.push_back(finding(i, Residue::attacked_joint, "A1", 1));
    many.back().confidence = 0.3;
  }
  const Plan plan = plan_of("b", {side_of(many)}, {}, starting_rates());
  CHECK(item_with(plan, Operation::remake_joint).quantity == 3);
  CHECK_FALSE(item_with(plan, Operation::remake_joint).optional);
  many.resize(1);
  const Plan doubtful = plan_of("b", {side_of(many)}, {}, starting_rates());
  CHECK(item_with(doubtful, Operation::remake_joint).optional);
  CHECK_THAT(item_with(doubtful, Operation::remake_joint).reason, Contains("fewer than one"));
}

TEST_CASE("both sides make one plan, and a part is not replaced twice") {
  SideFacts back = leaked_side();
  back.side = Side::back;
  const Plan plan = plan_of("b", {leaked_side(), back}, {}, starting_rates());
  int c1 = 0;
  for (const WorkItem& w : plan.items)
    for (const ItemPart& p : w.parts)
      c1 += p.designator == "C1" && w.operation == Operation::replace_smd_can;
  CHECK(c1 == 1);
  CHECK_THROWS_AS(plan_of("b", {}, {}, starting_rates()), Error);
  CHECK_THROWS_AS(plan_of("b", {leaked_side(), leaked_side()}, {}, starting_rates()), Error);
}

TEST_CASE("parts to order carry the user's own prices and nothing else does") {
  RateTable rates = starting_rates();
  rates.parts = {{"C1", 0.5}, {"aluminium-smd", 0.2}};
  const Plan plan = plan_of("b", {leaked_side()}, {}, rates);
  double sum = 0;
  int counted = 0;
  for (const PartToOrder& p : parts_to_order(plan))
    if (!p.optional) sum += p.price.value_or(100), ++counted;
  CHECK(counted == 2);
  CHECK(sum == Approx(0.7));
  CHECK(estimate_of(plan).total.material == Approx(0.7));
}

TEST_CASE("a plan written and read again is the same") {
  Known k = agreed();
  k.etch.width_loss_percent = 12;
  k.bath_harms[2] = Told::no;
  k.owner_value = 300;
  Plan plan = leaked_plan(k);
  WorkItem own;
  own.operation = Operation::other;
  own.what = "refit the \"shield\"";
  own.minutes = Triple{1, 2, 4};
  own.waiting_min = 30;
  plan = with_item(plan, own);
  plan = ticked(plan, item_with(plan, Operation::photograph).id, {"Ada", "2026-03-01", 7.5});
  const std::string text = plan_json(plan);
  CHECK(plan_from_json(text, "plan.json") == plan);
  CHECK(plan_json(plan_from_json(text, "plan.json")) == text);
}

TEST_CASE("a plan file that cannot be is refused by field") {
  const std::string text = plan_json(leaked_plan());
  const auto with = [&text](const std::string& from, const std::string& to) {
    std::string changed = text;
    const size_t at = changed.find(from);
    REQUIRE(at != std::string::npos);
    return plan_from_json(changed.replace(at, from.size(), to), "plan.json");
  };
  CHECK_THROWS_WITH(with("\"operation\": \"", "\"operation\": \"x"),
                    Contains("items[0].operation"));
  CHECK_THROWS_WITH(with("\"id\": \"W2\"", "\"id\": \"W1\""), Contains("twice"));
  CHECK_THROWS_WITH(with("\"version\": 3", "\"version\": 9"), Contains("newer"));
  CHECK_THROWS_WITH(with("\"verdigrid-plan\"", "\"plan\""), Contains("format"));
  CHECK_THROWS_WITH(with("\"known\": {", "\"known\": {\"battery\": \"potato\""), Contains("known"));
}

TEST_CASE("pairs of pins are refused by field and a plan of version 2 has none") {
  SideFacts side = leaked_side();
  side.pairs = {{{"/RESET", {"U1", "5"}, {"R12", ""}}, {3}, true}};
  const Plan plan = plan_of("board", {side}, {}, starting_rates());
  nlohmann::json j = nlohmann::json::parse(plan_json(plan));
  const auto at = std::find_if(j["items"].begin(), j["items"].end(),
                               [](const auto& item) { return item.contains("pairs"); });
  REQUIRE(at != j["items"].end());
  const std::string path = fmt::format("items[{}].pairs[0]", at - j["items"].begin());
  CHECK((*at)["pairs"][0]["to"] == nlohmann::json{{"designator", "R12"}});
  (*at)["pairs"][0]["from"]["pin"] = 5;
  CHECK_THROWS_WITH(plan_from_json(j.dump(), "p"), Contains(path + ".from.pin: must be a text"));
  (*at)["pairs"][0].erase("from");
  CHECK_THROWS_WITH(plan_from_json(j.dump(), "p"), Contains(path + ".from: is missing"));
  at->erase("pairs");
  j["version"] = 2;
  const Plan old = plan_from_json(j.dump(), "p");
  CHECK(old.items.size() == plan.items.size());
  CHECK(item_with(old, Operation::continuity, "D4").pairs.empty());
}

TEST_CASE("the plan in words names figures, order and certainty") {
  const std::string text = plan_words(leaked_plan());
  for (const char* part : {"likely", "allow up to", "Waiting", "starting values", "read-strip",
                           "IPC-7711 3.8.5, skill Advanced", "Parts to order", "no clearance"})
    CHECK_THAT(text, Contains(part));
  CHECK(minutes_words(45) == "45 min");
  CHECK(minutes_words(185) == "3 h 5 min");
  CHECK(minutes_words(24 * 60) == "1 d");
}
