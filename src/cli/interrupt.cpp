#include "cli/interrupt.h"

#include <fcntl.h>
#include <signal.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <functional>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr int k_interrupted = static_cast<int>(ErrorKind::interrupted);
constexpr char k_signal = 's', k_end = 'e';

// A signal handler has no argument of its own; these two are all it touches.
int g_pipe[2] = {-1, -1};
std::atomic<int> g_signals{0};

void tell_listener(int) {
  const int saved = errno;
  if (g_signals.fetch_add(1) > 0) ::_exit(k_interrupted);
  [[maybe_unused]] const ssize_t written = ::write(g_pipe[1], &k_signal, 1);
  errno = saved;
}

void on_signal(int number, void (*handler)(int)) {
  struct sigaction action {};
  action.sa_handler = handler;
  action.sa_flags = SA_RESTART;
  sigemptyset(&action.sa_mask);
  ::sigaction(number, &action, nullptr);
}

void wait_for_signal(std::stop_source& source) {
  char what = 0;
  while (::read(g_pipe[0], &what, 1) < 0 && errno == EINTR) {
  }
  if (what == k_signal) source.request_stop();
}

}  // namespace

Interrupt::Interrupt() {
  require(g_pipe[0] < 0, "there is one interrupt handler");
  if (::pipe2(g_pipe, O_CLOEXEC) != 0)
    throw Error(ErrorKind::internal, "Internal fault: the system gave no pipe for Ctrl+C.");
  listener_ = std::jthread(wait_for_signal, std::ref(source_));
  for (const int number : {SIGINT, SIGTERM, SIGHUP}) on_signal(number, tell_listener);
}

Interrupt::~Interrupt() {
  for (const int number : {SIGINT, SIGTERM, SIGHUP}) on_signal(number, SIG_DFL);
  [[maybe_unused]] const ssize_t written = ::write(g_pipe[1], &k_end, 1);
  listener_.join();
  for (int& end : g_pipe) {
    ::close(end);
    end = -1;
  }
}

}  // namespace verdigrid
