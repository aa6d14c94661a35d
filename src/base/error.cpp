#include "base/error.h"

#include <fmt/format.h>

namespace verdigrid {

void require(bool holds, std::string_view what, std::source_location where) {
  if (holds) return;
  throw Error(
      ErrorKind::internal,
      fmt::format("Internal fault: {} ({}:{}). Please report it with the input that led here.",
                  what, where.file_name(), where.line()));
}

}  // namespace verdigrid
