// The subcommands of the program. Each has a file of its own and one line in commands.cpp.
#pragma once

#include <functional>
#include <span>

#include "cli/session.h"

namespace CLI {
class App;
}

namespace verdigrid {

// Runs a subcommand whose arguments have been read, and returns the exit code. Throws Error.
using CommandRun = std::function<int(Session&)>;

struct Command {
  const char* name;
  const char* summary;              // one line of `verdigrid --help`
  CommandRun (*set_up)(CLI::App&);  // adds its arguments and gives what to run once they are read
};

std::span<const Command> commands();

CommandRun survey_command(CLI::App& arguments);
CommandRun look_command(CLI::App& arguments);
CommandRun check_command(CLI::App& arguments);
CommandRun card_command(CLI::App& arguments);
CommandRun lens_command(CLI::App& arguments);
CommandRun jobbook_command(CLI::App& arguments);
CommandRun boardtype_command(CLI::App& arguments);
CommandRun tag_command(CLI::App& arguments);
CommandRun layout_command(CLI::App& arguments);
CommandRun plan_command(CLI::App& arguments);
CommandRun lock_command(CLI::App& arguments);
CommandRun order_command(CLI::App& arguments);
CommandRun quote_command(CLI::App& arguments);
CommandRun handover_command(CLI::App& arguments);
CommandRun bench_command(CLI::App& arguments);
CommandRun log_command(CLI::App& arguments);
CommandRun rates_command(CLI::App& arguments);
CommandRun report_command(CLI::App& arguments);
CommandRun compare_command(CLI::App& arguments);
CommandRun batch_command(CLI::App& arguments);
CommandRun gather_command(CLI::App& arguments);
CommandRun export_command(CLI::App& arguments);
CommandRun import_command(CLI::App& arguments);
CommandRun close_up_command(CLI::App& arguments);
CommandRun join_command(CLI::App& arguments);

}  // namespace verdigrid
