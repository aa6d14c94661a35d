// The one program: with a subcommand it works without a window.

#include <unistd.h>

#include <exception>
#include <iostream>
#include <string>
#include <vector>

#include "base/error.h"
#include "cli/interrupt.h"
#include "cli/run.h"

int main(int argc, char** argv) try {
  const std::vector<std::string> arguments(argv + 1, argv + argc);
  const verdigrid::Interrupt interrupt;
  verdigrid::Session session{std::cout, std::cerr, ::isatty(STDERR_FILENO) == 1, interrupt.token()};
  return verdigrid::run_program(arguments, session);
} catch (const std::exception& error) {
  std::cerr << "verdigrid: " << error.what() << '\n';
  return static_cast<int>(verdigrid::ErrorKind::internal);
}
