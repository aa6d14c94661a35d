// Runs a program and waits for it: exit code, standard output and standard error apart.
#pragma once

#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace verdigrid::test {

struct Outcome {
  int code = -1;    // exit code
  int signal = 0;   // that ended it; 0: it returned by itself
  std::string out;  // standard output
  std::string err;  // standard error
};

// A folder that is gone at the end of the test.
class TemporaryFolder {
 public:
  TemporaryFolder() {
    std::string pattern = (std::filesystem::temp_directory_path() / "verdigrid-XXXXXX").string();
    if (!::mkdtemp(pattern.data())) throw std::runtime_error("no temporary folder");
    path_ = pattern;
  }
  ~TemporaryFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

inline std::string text_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

// A program that was started and not yet waited for. `in_child` runs in the child before the
// program takes its place.
class Process {
 public:
  explicit Process(const std::vector<std::string>& command,
                   const std::function<void()>& in_child = {}) {
    std::vector<char*> arguments;
    for (const std::string& a : command) arguments.push_back(const_cast<char*>(a.c_str()));
    arguments.push_back(nullptr);
    const std::string out = (folder_.path() / "out").string();
    const std::string err = (folder_.path() / "err").string();
    pid_ = ::fork();
    if (pid_ < 0) throw std::runtime_error("no process");
    if (pid_ > 0) return;
    const int to_out = ::open(out.c_str(), O_WRONLY | O_CREAT, 0600);
    const int to_err = ::open(err.c_str(), O_WRONLY | O_CREAT, 0600);
    const int from_nothing = ::open("/dev/null", O_RDONLY);
    ::dup2(from_nothing, 0);
    ::dup2(to_out, 1);
    ::dup2(to_err, 2);
    if (in_child) in_child();
    ::execvp(arguments[0], arguments.data());
    ::_exit(127);
  }
  ~Process() {
    if (pid_ <= 0) return;
    ::kill(pid_, SIGKILL);
    ::waitpid(pid_, nullptr, 0);
  }
  Process(const Process&) = delete;
  Process& operator=(const Process&) = delete;

  void send(int signal) const { ::kill(pid_, signal); }
  pid_t id() const { return pid_; }

  Outcome wait() {
    int status = 0;
    ::waitpid(pid_, &status, 0);
    pid_ = -1;
    Outcome outcome;
    if (WIFEXITED(status)) outcome.code = WEXITSTATUS(status);
    if (WIFSIGNALED(status)) outcome.signal = WTERMSIG(status);
    outcome.out = text_of(folder_.path() / "out");
    outcome.err = text_of(folder_.path() / "err");
    return outcome;
  }

 private:
  TemporaryFolder folder_;
  pid_t pid_ = -1;
};

inline Outcome run(const std::vector<std::string>& command,
                   const std::function<void()>& in_child = {}) {
  return Process(command, in_child).wait();
}

}  // namespace verdigrid::test
