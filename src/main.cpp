// The one program: with a subcommand it works without a window, with a photo or nothing it opens
// one.

#include <unistd.h>

#include <exception>
#include <filesystem>
#include <iostream>
#include <string>
#include <vector>

#include "base/error.h"
#include "cli/detector_arguments.h"
#include "cli/interrupt.h"
#include "cli/run.h"
#include "jobbook/person.h"
#include "viewer/app.h"

namespace {

// The work done at the window goes into the default job book in the data folder.
int open_window(const std::vector<std::string>& arguments) {
  verdigrid::ViewerOptions options;
  options.desk.job_book = verdigrid::data_folder() / "job-book";
  options.desk.book.who = verdigrid::person_name().value_or("nobody");
  verdigrid::ChosenDetector chosen = verdigrid::detector_by({});
  options.desk.detector = std::move(chosen.detector);
  options.remark = std::move(chosen.remark);
  if (!arguments.empty()) options.photo = std::filesystem::absolute(arguments[0]);
  return verdigrid::run_viewer(std::move(options));
}

}  // namespace

int main(int argc, char** argv) try {
  const std::vector<std::string> arguments(argv + 1, argv + argc);
  if (verdigrid::asks_for_window(arguments)) return open_window(arguments);
  const verdigrid::Interrupt interrupt;
  verdigrid::Session session{std::cout, std::cerr, ::isatty(STDERR_FILENO) == 1, interrupt.token()};
  return verdigrid::run_program(arguments, session);
} catch (const verdigrid::Error& error) {
  std::cerr << "verdigrid: " << error.what() << '\n';
  return error.exit_code();
} catch (const std::exception& error) {
  std::cerr << "verdigrid: " << error.what() << '\n';
  return static_cast<int>(verdigrid::ErrorKind::internal);
}
