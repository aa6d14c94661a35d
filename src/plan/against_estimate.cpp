#include "plan/against_estimate.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "measure/zones_csv.h"

namespace verdigrid {

namespace {

constexpr double k_within = 0.9;  // of jobs are meant to take no more than allow up to

std::string key_of(const JobAgainst& job, ActualsBy by) {
  switch (by) {
    case ActualsBy::operation:
      return std::string(name(job.actual.operation)) + (job.actual.damaged ? ", damaged" : "");
    case ActualsBy::person:
      return job.actual.person.empty() ? "not signed" : job.actual.person;
    case ActualsBy::board_type:
      break;
  }
  return job.board_type.empty() ? "no board type" : job.board_type;
}

}  // namespace

std::vector<JobAgainst> against_estimate(const Plan& plan, const std::string& board_type) {
  std::vector<JobAgainst> jobs;
  for (Actual& a : actuals_of(plan)) {
    Lognormal planned = planned_minutes(a, rate_of(plan.rates, a.operation));
    planned.log_sd = std::hypot(planned.log_sd, plan.rates.worker_log_sd);
    jobs.push_back({std::move(a), board_type, planned.median(), planned.quantile(k_within)});
  }
  return jobs;
}

const char* words(ActualsBy by) {
  return by == ActualsBy::operation ? "operation"
         : by == ActualsBy::person  ? "person"
                                    : "board type";
}

std::vector<ActualsRow> actuals_rows(const std::vector<JobAgainst>& jobs, ActualsBy by) {
  std::map<std::string, ActualsRow> rows;
  for (const JobAgainst& job : jobs) {
    ActualsRow& row = rows[key_of(job, by)];
    ++row.jobs;
    row.within_allow += job.actual.minutes <= job.allow_min;
    row.actual_min += job.actual.minutes;
    row.likely_min += job.likely_min;
    row.ratios.push_back(job.actual.minutes / job.likely_min);
  }
  std::vector<ActualsRow> list;
  for (auto& [key, row] : rows) {
    row.name = key;
    std::sort(row.ratios.begin(), row.ratios.end());
    double logs = 0;
    for (const double r : row.ratios) logs += std::log(r);
    row.ratio = std::exp(logs / row.jobs);
    list.push_back(std::move(row));
  }
  std::stable_sort(list.begin(), list.end(), [](const ActualsRow& a, const ActualsRow& b) {
    return a.actual_min > b.actual_min;
  });
  return list;
}

std::string words(const ActualsRow& row) {
  return fmt::format(
      "{}: {} job{}, {:.0f} min for likely {:.0f} min, x {:.2f}; {} of {} within "
      "allow up to",
      row.name, row.jobs, row.jobs == 1 ? "" : "s", row.actual_min, row.likely_min, row.ratio,
      row.within_allow, row.jobs);
}

std::string actuals_csv(const std::vector<JobAgainst>& jobs, const std::string& person) {
  std::string csv =
      "operation,damaged,quantity,piece,actual_min,likely_min,allow_up_to_min,board_type,month\r\n";
  for (const JobAgainst& job : jobs) {
    const Actual& a = job.actual;
    if (!person.empty() && a.person != person) continue;
    csv += fmt::format("{},{},{:.7g},{},{:.7g},{:.4g},{:.4g},{},{}\r\n", name(a.operation),
                       a.damaged ? "yes" : "no", a.quantity, csv_field(facts(a.operation).piece),
                       a.minutes, job.likely_min, job.allow_min, csv_field(job.board_type),
                       a.on.substr(0, 7));
  }
  return csv;
}

}  // namespace verdigrid
