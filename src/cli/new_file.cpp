#include "cli/new_file.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/error.h"

namespace verdigrid {

void NewFile::check(const char* ending) const {
  if (path.extension() != ending)
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: its name must end in {}; choose another.", path.string(), ending));
  std::error_code code;
  if (!may_replace && std::filesystem::exists(path, code))
    throw Error(
        ErrorKind::wrong_use,
        fmt::format("{}: is there already; choose another name, or add --replace.", path.string()));
}

void add_new_file_argument(CLI::App& arguments, NewFile& into, const char* help) {
  arguments.add_option("-o,--out", into.path, help)->required()->type_name("FILE");
  arguments.add_flag("--replace", into.may_replace, "Replace the file if it is there already");
}

}  // namespace verdigrid
