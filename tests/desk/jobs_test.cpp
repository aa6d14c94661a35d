#include "desk/jobs.h"

#include <catch2/catch.hpp>
#include <latch>

using namespace verdigrid;

namespace {

const auto k_no_failure = [](const std::string& label, const Error& e) {
  FAIL(label << ": " << e.what());
};

// Applies results until the runner is idle.
void finish(JobRunner& runner,
            const std::function<void(const std::string&, const Error&)>& failed) {
  while (!runner.is_idle()) {
    runner.take_results(failed);
    std::this_thread::yield();
  }
}

}  // namespace

TEST_CASE("a job's result is applied on the thread that takes it") {
  JobRunner runner;
  std::thread::id worked, applied;
  runner.start("survey", "Surveying", [&](const Work&) -> Apply {
    worked = std::this_thread::get_id();
    return [&] { applied = std::this_thread::get_id(); };
  });
  finish(runner, k_no_failure);
  CHECK(applied == std::this_thread::get_id());
  CHECK(worked != applied);
}

TEST_CASE("the newest job of a kind cancels the one before, whose result is dropped") {
  JobRunner runner;
  std::latch started(1);
  std::vector<int> results;
  runner.start("survey", "first", [&](const Work& work) -> Apply {
    started.count_down();
    while (!work.stop.stop_requested()) std::this_thread::yield();
    return [&] { results.push_back(1); };
  });
  started.wait();
  runner.start("survey", "second",
               [&](const Work&) -> Apply { return [&] { results.push_back(2); }; });
  finish(runner, k_no_failure);
  CHECK(results == std::vector<int>{2});
}

TEST_CASE("a result that cannot be applied gives its sentence and the next one is applied") {
  JobRunner runner(nullptr, 1);
  std::vector<std::string> said;
  bool applied = false;
  runner.start("save", "Saving", [](const Work&) -> Apply {
    return [] { throw Error(ErrorKind::storage, "/full: the disk is full."); };
  });
  runner.start("other", "Other", [&](const Work&) -> Apply { return [&] { applied = true; }; });
  finish(runner, [&](const std::string&, const Error& e) { said.emplace_back(e.what()); });
  CHECK(said == std::vector<std::string>{"/full: the disk is full."});
  CHECK(applied);
}

TEST_CASE("a job is pending until its result was applied") {
  JobRunner runner;
  bool applied = false;
  CHECK_FALSE(runner.is_pending("read"));
  runner.start("read", "Reading", [&](const Work&) -> Apply { return [&] { applied = true; }; });
  while (!runner.running().empty()) {  // its work is done, its result lies there
    CHECK(runner.is_pending("read"));
    std::this_thread::yield();
  }
  CHECK(runner.is_pending("read"));
  CHECK_FALSE(runner.is_pending("place"));
  runner.take_results(k_no_failure);
  CHECK(applied);
  CHECK_FALSE(runner.is_pending("read"));
}

TEST_CASE("what is applied cancels older results of the kinds it starts anew") {
  JobRunner runner({}, 1);
  std::vector<int> results;
  runner.start("survey", "first", [&](const Work&) -> Apply {
    return [&] {
      results.push_back(1);
      runner.start("look", "new",
                   [&](const Work&) -> Apply { return [&] { results.push_back(3); }; });
    };
  });
  runner.start("look", "old", [&](const Work&) -> Apply { return [&] { results.push_back(2); }; });
  while (!runner.running().empty()) std::this_thread::yield();
  finish(runner, k_no_failure);
  CHECK(results == std::vector<int>{1, 3});
}

TEST_CASE("a failed job gives its sentence") {
  JobRunner runner;
  std::vector<std::string> said;
  runner.start("open", "Opening a.jpg", [](const Work&) -> Apply {
    throw Error(ErrorKind::bad_input, "a.jpg: is no picture.");
  });
  runner.start("other", "Other", [](const Work&) -> Apply { throw std::runtime_error("odd"); });
  finish(runner,
         [&](const std::string& label, const Error& e) { said.push_back(label + "|" + e.what()); });
  REQUIRE(said.size() == 2);
  std::sort(said.begin(), said.end());
  CHECK(said[0] == "Opening a.jpg|a.jpg: is no picture.");
  CHECK_THAT(said[1], Catch::Contains("Internal fault: odd"));
}

TEST_CASE("progress is seen while a job runs, and closing stops what runs") {
  std::latch reported(1);
  {
    JobRunner runner;
    runner.start("survey", "Surveying", [&](const Work& work) -> Apply {
      work.report(0.25);
      reported.count_down();
      while (!work.stop.stop_requested()) std::this_thread::yield();
      work.check();
      return {};
    });
    reported.wait();
    const auto states = runner.running();
    REQUIRE(states.size() == 1);
    CHECK(states[0].share == 0.25);
    CHECK(states[0].label == "Surveying");
  }
  SUCCEED("the runner was joined");
}
