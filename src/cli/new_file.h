// A file that a subcommand is asked to write: an existing one is kept unless the person says that
// it may be replaced.
#pragma once

#include <filesystem>

namespace CLI {
class App;
}

namespace verdigrid {

struct NewFile {
  std::filesystem::path path;
  bool may_replace = false;

  // Throws Error{wrong_use} when the file is there and must be kept, or when its name does not end
  // in `ending` (".pdf").
  void check(const char* ending) const;
};

// -o/--out FILE, required, and --replace.
void add_new_file_argument(CLI::App& arguments, NewFile& into, const char* help);

}  // namespace verdigrid
