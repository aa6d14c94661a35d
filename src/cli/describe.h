// The command line described for shells and for man, made from the command line itself, so that it
// never says anything else.
#pragma once

#include <string>

namespace CLI {
class App;
}

namespace verdigrid {

enum class DescribeFor { bash, zsh, fish, man };

// Every subcommand, its own subcommands and their options. `app` is the whole command line.
std::string described(const CLI::App& app, DescribeFor wanted);

}  // namespace verdigrid
