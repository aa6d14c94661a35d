// verdigrid rates init|show|check: the rate table that estimates are made with.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>

#include "base/files.h"
#include "cli/command.h"
#include "cli/new_file.h"
#include "plan/lognormal.h"
#include "plan/rate_table.h"

namespace verdigrid {

namespace {

struct RatesArguments {
  std::filesystem::path table;  // empty: the starting values
  NewFile out;
  std::string currency;
  bool prints_json = false;
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

struct Step {
  const char* name;
  const char* summary;
  void (*set_up)(CLI::App&, RatesArguments&);
  int (*run)(const RatesArguments&, Session&);
};

constexpr Step k_steps[] = {
    {"init", "Write a rate table with starting values, to be edited", set_up_init, run_init},
    {"show", "List operations, minutes, methods and where the figures come from", set_up_show,
     run_show},
    {"check", "Say what is wrong or odd in a rate table", set_up_check, run_check},
};

}  // namespace

CommandRun rates_command(CLI::App& arguments) {
  const auto values = std::make_shared<RatesArguments>();
  const auto chosen = std::make_shared<int (*)(const RatesArguments&, Session&)>(nullptr);
  arguments.require_subcommand(1);
  for (const Step& step : k_steps) {
    CLI::App* app = arguments.add_subcommand(step.name, step.summary);
    step.set_up(*app, *values);
    app->callback([chosen, run = step.run] { *chosen = run; });
  }
  return [values, chosen](Session& session) { return (*chosen)(*values, session); };
}

}  // namespace verdigrid
