// Subcommands of a subcommand ("verdigrid jobbook receive"), as a table of names, arguments and
// functions over one struct of values.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <memory>
#include <span>

#include "cli/command.h"

namespace verdigrid {

template <class Values>
struct Nested {
  const char* name;
  const char* summary;
  void (*set_up)(CLI::App&, Values&);  // adds its own arguments
  int (*run)(const Values&, Session&);
};

// For one that takes only what all of its table take.
template <class Values>
void add_nothing(CLI::App&, Values&) {}

// Adds every row of `table`, which outlives the program's run, and to each what `common` adds. One
// of them must be given. Each has values of its own: the same option may mean another thing in
// another row.
template <class Values>
CommandRun nested_command(CLI::App& arguments, std::span<const Nested<Values>> table,
                          void (*common)(CLI::App&, Values&) = add_nothing<Values>) {
  const auto chosen = std::make_shared<std::function<int(Session&)>>();
  arguments.require_subcommand(1);
  for (const Nested<Values>& row : table) {
    CLI::App* app = arguments.add_subcommand(row.name, row.summary);
    const auto own = std::make_shared<Values>();
    common(*app, *own);
    row.set_up(*app, *own);
    app->callback([chosen, own, &row] {
      *chosen = [own, &row](Session& session) { return row.run(*own, session); };
    });
  }
  return [chosen](Session& session) { return (*chosen)(session); };
}

}  // namespace verdigrid
