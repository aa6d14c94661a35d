// Errors that a person can act on, and the check for our own mistakes.
//
// Whoever finds the fault writes the whole sentence (what, where, what to do); callers add nothing
// but a file or zone name, once. Caught in three places only: the command dispatcher, the job
// runner, main. May be used from any thread.
#pragma once

#include <source_location>
#include <stdexcept>
#include <string>
#include <string_view>

namespace verdigrid {

// The value is the exit code of the program.
enum class ErrorKind {
  wrong_use = 2,      // arguments that do not fit together
  bad_input = 3,      // a file or value that cannot be used
  internal = 4,       // our bug
  no_result = 5,      // no outline, failed alignment, wrong board
  storage = 6,        // full, read-only, locked, newer schema
  interrupted = 130,  // stopped by the user
};

class Error : public std::runtime_error {
 public:
  Error(ErrorKind kind, const std::string& sentence) : std::runtime_error(sentence), kind_(kind) {}
  ErrorKind kind() const noexcept { return kind_; }
  int exit_code() const noexcept { return static_cast<int>(kind_); }

 private:
  ErrorKind kind_;
};

// Throws Error{internal} naming file and line when `holds` is false: for broken preconditions,
// never for bad input.
void require(bool holds, std::string_view what,
             std::source_location where = std::source_location::current());

}  // namespace verdigrid
