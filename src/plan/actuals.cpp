#include "plan/actuals.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "plan/learning.h"

namespace verdigrid {

namespace {

constexpr size_t k_jobs_for_slope = 4;
constexpr double k_prior_jobs = 4;     // the table's word counts as four jobs
constexpr double k_spread_weight = 2;  // normal-inverse-gamma: weight of the prior mean,
constexpr double k_spread_shape = 3;   // and shape; scale (shape - 1) x variance
constexpr const char* k_learned_from = "learned from";  // opens the source of such a rate
constexpr double k_largest_log_ratio = 10;              // a log of e^10 is a slip of the pen

const Triple& triple_of(const Rate& r, bool damaged) { return damaged ? r.damaged : r.sound; }

// ln(taken / what the table says for that many pieces) and its spread.
LoggedJob ratio_of(const Actual& a, const Rate& rate) {
  const Lognormal planned = planned_minutes(a, rate);
  return {std::log(a.minutes) - planned.log_median, std::max(planned.log_sd, 0.05)};
}

struct Jobs {
  std::vector<LoggedJob> own, others;
};

Jobs jobs_of(const Rate& rate, bool damaged, const std::vector<Actual>& actuals,
             const std::string& person) {
  Jobs jobs;
  for (const Actual& a : actuals)
    if (a.operation == rate.operation && a.damaged == damaged) {
      const bool is_own = !person.empty() && a.person == person;
      (is_own ? jobs.own : jobs.others).push_back(ratio_of(a, rate));
    }
  return jobs;
}

// P10 and P90 of the next job as factors on the table's median.
struct NextFactors {
  double low, middle, high;
};

NextFactors next_factors(const Jobs& jobs, double log_sd, const LearningOptions& o) {
  const LogBelief of_all = updated({0, o.rate_log_sd}, jobs.others);
  const LogBelief before{of_all.log_mean, std::hypot(of_all.log_mean_sd, o.person_log_sd)};
  if (static_cast<int>(jobs.own.size()) >= o.jobs_for_spread) {
    std::vector<double> logs;
    for (const LoggedJob& j : jobs.own) logs.push_back(j.log_minutes);
    const NextJobT next = next_job(updated(
        {before.log_mean, k_spread_weight, k_spread_shape, (k_spread_shape - 1) * log_sd * log_sd},
        logs));
    return {next.quantile(0.1), std::exp(next.location), next.quantile(0.9)};
  }
  const Lognormal next = next_job(updated(before, jobs.own), log_sd);
  return {next.quantile(0.1), next.median(), next.quantile(0.9)};
}

Triple moved(const Triple& t, const NextFactors& f) {
  const double median = std::sqrt(t.low * t.high);
  return {median * f.low, std::clamp(t.likely * f.middle, median * f.low, median * f.high),
          median * f.high};
}

void learn(Rate& rate, const std::vector<Actual>& actuals, const std::string& person,
           const LearningOptions& o) {
  const Rate before = rate;
  size_t own = 0, others = 0;
  for (const bool damaged : {false, true}) {
    const Jobs jobs = jobs_of(before, damaged, actuals, person);
    if (jobs.own.empty() && jobs.others.empty()) continue;
    own += jobs.own.size(), others += jobs.others.size();
    const Triple& t = triple_of(before, damaged);
    const Triple learned = moved(t, next_factors(jobs, lognormal_of(t.low, t.high).log_sd, o));
    (damaged ? rate.damaged : rate.sound) = learned;
  }
  if (own + others == 0) return;
  rate.source = person.empty() ? fmt::format("{} {} logged jobs", k_learned_from, others)
                               : fmt::format("{} {} logged jobs of {} and {} of others",
                                             k_learned_from, own, person, others);
}

void check_actuals(const std::vector<Actual>& actuals) {
  for (const Actual& a : actuals)
    if (!(a.minutes > 0 && a.quantity > 0 && std::abs(std::log(a.minutes)) < k_largest_log_ratio))
      throw Error(ErrorKind::bad_input,
                  fmt::format("{} on {}: {:g} minutes for {:g} pieces cannot be; correct that log "
                              "entry.",
                              name(a.operation), a.on, a.minutes, a.quantity));
}

}  // namespace

Lognormal planned_minutes(const Actual& a, const Rate& rate) {
  const Triple& t = triple_of(rate, a.damaged);
  const Lognormal each = lognormal_of(t.low, t.high);
  const bool by_piece = facts(a.operation).by_piece && a.quantity > 1;
  const Lognormal pieces = by_piece
                               ? lognormal_times(each, a.quantity)
                               : Lognormal{each.log_median + std::log(a.quantity), each.log_sd};
  if (!rate.set_up) return pieces;
  const Lognormal both[] = {pieces, lognormal_of(rate.set_up->low, rate.set_up->high)};
  return lognormal_sum(both);
}

void LearningOptions::check() const {
  if (!(rate_log_sd > 0 && rate_log_sd <= 3))
    throw Error(ErrorKind::wrong_use, "rate_log_sd: must be above 0 and 3 at most.");
  if (!(person_log_sd > 0 && person_log_sd <= 3))
    throw Error(ErrorKind::wrong_use, "person_log_sd: must be above 0 and 3 at most.");
  if (jobs_for_spread < 2) throw Error(ErrorKind::wrong_use, "jobs_for_spread: must be 2 or more.");
}

RateTable learned_rates(const RateTable& table, const std::vector<Actual>& actuals,
                        const std::string& person, const LearningOptions& options) {
  options.check();
  check_actuals(actuals);
  RateTable learned = table;
  for (Rate& rate : learned.rates) learn(rate, actuals, person, options);
  return learned;
}

bool has_learned(const RateTable& table) {
  return std::any_of(table.rates.begin(), table.rates.end(),
                     [](const Rate& r) { return r.source.starts_with(k_learned_from); });
}

std::vector<std::string> learned_words(const RateTable& table, const std::vector<Actual>& actuals) {
  check_actuals(actuals);
  std::vector<std::string> lines;
  for (const Rate& rate : table.rates)
    for (const bool damaged : {false, true}) {
      double pieces = 0, minutes = 0;
      std::vector<double> each;
      for (const Actual& a : actuals) {
        if (a.operation != rate.operation || a.damaged != damaged) continue;
        pieces += a.quantity, minutes += a.minutes;
        each.push_back(a.minutes / a.quantity);
      }
      if (each.empty()) continue;
      const Triple& t = triple_of(rate, damaged);
      const RateBelief belief =
          updated({k_prior_jobs, t.likely * (k_prior_jobs - 1)}, pieces, minutes);
      std::string line = fmt::format(
          "{}, {}: {:g} x {} in {:.0f} min, expect {:.1f} min each (table: likely {:g})",
          name(rate.operation), damaged ? "damaged" : "sound", pieces, facts(rate.operation).piece,
          minutes, belief.mean_minutes(), t.likely);
      if (each.size() >= k_jobs_for_slope)
        line += fmt::format("; learning slope {:.2f} over {} jobs", learning_fit(each).slope,
                            each.size());
      lines.push_back(std::move(line));
    }
  return lines;
}

}  // namespace verdigrid
