// verdigrid rates init|show|check|learn|compare|export: the rate table that estimates are made
// with, and what logged minutes say of it.

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/error.h"
#include "base/files.h"
#include "cli/command.h"
#include "cli/job_book_place.h"
#include "cli/nested.h"
#include "cli/new_file.h"
#include "cli/paper_file.h"
#include "jobbook/plan_record.h"
#include "plan/actuals.h"
#include "plan/against_estimate.h"
#include "plan/rate_table.h"
#include "report/actuals_report.h"

namespace verdigrid {

namespace {

namespace fs = std::filesystem;

struct RatesArguments {
  std::filesystem::path table;  // empty: the starting values
  NewFile out;
  std::string currency;
  bool prints_json = false;
  fs::path book;
  std::vector<fs::path> plans;
  std::string person;
  PaperFile paper;
};

RateTable table_of(const RatesArguments& a) {
  return a.table.empty() ? starting_rates() : load_rate_table(a.table);
}

int run_init(const RatesArguments& a, Session& s) {
  a.out.check(".json");
  RateTable table = starting_rates();
  if (!a.currency.empty()) table.currency = a.currency;
  write_file(a.out.path, rate_table_json(table));
  s.messages << a.out.path.string()
             << ": starting values, to be replaced by your own minutes, money per hour and prices. "
                "Then: verdigrid plan ... --rates FILE\n";
  return 0;
}

std::string triple_words(const Triple& t) {
  return fmt::format("{:g} / {:g} / {:g}", t.low, t.likely, t.high);
}

int run_show(const RatesArguments& a, Session& s) {
  const RateTable table = table_of(a);
  if (a.prints_json) {
    s.out << rate_table_json(table);
    return 0;
  }
  s.out << fmt::format("Minutes hands-on, low / likely / high ({}); money per hour: {}\n\n",
                       table.spread == SpreadKind::bounds
                           ? "low and high are bounds"
                           : "one job in ten takes less than low, one in ten more than high",
                       table.money_per_hour > 0
                           ? fmt::format("{:g} {}", table.money_per_hour, table.currency)
                           : "not stated");
  s.out << fmt::format("{:<20} {:<13} {:<18} {:<18} {:>9}  {}\n", "operation", "per", "sound",
                       "damaged", "waiting h", "source; method");
  for (const Rate& r : table.rates)
    s.out << fmt::format("{:<20} {:<13} {:<18} {:<18} {:>9g}  {}; {}\n", name(r.operation),
                         facts(r.operation).piece, triple_words(r.sound), triple_words(r.damaged),
                         r.waiting_min / 60, r.source, method_words(r.operation));
  for (const PartPrice& p : table.parts)
    s.out << fmt::format("part {}: {:g} {}\n", p.part, p.price, table.currency);
  return 0;
}

int run_check(const RatesArguments& a, Session& s) {
  const RateTable table = table_of(a);
  for (const std::string& remark : remarks(table)) s.out << remark << '\n';
  s.messages << fmt::format("{}: {} operations, {} prices; the table can be used.\n",
                            a.table.filename().string(), table.rates.size(), table.parts.size());
  return 0;
}

std::vector<JobAgainst> jobs_from(const RatesArguments& a) {
  std::vector<JobAgainst> all;
  if (!a.book.empty()) all = jobs_against_estimate(opened_job_book(a.book, {}, Open::read_only));
  for (const fs::path& file : a.plans)
    for (JobAgainst& one : against_estimate(load_plan(file))) all.push_back(std::move(one));
  if (all.empty())
    throw Error(ErrorKind::no_result,
                "No minutes are logged there yet: tick work items off with 'verdigrid plan tick "
                "... --minutes'.");
  return all;
}

std::vector<Actual> actuals_from(const RatesArguments& a) {
  std::vector<Actual> all;
  for (JobAgainst& job : jobs_from(a)) all.push_back(std::move(job.actual));
  return all;
}

// Of one person alone; at least one.
std::vector<JobAgainst> jobs_of(const RatesArguments& a, std::vector<JobAgainst> jobs) {
  if (a.person.empty()) return jobs;
  std::erase_if(jobs, [&a](const JobAgainst& j) { return j.actual.person != a.person; });
  if (jobs.empty())
    throw Error(ErrorKind::no_result,
                a.person +
                    ": no minutes of this person are logged there; a tick is signed with "
                    "--who or the name in the settings.");
  return jobs;
}

int run_compare(const RatesArguments& a, Session& s) {
  a.paper.check();
  const std::vector<JobAgainst> jobs = jobs_of(a, jobs_from(a));
  for (const ActualsBy by : k_actuals_by) {
    s.out << fmt::format("By {}:\n", words(by));
    for (const ActualsRow& row : actuals_rows(jobs, by)) s.out << "  " << words(row) << '\n';
  }
  if (a.paper.is_wanted()) a.paper.write(actuals_report(jobs), s);
  return 0;
}

int run_export(const RatesArguments& a, Session& s) {
  a.out.check(".csv");
  const std::vector<JobAgainst> jobs = jobs_of(a, jobs_from(a));
  write_file(a.out.path, actuals_csv(jobs));
  s.messages << fmt::format("{}: {} jobs, without names and days.\n", a.out.path.string(),
                            jobs.size());
  return 0;
}

int run_learn(const RatesArguments& a, Session& s) {
  a.out.check(".json");
  const RateTable table = table_of(a);
  if (has_learned(table))
    throw Error(ErrorKind::wrong_use,
                a.table.string() +
                    ": has learned from logged minutes already, and would count them twice. Name "
                    "the table it was made from.");
  const std::vector<Actual> actuals = actuals_from(a);
  for (const std::string& line : learned_words(table, actuals)) s.out << line << '\n';
  write_file(a.out.path, rate_table_json(learned_rates(table, actuals, a.person)));
  s.messages << fmt::format("{}: moved by {} logged jobs; a few jobs move a rate a little.\n",
                            a.out.path.string(), actuals.size());
  return 0;
}

void set_up_init(CLI::App& app, RatesArguments& into) {
  add_new_file_argument(app, into.out, "The rate table to write (.json)");
  app.add_option("--currency", into.currency, "Your currency, as it is to be printed (EUR)");
}

void set_up_show(CLI::App& app, RatesArguments& into) {
  app.add_option("TABLE", into.table, "Rate table (default: the starting values)")->type_name("");
  app.add_flag("--json", into.prints_json, "Print as JSON");
}

void set_up_check(CLI::App& app, RatesArguments& into) {
  app.add_option("TABLE", into.table, "Rate table")->required()->type_name("");
}

void add_logged(CLI::App& app, RatesArguments& into) {
  app.add_option("--jobbook", into.book, "Job book whose plans have logged minutes")
      ->type_name("FOLDER");
  app.add_option("--plan", into.plans, "Plan file with logged minutes; may be given several times")
      ->type_name("FILE")
      ->expected(1)
      ->take_all();
}

void set_up_compare(CLI::App& app, RatesArguments& into) {
  add_logged(app, into);
  app.add_option("--person", into.person, "This person's minutes alone (default: everyone's)")
      ->type_name("NAME");
  add_paper_file(app, into.paper, "The same with pictures");
}

void set_up_export(CLI::App& app, RatesArguments& into) {
  add_logged(app, into);
  app.add_option("--person", into.person, "Whose minutes (default: everyone's)")->type_name("NAME");
  add_new_file_argument(app, into.out, "The table to write (.csv)");
}

void set_up_learn(CLI::App& app, RatesArguments& into) {
  set_up_check(app, into);
  add_logged(app, into);
  app.add_option("--person", into.person,
                 "Whose rates to learn (default: somebody who has not been seen yet)")
      ->type_name("NAME");
  add_new_file_argument(app, into.out, "The rate table to write (.json)");
}

constexpr Nested<RatesArguments> k_table[] = {
    {"init", "Write a rate table with starting values, to be edited", set_up_init, run_init},
    {"show", "List operations, minutes, methods and where the figures come from", set_up_show,
     run_show},
    {"check", "Say what is wrong or odd in a rate table", set_up_check, run_check},
    {"learn", "Move a table towards the minutes that were logged", set_up_learn, run_learn},
    {"compare", "Logged minutes against the estimate: per operation, person and board type",
     set_up_compare, run_compare},
    {"export", "Give one's own logged minutes away as CSV, without names", set_up_export,
     run_export},
};

}  // namespace

CommandRun rates_command(CLI::App& arguments) {
  return nested_command<RatesArguments>(arguments, k_table);
}

}  // namespace verdigrid
