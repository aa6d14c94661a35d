// Runs a command line in the test's own process.
#pragma once

#include <sstream>
#include <string>
#include <vector>

#include "cli/run.h"

namespace verdigrid::test {

struct Ran {
  int code = 0;
  std::string out, messages;
};

inline Ran run_here(const std::vector<std::string>& arguments) {
  std::ostringstream out, messages;
  Session session{out, messages, false, {}};
  const int code = run_program(arguments, session);
  return {code, out.str(), messages.str()};
}

}  // namespace verdigrid::test
