// What a person tells about a board on the command line, for 'plan' and 'plan tell'.
#pragma once

#include <functional>
#include <vector>

#include "plan/known.h"

namespace CLI {
class App;
}

namespace verdigrid {

// What was given, in order; what was not given stays as it is.
struct KnownArguments {
  std::vector<std::function<void(Known&)>> given;

  Known told(Known known) const;
};

// --battery, --strip and the rest, each yes|no|unknown or a value. Throws Error{wrong_use} that
// names the option.
void add_known_arguments(CLI::App& arguments, KnownArguments& into);

}  // namespace verdigrid
