// A line on the terminal that says how far a long step is. It appears only on a terminal, only when
// the step takes over half a second, and is gone when it ends.
//
// Used from the thread that runs the subcommand.
#pragma once

#include <chrono>
#include <string>

#include "base/work.h"
#include "cli/session.h"

namespace verdigrid {

class ProgressBar {
 public:
  ProgressBar(Session& session, std::string what);
  ~ProgressBar();
  ProgressBar(const ProgressBar&) = delete;
  ProgressBar& operator=(const ProgressBar&) = delete;

  // Stops with the session and reports here. Must not outlive the bar.
  Work work();
  void show(double share);

 private:
  using Clock = std::chrono::steady_clock;
  Session& session_;
  std::string what_;
  Clock::time_point started_ = Clock::now();
  Clock::time_point drawn_{};
  bool is_drawn_ = false;
};

// "Surveying  [##########..........]  50 %".
std::string progress_line(const std::string& what, double share);

}  // namespace verdigrid
