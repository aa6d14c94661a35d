// What every subcommand works with besides its own arguments: where data and messages go, and how
// it is stopped.
//
// Data goes to `out`, messages to `messages`. One session per run of the program, used from one
// thread.
#pragma once

#include <ostream>
#include <stop_token>

namespace verdigrid {

struct Session {
  std::ostream& out;
  std::ostream& messages;
  bool messages_on_terminal = false;  // only then is progress shown
  std::stop_token stop;
};

}  // namespace verdigrid
