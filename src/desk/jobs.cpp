#include "desk/jobs.h"

#include <algorithm>
#include <exception>
#include <optional>

namespace verdigrid {

namespace {

// What `step` threw, as a sentence for the person.
template <class Step>
std::optional<Error> failure_of(const Step& step) {
  try {
    step();
  } catch (const Error& e) {
    return e;
  } catch (const std::exception& e) {
    return Error(ErrorKind::internal, std::string("Internal fault: ") + e.what() +
                                          ". Please report it with the input that led here.");
  }
  return std::nullopt;
}

}  // namespace

struct JobRunner::Item {
  JobState state;
  Job job;
  std::stop_source stop;
  std::atomic<double> share{0};
  Apply apply;
  std::optional<Error> failure;
};

JobRunner::JobRunner(std::function<void()> wake, int at_once) : wake_(std::move(wake)) {
  if (!wake_) wake_ = [] {};
  for (int i = 0; i < at_once; ++i)
    workers_.emplace_back([this](const std::stop_token& stop) { work_on(stop); });
}

JobRunner::~JobRunner() {
  cancel_all();
  for (auto& w : workers_) w.request_stop();
  changed_.notify_all();
}

std::uint64_t JobRunner::start(std::string kind, std::string label, Job job) {
  cancel(kind);
  auto item = std::make_shared<Item>();
  item->job = std::move(job);
  const std::lock_guard guard(lock_);
  item->state = {next_id_++, std::move(kind), std::move(label), 0};
  waiting_.push_back(item);
  changed_.notify_one();
  return item->state.id;
}

void JobRunner::cancel(const std::string& kind) {
  const std::lock_guard guard(lock_);
  std::erase_if(waiting_, [&](const auto& i) { return i->state.kind == kind; });
  std::erase_if(done_, [&](const auto& i) { return i->state.kind == kind; });
  for (const auto& i : running_)
    if (i->state.kind == kind) i->stop.request_stop();
}

void JobRunner::cancel_all() {
  const std::lock_guard guard(lock_);
  waiting_.clear();
  done_.clear();
  for (const auto& i : running_) i->stop.request_stop();
}

std::vector<JobState> JobRunner::running() const {
  const std::lock_guard guard(lock_);
  std::vector<JobState> states;
  for (const auto* list : {&running_, &waiting_})
    for (const auto& i : *list) {
      if (i->stop.stop_requested()) continue;
      states.push_back(i->state);
      states.back().share = i->share;
    }
  return states;
}

bool JobRunner::is_pending(const std::string& kind) const {
  const auto is_meant = [&](const auto& i) {
    return i->state.kind == kind && !i->stop.stop_requested();
  };
  const std::lock_guard guard(lock_);
  return std::any_of(waiting_.begin(), waiting_.end(), is_meant) ||
         std::any_of(running_.begin(), running_.end(), is_meant) ||
         std::any_of(done_.begin(), done_.end(), is_meant);
}

bool JobRunner::is_idle() const {
  const std::lock_guard guard(lock_);
  return waiting_.empty() && running_.empty() && done_.empty();
}

// The first that is finished, of those started before the job `before`.
std::shared_ptr<JobRunner::Item> JobRunner::next_done(std::uint64_t before) {
  const std::lock_guard guard(lock_);
  const auto found =
      std::find_if(done_.begin(), done_.end(), [&](const auto& i) { return i->state.id < before; });
  if (found == done_.end()) return nullptr;
  std::shared_ptr<Item> item = *found;
  done_.erase(found);
  return item;
}

void JobRunner::take_results(const std::function<void(const std::string&, const Error&)>& failed) {
  const std::uint64_t begun_here = next_id_;  // only this thread counts it up
  while (const auto i = next_done(begun_here)) {
    std::optional<Error> failure = i->failure;
    if (!failure && i->apply) failure = failure_of(i->apply);
    if (failure) failed(i->state.label, *failure);
  }
}

void JobRunner::work_on(const std::stop_token& stop) {
  std::unique_lock guard(lock_);
  while (changed_.wait(guard, stop, [this] { return !waiting_.empty(); })) {
    const auto item = waiting_.front();
    waiting_.pop_front();
    running_.push_back(item);
    guard.unlock();
    const Work work{item->stop.get_token(), [this, item](double share) {
                      item->share = share;
                      wake_();
                    }};
    item->failure = failure_of([&] { item->apply = item->job(work); });
    item->job = {};  // lets go of its snapshot before it waits to be applied
    guard.lock();
    running_.remove(item);
    if (!item->stop.stop_requested()) done_.push_back(item);
    guard.unlock();
    wake_();
    guard.lock();
  }
}

}  // namespace verdigrid
