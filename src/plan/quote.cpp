#include "plan/quote.h"

#include <fmt/format.h>

#include "base/calendar.h"
#include "base/error.h"
#include "layout/words.h"
#include "plan/plan_json.h"

namespace verdigrid {

namespace {

constexpr Words<QuoteState, 4> k_states{{{QuoteState::made, "made"},
                                         {QuoteState::sent, "sent"},
                                         {QuoteState::agreed, "agreed"},
                                         {QuoteState::declined, "declined"}}};
constexpr int k_most_days = 3650;
constexpr double k_half_cent = 0.005;  // less is no surprise

// The table's likely minutes, for items whose minutes nobody logged.
double likely_minutes(const Task& t) {
  return t.each.likely * t.quantity + (t.set_up ? t.set_up->likely : 0);
}

void check_rates(const std::vector<Plan>& plans) {
  for (const Plan& p : plans) {
    if (!(p.rates.money_per_hour > 0))
      throw Error(ErrorKind::bad_input,
                  fmt::format("{}: its rates state no money per hour. Set it in a rate table "
                              "('verdigrid rates init') and tell the plan: 'verdigrid plan tell "
                              "... --rates FILE'.",
                              p.board));
    const RateTable& first = plans.front().rates;
    if (p.rates.currency != first.currency || p.rates.money_per_hour != first.money_per_hour)
      throw Error(
          ErrorKind::bad_input,
          fmt::format("{} and {} are planned with different money: tell both plans the same "
                      "rate table, 'verdigrid plan tell ... --rates FILE'.",
                      plans.front().board, p.board));
  }
}

}  // namespace

const char* name(QuoteState state) { return word_of(k_states, state); }
std::optional<QuoteState> quote_state_named(std::string_view text) {
  return value_of(k_states, text);
}

JobCost job_cost(const std::vector<Plan>& plans, const Work& work) {
  if (plans.empty())
    throw Error(ErrorKind::wrong_use, "No board of this unit is planned: make a plan first.");
  check_rates(plans);
  const double per_minute = plans.front().rates.money_per_hour / 60;
  JobCost cost;
  cost.currency = plans.front().rates.currency;
  std::vector<Task> open;
  for (size_t i = 0; i < plans.size(); ++i) {
    for (const WorkItem& w : plans[i].items)
      if (w.done) {
        const Task t = task_of(plans[i], w);
        cost.spent += w.actual_min.value_or(likely_minutes(t)) * per_minute + t.material;
      }
    for (Task& t : tasks_of(plans[i])) {
      t.id = fmt::format("{} {}", i, t.id);
      open.push_back(std::move(t));
    }
  }
  const Figures f = estimate_of(open, estimate_options(plans.front().rates), work).total;
  cost.likely = cost.spent + likely_cost(f, per_minute * 60);
  cost.allow = cost.spent + allow_cost(f, per_minute * 60);
  return cost;
}

void QuoteTerms::check() const {
  if (!(tax_percent >= 0 && tax_percent <= 100))
    throw Error(ErrorKind::wrong_use, "tax: must be from 0 to 100 percent.");
  if (valid_days < 1 || valid_days > k_most_days)
    throw Error(ErrorKind::wrong_use,
                fmt::format("valid: must be from 1 to {} days.", k_most_days));
  if (call_above && !(*call_above > 0 && *call_above <= k_most_money))
    throw Error(ErrorKind::wrong_use, "call above: must be an amount above 0.");
}

Quote quote_of(const JobCost& cost, const QuoteTerms& terms, int number, const std::string& date) {
  terms.check();
  Quote q;
  q.number = number;
  q.currency = cost.currency;
  q.likely = cost.likely, q.allow = cost.allow;
  q.tax_percent = terms.tax_percent;
  q.made_on = date;
  q.valid_until = days_after(date, terms.valid_days);
  q.call_above = terms.call_above;
  return q;
}

double with_tax(double net, double tax_percent) { return net * (1 + tax_percent / 100); }

double agreed_limit(const Quote& q) {
  return q.call_above.value_or(with_tax(q.allow, q.tax_percent));
}

std::string money_words(double amount, const std::string& currency) {
  return fmt::format("{:.2f} {}", amount, currency);
}

std::string quote_words(const Quote& q) {
  std::string text = fmt::format(
      "likely {}, allow up to {}, {}; holds until {}",
      money_words(with_tax(q.likely, q.tax_percent), q.currency),
      money_words(with_tax(q.allow, q.tax_percent), q.currency),
      q.tax_percent > 0 ? fmt::format("with {:g} % tax", q.tax_percent) : "no tax added",
      q.valid_until);
  if (q.call_above)
    text += fmt::format("; call the owner above {}", money_words(*q.call_above, q.currency));
  return text;
}

std::string quote_alarm(const Quote& q, const JobCost& now, const std::string& date) {
  if (q.state == QuoteState::declined)
    return fmt::format("The owner declined quote {}: ask before any more work.", q.number);
  const double allow = with_tax(now.allow, q.tax_percent), limit = agreed_limit(q);
  if (now.currency != q.currency)
    return fmt::format("The plan counts in {}, quote {} in {}: quote again.", now.currency,
                       q.number, q.currency);
  if (q.state == QuoteState::agreed)
    return allow <= limit + k_half_cent
               ? std::string()
               : fmt::format(
                     "Call the owner: the plan now allows up to {}, agreed is {}. Quote "
                     "again.",
                     money_words(allow, q.currency), money_words(limit, q.currency));
  if (date > q.valid_until)
    return fmt::format("Quote {} ran out on {} without an answer: quote again.", q.number,
                       q.valid_until);
  if (now.allow > q.allow + k_half_cent)
    return fmt::format("The plan now allows up to {}, quote {} said {}: quote again.",
                       money_words(allow, q.currency), q.number,
                       money_words(with_tax(q.allow, q.tax_percent), q.currency));
  return {};
}

}  // namespace verdigrid
