// For clang-tidy 14 only, which tests/run.sh gives this header first: it lacks the compiler
// function behind std::source_location, so the library header is empty for it.
#pragma once

#include <source_location>

#ifndef __cpp_lib_source_location
namespace std {
struct source_location {
  const char* file = "";
  unsigned number = 0;
  static constexpr source_location current(const char* in_file = __builtin_FILE(),
                                           unsigned in_line = __builtin_LINE()) {
    return {in_file, in_line};
  }
  constexpr const char* file_name() const { return file; }
  constexpr unsigned line() const { return number; }
};
}  // namespace std
#endif
