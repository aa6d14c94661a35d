#include "plan/quote.h"

#include <catch2/catch.hpp>

#include "plan/edit_plan.h"
#include "tests/plan/facts.h"

using namespace verdigrid;

namespace {

Plan priced(double money_per_hour = 60) {
  Plan p = leaked_plan(agreed());
  p.rates.money_per_hour = money_per_hour;
  return p;
}

Quote quote(double allow, QuoteState state = QuoteState::agreed) {
  Quote q = quote_of({"EUR", 0, allow / 2, allow}, {20, 30, {}}, 1, "2026-03-01");
  q.state = state;
  return q;
}

}  // namespace

TEST_CASE("a job costs its hours and parts, and what was spent counts as it was logged") {
  const Plan plan = priced();
  const JobCost open = job_cost({plan});
  const Figures f = estimate_of(plan).total;
  CHECK(open.spent == 0);
  CHECK(open.likely == Approx(likely_cost(f, 60)).epsilon(0.02));
  CHECK(open.allow == Approx(allow_cost(f, 60)).epsilon(0.02));
  const std::string id = item_with(plan, Operation::photograph).id;
  const JobCost logged = job_cost({ticked(plan, id, {"Ada", "", 90})});
  CHECK(logged.spent == Approx(90));
  CHECK(logged.likely > open.likely);
  const JobCost unlogged = job_cost({ticked(plan, id, {"Ada", "", {}})});
  CHECK(unlogged.spent > 0);
  CHECK(unlogged.spent < 90);
}

TEST_CASE("two boards by one worker cost less at their upper figures than the sum of both") {
  const JobCost one = job_cost({priced()}), two = job_cost({priced(), priced()});
  CHECK(two.likely == Approx(2 * one.likely).epsilon(0.05));
  CHECK(two.allow < 2 * one.allow);
}

TEST_CASE("without money per hour and with money that differs nothing is quoted") {
  CHECK_THROWS_AS(job_cost({}), Error);
  CHECK_THROWS_AS(job_cost({priced(0)}), Error);
  CHECK_THROWS_AS(job_cost({priced(60), priced(50)}), Error);
  Plan other = priced();
  other.rates.currency = "kr";
  CHECK_THROWS_AS(job_cost({priced(), other}), Error);
}

TEST_CASE("tax comes on top, the quote runs out, and wrong terms are named") {
  const Quote q = quote(100, QuoteState::made);
  CHECK(with_tax(q.allow, q.tax_percent) == Approx(120));
  CHECK(q.valid_until == "2026-03-31");
  CHECK(quote_words(q) ==
        "likely 60.00 EUR, allow up to 120.00 EUR, with 20 % tax; holds until 2026-03-31");
  CHECK_THROWS_AS((QuoteTerms{-1, 30, {}}.check()), Error);
  CHECK_THROWS_AS((QuoteTerms{101, 30, {}}.check()), Error);
  CHECK_THROWS_AS((QuoteTerms{20, 0, {}}.check()), Error);
  CHECK_THROWS_AS((QuoteTerms{20, 30, 0.0}.check()), Error);
}

TEST_CASE("the owner is called when the plan allows up to more than was agreed") {
  const JobCost same{"EUR", 0, 50, 100}, more{"EUR", 40, 90, 130};
  CHECK(quote_alarm(quote(100), same, "2026-03-02").empty());
  CHECK(quote_alarm(quote(100), more, "2026-03-02") ==
        "Call the owner: the plan now allows up to 156.00 EUR, agreed is 120.00 EUR. Quote again.");
  Quote generous = quote(100);
  generous.call_above = 160;
  CHECK(quote_alarm(generous, more, "2026-03-02").empty());
  generous.call_above = 110;
  CHECK_FALSE(quote_alarm(generous, same, "2026-03-02").empty());
  // What was agreed to holds after its day; what was not answered does not.
  CHECK(quote_alarm(quote(100), same, "2026-06-01").empty());
  CHECK_FALSE(quote_alarm(quote(100, QuoteState::sent), same, "2026-04-01").empty());
  CHECK(quote_alarm(quote(100, QuoteState::sent), same, "2026-03-31").empty());
  CHECK_FALSE(quote_alarm(quote(100, QuoteState::sent), more, "2026-03-02").empty());
  CHECK_FALSE(quote_alarm(quote(100, QuoteState::declined), same, "2026-03-02").empty());
  CHECK_FALSE(quote_alarm(quote(100), {"kr", 0, 50, 100}, "2026-03-02").empty());
}
