#include "plan/estimate.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "base/error.h"
#include "plan/draws.h"
#include "plan/learning.h"
#include "plan/lognormal.h"

namespace verdigrid {

namespace {

constexpr double k_pieces_at_most = 10'000;
constexpr double k_allow = 0.9;

using Minutes = std::vector<double>;  // one per draw

// The share p point of the draws, between neighbours in proportion.
double quantile(Minutes m, double p) {
  const double at = p * static_cast<double>(m.size() - 1);
  const auto low = static_cast<std::ptrdiff_t>(at);
  std::nth_element(m.begin(), m.begin() + low, m.end());
  const double a = m[static_cast<size_t>(low)];
  if (low + 1 == static_cast<std::ptrdiff_t>(m.size())) return a;
  const double b = *std::min_element(m.begin() + low + 1, m.end());
  return a + (at - static_cast<double>(low)) * (b - a);
}

double drawn(Draws& draws, const Triple& t, const Lognormal& l, SpreadKind kind) {
  return kind == SpreadKind::bounds ? draws.beta_pert(t)
                                    : std::exp(l.log_median + l.log_sd * draws.normal());
}

// Hands-on minutes of one task in every draw, without the worker factor.
Minutes drawn_task(const Task& task, const EstimateOptions& o) {
  Draws draws(o.seed, task.id);
  const Lognormal each = lognormal_of(task.each.low, task.each.high);
  const Lognormal set_up = task.set_up ? lognormal_of(task.set_up->low, task.set_up->high) : each;
  Minutes m(static_cast<size_t>(o.draws), 0.0);
  for (double& minutes : m) {
    if (task.set_up) minutes += drawn(draws, *task.set_up, set_up, o.spread);
    if (!task.by_piece) {
      minutes += task.quantity * drawn(draws, task.each, each, o.spread);
      continue;
    }
    int n = 1;
    for (double left = task.quantity; left > 0; left -= 1, ++n)
      minutes += std::min(left, 1.0) * nth_minutes(1, task.slope, n) *
                 drawn(draws, task.each, each, o.spread);
  }
  return m;
}

bool is_one_lognormal(const Task& t, SpreadKind spread) {
  return spread == SpreadKind::p10_p90 && !t.set_up && (!t.by_piece || t.quantity <= 1);
}

Figures closed_form(const Task& t, double worker_log_sd) {
  Lognormal l = with_factor(lognormal_of(t.each.low, t.each.high), worker_log_sd);
  l.log_median += std::log(t.quantity);
  return {l.median(), l.quantile(k_allow), l.mean(), t.waiting_min, t.material};
}

Figures figures_of(const Minutes& m) {
  double sum = 0;
  for (const double x : m) sum += x;
  return {quantile(m, 0.5), quantile(m, k_allow), sum / static_cast<double>(m.size())};
}

// A sum of tasks that is figured out at the end: minutes per draw, waits, material.
struct Sum {
  std::string name;
  Minutes minutes;
  std::map<std::pair<std::string, Operation>, double> waits;  // per board and operation
  double material = 0;

  void add(const Minutes& m, const Task& t) {
    minutes.resize(m.size(), 0.0);
    for (size_t i = 0; i < m.size(); ++i) minutes[i] += m[i];
    double& wait = waits[{t.board, t.operation}];
    wait = std::max(wait, t.waiting_min);
    material += t.material;
  }
  Figures figures() const {
    if (minutes.empty()) return {};
    Figures f = figures_of(minutes);
    for (const auto& [of, wait] : waits) f.waiting_min += wait;
    f.material = material;
    return f;
  }
};

Sum& named(std::vector<Sum>& sums, const std::string& name) {
  for (Sum& s : sums)
    if (s.name == name) return s;
  sums.push_back({name, {}, {}, 0});
  return sums.back();
}

std::vector<NamedFigures> figured(const std::vector<Sum>& sums) {
  std::vector<NamedFigures> list;
  for (const Sum& s : sums) list.push_back({s.name, s.figures()});
  return list;
}

void check_tasks(const std::vector<Task>& tasks) {
  double pieces = 0;
  std::set<std::string> ids;
  for (const Task& t : tasks) {
    require(ids.insert(t.id).second, "task ids are unique");
    if (!(t.quantity > 0))
      throw Error(ErrorKind::bad_input,
                  fmt::format("{}: its quantity must be above 0; correct it.", t.id));
    pieces += t.by_piece ? t.quantity : 1;
  }
  if (pieces > k_pieces_at_most)
    throw Error(ErrorKind::bad_input,
                fmt::format("The plan counts {:.0f} pieces, more than {:.0f}; correct the largest "
                            "quantity.",
                            pieces, k_pieces_at_most));
}

}  // namespace

void EstimateOptions::check() const {
  if (draws < 100 || draws > 1'000'000)
    throw Error(ErrorKind::wrong_use, "draws: must be 100 to 1000000.");
  if (!(worker_log_sd >= 0 && worker_log_sd <= 2))
    throw Error(ErrorKind::wrong_use, "worker_log_sd: must be 0 to 2.");
}

EstimateOptions estimate_options(const RateTable& table) {
  EstimateOptions o;
  o.worker_log_sd = table.worker_log_sd;
  o.spread = table.spread;
  return o;
}

double likely_cost(const Figures& f, double money_per_hour) {
  return f.likely_min / 60 * money_per_hour + f.material;
}

double allow_cost(const Figures& f, double money_per_hour) {
  return f.allow_min / 60 * money_per_hour + f.material;
}

Estimate estimate_of(const std::vector<Task>& tasks, const EstimateOptions& o, const Work& work) {
  o.check();
  check_tasks(tasks);
  Minutes factor(static_cast<size_t>(o.draws));
  Draws worker(o.seed, "worker");
  for (double& f : factor) f = std::exp(o.worker_log_sd * worker.normal());

  Estimate e;
  std::vector<Sum> zones, boards, total(1);
  for (size_t i = 0; i < tasks.size(); ++i) {
    work.check();
    work.report(static_cast<double>(i) / static_cast<double>(tasks.size()));
    const Task& t = tasks[i];
    Minutes m = drawn_task(t, o);
    for (size_t d = 0; d < m.size(); ++d) m[d] *= factor[d];
    Sum item{t.id, {}, {}, 0};
    item.add(m, t);
    e.items.push_back(
        {t.id, is_one_lognormal(t, o.spread) ? closed_form(t, o.worker_log_sd) : item.figures()});
    named(zones, t.zone).add(m, t);
    named(boards, t.board).add(m, t);
    total.front().add(m, t);
  }
  e.zones = figured(zones);
  e.boards = figured(boards);
  e.total = total.front().figures();
  if (tasks.size() == 1) {
    e.total = e.items.front().figures;
    e.zones.front().figures = e.boards.front().figures = e.total;
  }
  return e;
}

}  // namespace verdigrid
