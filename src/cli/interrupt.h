// Ctrl+C and a termination signal as a stop request, so that running work ends cleanly. A second
// signal ends the program at once.
//
// One object, made in main before any thread starts.
#pragma once

#include <stop_token>
#include <thread>

namespace verdigrid {

class Interrupt {
 public:
  Interrupt();
  ~Interrupt();
  Interrupt(const Interrupt&) = delete;
  Interrupt& operator=(const Interrupt&) = delete;

  std::stop_token token() const { return source_.get_token(); }

 private:
  std::stop_source source_;
  std::jthread listener_;
};

}  // namespace verdigrid
