// What the owner is told a job costs: likely, allow up to, tax, until when it holds; and when the
// owner must be asked again.
//
// Money in the currency of the rate table. Net is without tax; what the owner pays and agrees to is
// with it. Dates are "YYYY-MM-DD". A quote is an estimate of hours and parts, no promise; tax is a
// figure that a person gives, no tax advice. Pure.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plan/plan.h"

namespace verdigrid {

// A whole job, net: what was spent and what is open.
struct JobCost {
  std::string currency;
  double spent = 0;  // of items that are done: minutes logged, or likely where none are, and parts
  double likely = 0, allow = 0;  // spent and the open items together, P50 and P90
  bool operator==(const JobCost&) const = default;
};

// All boards of one unit, worked on by one person. Throws Error{bad_input} where no money per hour
// is stated, or where boards differ in currency or money per hour.
JobCost job_cost(const std::vector<Plan>& plans, const Work& work = {});

struct QuoteTerms {
  double tax_percent = 0;
  int valid_days = 30;
  std::optional<double> call_above;  // with tax: the owner wants to be asked before more is spent

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

enum class QuoteState { made, sent, agreed, declined };
const char* name(QuoteState state);
std::optional<QuoteState> quote_state_named(std::string_view text);

struct Quote {
  int number = 1;  // of its unit
  QuoteState state = QuoteState::made;
  std::string currency;
  double likely = 0, allow = 0;  // net
  double tax_percent = 0;
  std::string made_on, valid_until, sent_on, answered_on;
  std::optional<double> call_above;  // with tax
  bool operator==(const Quote&) const = default;
};

Quote quote_of(const JobCost& cost, const QuoteTerms& terms, int number, const std::string& date);

double with_tax(double net, double tax_percent);

// The most the owner has agreed to pay, with tax: "call above", or what the quote allows up to.
double agreed_limit(const Quote& quote);

// "120.00 EUR"
std::string money_words(double amount, const std::string& currency);

// "likely 120.00 EUR, allow up to 180.00 EUR, with 21 % tax; holds until 2026-03-31"
std::string quote_words(const Quote& quote);

// What the owner must be told now, as a sentence; empty: nothing. `now` is the job as planned
// today.
std::string quote_alarm(const Quote& quote, const JobCost& now, const std::string& date);

}  // namespace verdigrid
