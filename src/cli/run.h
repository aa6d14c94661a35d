// The headless program: reads the arguments, runs one subcommand, and turns every error into one
// sentence and an exit code.
//
// Exit codes: 0 done (also with findings, also with the verdict reshoot), 1 partly done, 2 wrong
// use, 3 bad input, 4 internal, 5 no result, 6 storage, 130 interrupted.
#pragma once

#include <string>
#include <vector>

#include "cli/session.h"

namespace verdigrid {

// Whether these arguments ask for the window: none at all, or one existing file that is no
// subcommand's name.
bool asks_for_window(const std::vector<std::string>& arguments);

// `arguments` without the program's name. Never throws.
int run_program(const std::vector<std::string>& arguments, Session& session);

}  // namespace verdigrid
