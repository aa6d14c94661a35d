#include "report/time_line.h"

#include <fmt/format.h>

#include <algorithm>

#include "jobbook/bench_record.h"
#include "jobbook/entities.h"
#include "jobbook/lock_record.h"
#include "jobbook/plan_record.h"
#include "report/figures.h"

namespace verdigrid {

namespace {

struct Happened {
  std::string on, what, who;  // date, sentence, name
};

std::string day_of(const std::string& time) { return time.substr(0, 10); }

// The day the photo was taken where it says so, else the day it was kept.
void add_photos(const JobBook& book, const Record& board, const std::string& board_name,
                std::vector<Happened>& all) {
  for (const Record& record : book.children(board.id, "photo")) {
    const KeptPhoto photo = kept_photo_from(record.body);
    const std::string& taken = photo.captured_at.empty() ? record.made_at : photo.captured_at;
    all.push_back({day_of(taken),
                   fmt::format("{}, {} side: photo, {}", board_name, name(photo.side), photo.role),
                   ""});
    for (const Record& survey : book.children(record.id, "survey"))
      all.push_back({day_of(survey.made_at),
                     fmt::format("{}, {} side: photo ({}) surveyed", board_name, name(photo.side),
                                 photo.role),
                     ""});
  }
}

void add_work(const Plan& plan, const std::string& board_name, std::vector<Happened>& all) {
  for (const WorkItem& item : plan.items) {
    if (!item.done || item.done_on.empty()) continue;
    std::string what = fmt::format("{}: {} {}", board_name, item.id, item.what);
    if (!item.place.empty()) what += ", " + item.place;
    if (item.actual_min) what += fmt::format(", {} min", figure(*item.actual_min));
    all.push_back({item.done_on, what, item.done_by});
  }
}

std::string lock_words(const LockEntry& e) {
  switch (e.kind) {
    case LockEntryKind::evidence:
      return fmt::format("evidence: {}", name(e.condition));
    case LockEntryKind::override_:
      return fmt::format("override: {} ({})", name(e.condition), e.note);
    case LockEntryKind::power: {
      const std::string failure = e.power ? failure_of(*e.power) : "";
      return failure.empty() ? "first power" : "first power: " + failure;
    }
    case LockEntryKind::test: {
      const auto passed = std::count_if(e.tests.begin(), e.tests.end(), [](const TestItem& t) {
        return t.verdict == TestVerdict::pass;
      });
      return fmt::format("tests: {} of {} passed", passed, e.tests.size());
    }
    default:
      return fmt::format("{}: {}", name(e.kind), e.note);
  }
}

void add_lock(const PowerLock& lock, const std::string& board_name, std::vector<Happened>& all) {
  for (const LockEntry& e : lock.log)
    all.push_back({e.on, fmt::format("{}: {}", board_name, lock_words(e)), e.who});
}

void add_bench(const BenchLog& log, const std::string& board_name, std::vector<Happened>& all) {
  for (const BenchEntry& e : log.entries)
    all.push_back({day_of(e.at), fmt::format("{}: {}", board_name, words(e.event)), e.who});
}

}  // namespace

std::optional<Section> time_line_section(const JobBook& book, const std::string& unit,
                                         const std::string& prefix) {
  std::vector<Happened> all;
  const std::string today = day_of(book.options().now());
  const Unit u = unit_from(book.get(unit).body);
  all.push_back({u.received_on, "received", u.received_by ? u.received_by->who : ""});
  if (!u.battery.removed_on.empty()) all.push_back({u.battery.removed_on, "battery taken out", ""});
  for (const Record& board : book.children(unit, "board")) {
    const std::string board_name = board_from(board.body).name;
    add_photos(book, board, board_name, all);
    const auto plan = kept_plan(book, board.id);
    const BenchLog log = bench_log_of(book, board.id);
    if (plan) add_work(*plan, board_name, all);
    add_bench(log, board_name, all);
    add_lock(lock_with(book, board.id, plan, log, k_nobody, today), board_name, all);
  }
  std::erase_if(all, [](const Happened& h) { return h.on.empty(); });
  if (all.empty()) return std::nullopt;
  std::stable_sort(all.begin(), all.end(),
                   [](const Happened& a, const Happened& b) { return a.on < b.on; });
  Table t{"", {"day", "what", "who"}, {}, {}};
  for (Happened& h : all) t.rows.push_back({h.on, std::move(h.what), std::move(h.who)});
  return Section{prefix + "time-line", "What happened, in order", {std::move(t)}};
}

}  // namespace verdigrid
