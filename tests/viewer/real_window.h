// The built program in a real window on a display of its own (Xvfb), moved by real input events
// (xdotool). What it did is read from its job book, as another process would.
#pragma once

#include <fmt/format.h>

#include <chrono>
#include <filesystem>
#include <functional>
#include <string>
#include <thread>

#include "desk/desk.h"
#include "desk/view.h"
#include "tests/process.h"

namespace verdigrid::test {

// Why no window can be had here; empty when it can.
inline std::string no_window_because() {
  for (const char* program : {"Xvfb", "xdotool"})
    if (run({"sh", "-c", std::string("command -v ") + program}).code != 0)
      return std::string(program) + " is not installed (.ci/packages.txt lists it)";
  return {};
}

// Waits until `holds`, looking again and again; false when it does not within `seconds`.
inline bool comes_true(const std::function<bool()>& holds, int seconds = 60) {
  using Clock = std::chrono::steady_clock;
  const auto end = Clock::now() + std::chrono::seconds(seconds);
  while (Clock::now() < end) {
    if (holds()) return true;
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
  }
  return false;
}

// An X server on the first display that is free, ended with the test.
class Display {
 public:
  explicit Display(const std::string& screen = "1280x800x24")
      : server_({"sh", "-c",
                 fmt::format("exec Xvfb -displayfd 3 -screen 0 {} -nolisten tcp 3>{}", screen,
                             (folder_.path() / "number").string())}) {
    if (!comes_true([&] { return !number().empty(); })) throw std::runtime_error("no display");
  }
  std::string name() const { return fmt::format(":{}", number()); }

 private:
  std::string number() const {
    std::string text = text_of(folder_.path() / "number");
    if (text.empty() || text.back() != '\n') return {};
    text.pop_back();
    return text;
  }
  TemporaryFolder folder_;
  Process server_;
};

class RealWindow {
 public:
  RealWindow(const Display& display, const std::filesystem::path& home,
             const std::vector<std::string>& arguments)
      : display_(display.name()),
        home_(home),
        program_(with_program(arguments), [this] { set_environment(); }) {
    if (!comes_true([&] { return !title().empty(); })) throw std::runtime_error("no window");
  }

  void kill_hard() {
    program_.send(SIGKILL);
    program_.wait();
  }
  // Of the only window, empty while none is shown: until then it takes no keys.
  std::string title() const {
    const std::string id = input("search --onlyvisible --name Verdigrid");
    return id.empty() ? std::string() : input("getwindowname " + id.substr(0, id.find('\n')));
  }
  void key(const std::string& name) const { input("key --clearmodifiers " + name + " sleep 0.15"); }
  void type(const std::string& text) const { input("type --delay 60 " + text); }
  // The whole screen: there is no window manager that would do it. The pointer goes to the corner,
  // where nothing answers to it.
  void fill(cv::Size screen) const {
    const std::string id = input("search --onlyvisible --name Verdigrid");
    input(fmt::format("windowsize {} {} {} mousemove {} {}", id.substr(0, id.find('\n')),
                      screen.width, screen.height, screen.width - 1, screen.height - 1));
  }
  // Until it has computed and drawn everything: it then takes no processor time.
  void rest() const {
    constexpr int k_idle_ticks = 3;
    const auto is_idle = [&] {
      const long before = ticks();
      std::this_thread::sleep_for(std::chrono::milliseconds(300));
      return ticks() - before <= k_idle_ticks;
    };
    comes_true([&] { return is_idle() && is_idle(); }, 120);
  }
  void click(cv::Point2d at) const {
    input(move(at) + " sleep 0.15 mousedown 1 sleep 0.12 mouseup 1 sleep 0.2");
  }
  void drag(cv::Point2d from, cv::Point2d to) const {
    input(move(from) + " sleep 0.15 mousedown 1 sleep 0.15 " + move((from + to) * 0.5) +
          " sleep 0.1 " + move(to) + " sleep 0.2 mouseup 1 sleep 0.2");
  }
  std::filesystem::path job_book() const { return home_ / "data" / "verdigrid" / "job-book"; }

 private:
  // Of processor time, as the system counts: the 14th and 15th field of /proc/PID/stat.
  long ticks() const {
    std::string stat = text_of(fmt::format("/proc/{}/stat", program_.id()));
    std::istringstream fields(stat.substr(stat.rfind(')') + 1));
    std::string skipped;
    for (int i = 3; i < 14; ++i) fields >> skipped;
    long user = 0, system = 0;
    fields >> user >> system;
    return user + system;
  }
  static std::vector<std::string> with_program(const std::vector<std::string>& arguments) {
    std::vector<std::string> command{VERDIGRID_PROGRAM};
    command.insert(command.end(), arguments.begin(), arguments.end());
    return command;
  }
  static std::string move(cv::Point2d p) {
    return fmt::format("mousemove {} {}", cvRound(p.x), cvRound(p.y));
  }
  void set_environment() const {
    ::setenv("DISPLAY", display_.c_str(), 1);
    ::setenv("HOME", home_.c_str(), 1);
    ::setenv("XDG_DATA_HOME", (home_ / "data").c_str(), 1);
    ::setenv("XDG_CONFIG_HOME", (home_ / "config").c_str(), 1);
    ::setenv("LIBGL_ALWAYS_SOFTWARE", "1", 1);
    // Where the chooser of files begins.
    if (::chdir(VERDIGRID_SOURCE_DIR "/samples") != 0) ::_exit(126);
  }
  std::string input(const std::string& words) const {
    std::vector<std::string> command{"xdotool"};
    std::istringstream list(words);
    for (std::string word; list >> word;) command.push_back(word);
    std::string said = run(command, [this] { set_environment(); }).out;
    while (!said.empty() && said.back() == '\n') said.pop_back();
    return said;
  }

  std::string display_;
  std::filesystem::path home_;
  Process program_;
};

// The work that was changed last, as the job book has it now.
inline std::optional<Document> kept_work(const std::filesystem::path& job_book) {
  if (!std::filesystem::exists(job_book / "job-book.sqlite")) return std::nullopt;
  try {
    const JobBook book = JobBook::open(job_book, {}, Open::read_only);
    const std::vector<Record> works = book.of_kind("work");
    if (works.empty()) return std::nullopt;
    return document_from(works.back().body);
  } catch (const Error&) {
    return std::nullopt;  // it is being made, or written to, at this very moment
  }
}

// The canvas of a window of this size with a photo open: the view of viewer/app.cpp.
inline cv::Rect2d canvas_of(cv::Size window) {
  return {0, 48, window.width - 400.0, window.height - 78.0};
}

}  // namespace verdigrid::test
