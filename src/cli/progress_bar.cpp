#include "cli/progress_bar.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace verdigrid {

namespace {

constexpr std::chrono::milliseconds k_shown_after{500};
constexpr std::chrono::milliseconds k_redrawn_after{80};
constexpr int k_bar_signs = 30;
constexpr char k_clear_line[] = "\r\x1b[K";

}  // namespace

std::string progress_line(const std::string& what, double share) {
  const double held = std::clamp(std::isfinite(share) ? share : 0.0, 0.0, 1.0);
  const auto full = static_cast<size_t>(std::lround(held * k_bar_signs));
  return fmt::format("{}  [{}{}] {:3.0f} %", what, std::string(full, '#'),
                     std::string(k_bar_signs - full, '.'), std::floor(100 * held));
}

ProgressBar::ProgressBar(Session& session, std::string what)
    : session_(session), what_(std::move(what)) {}

ProgressBar::~ProgressBar() {
  if (is_drawn_) session_.messages << k_clear_line << std::flush;
}

Work ProgressBar::work() {
  Work work;
  work.stop = session_.stop;
  if (session_.messages_on_terminal) work.progress = [this](double share) { show(share); };
  return work;
}

void ProgressBar::show(double share) {
  const auto now = Clock::now();
  if (now - started_ < k_shown_after || now - drawn_ < k_redrawn_after) return;
  drawn_ = now;
  is_drawn_ = true;
  session_.messages << k_clear_line << progress_line(what_, share) << std::flush;
}

}  // namespace verdigrid
