// Long work away from the window: a job is a function of a snapshot that gives a function to apply
// to the desk.
//
// Two jobs at most run at once; a new job of a kind cancels the older ones of that kind. Results
// are applied by take_results() on the thread that owns the desk, in the order in which they were
// finished; results of cancelled jobs are dropped. The runner stops and joins when it is destroyed.
#pragma once

#include <atomic>
#include <condition_variable>
#include <deque>
#include <functional>
#include <list>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "base/work.h"

namespace verdigrid {

// Runs on a worker; the returned function runs on the desk's thread.
using Apply = std::function<void()>;
using Job = std::function<Apply(const Work&)>;

struct JobState {
  std::uint64_t id = 0;
  std::string kind, label;  // label: what the status line says, "Surveying front.jpg"
  double share = 0;
};

class JobRunner {
 public:
  // `wake` is called from workers whenever something changed (the window then draws once more).
  explicit JobRunner(std::function<void()> wake = {}, int at_once = 2);
  ~JobRunner();
  JobRunner(const JobRunner&) = delete;
  JobRunner& operator=(const JobRunner&) = delete;

  std::uint64_t start(std::string kind, std::string label, Job job);
  void cancel(const std::string& kind);
  void cancel_all();
  std::vector<JobState> running() const;           // waiting ones too
  bool is_pending(const std::string& kind) const;  // waiting, running or not yet applied
  bool is_idle() const;

  // Applies what is finished. A job that failed gives its sentence to `failed`. One that is still
  // pending then can be cancelled by what is applied before it.
  void take_results(const std::function<void(const std::string& label, const Error&)>& failed);

 private:
  struct Item;
  std::shared_ptr<Item> next_done(std::uint64_t before);
  void work_on(const std::stop_token& stop);

  std::function<void()> wake_;
  mutable std::mutex lock_;
  std::condition_variable_any changed_;
  std::list<std::shared_ptr<Item>> waiting_, running_;
  std::deque<std::shared_ptr<Item>> done_;
  std::uint64_t next_id_ = 1;
  std::vector<std::jthread> workers_;  // last: joined before the rest goes
};

}  // namespace verdigrid
