// verdigrid batch: survey many photos, and go on where an earlier run was stopped; verdigrid
// gather: one table, or one job book, from the results.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <chrono>
#include <memory>
#include <thread>

#include "base/error.h"
#include "base/files.h"
#include "cli/batch_run.h"
#include "cli/batch_table.h"
#include "cli/command.h"
#include "cli/detector_arguments.h"
#include "cli/job_book_place.h"
#include "cli/new_file.h"
#include "cli/progress_bar.h"
#include "measure/survey_file.h"

namespace verdigrid {

namespace {

namespace fs = std::filesystem;

struct BatchArguments {
  fs::path source, out;
  BatchSettings settings;
  DetectorArguments detector;
  Shard shard;
  JobBookPlace keep;
};

struct GatherArguments {
  fs::path source;
  std::vector<fs::path> results;
  NewFile table;
  JobBookPlace keep;
};

JobBookPlace place_of(const BatchItem& item, JobBookPlace place) {
  if (!item.unit.empty()) place.unit = item.unit;
  if (!item.board.empty()) place.board = item.board;
  return place;
}

// Every photo needs a unit when a job book is to keep it: said before hours of work.
void check_units(const std::vector<BatchItem>& items, const JobBookPlace& keep) {
  if (keep.book.empty()) return;
  for (const BatchItem& item : items) place_of(item, keep).check();
}

int run_batch_command(const BatchArguments& a, Session& s) {
  a.settings.photo.decode.check();
  a.settings.photo.rectify.check();
  a.settings.survey.check_all();
  const std::vector<BatchItem> all = batch_items(a.source);
  check_units(all, a.keep);
  const ChosenDetector chosen = detector_by(a.detector);
  if (!chosen.remark.empty()) s.messages << chosen.remark << '\n';
  std::optional<JobBook> book;
  if (!a.keep.book.empty()) book = opened_job_book(a.keep.book, {}, Open::existing);
  BatchKeep keep;
  if (book)
    keep = [&](const BatchItem& item, const Survey& survey) {
      keep_in_job_book(*book, place_of(item, a.keep), item.photo, survey);
    };
  ProgressBar bar(s, "Surveying");
  const BatchLine line = [&s](const nlohmann::json& l) { s.out << l.dump() << std::endl; };
  const BatchCount count = run_batch(items_of(all, a.shard), a.settings, *chosen.detector, a.out,
                                     line, keep, bar.work());
  if (a.shard.count == 1) write_file(a.out / "table.csv", gathered(all, {a.out}).csv);
  s.messages << fmt::format("{} surveyed, {} known from an earlier run, {} refused.\n", count.done,
                            count.known, count.refused);
  return count.refused == 0 ? 0 : 1;
}

int run_gather(const GatherArguments& a, Session& s) {
  a.table.check(".csv");
  const std::vector<BatchItem> items = batch_items(a.source);
  check_units(items, a.keep);
  const Gathered g = gathered(items, a.results);
  if (!a.keep.book.empty()) {
    JobBook book = opened_job_book(a.keep.book, {}, Open::existing);
    for (size_t i = 0; i < items.size(); ++i)
      if (!g.folders[i].empty())
        keep_in_job_book(book, place_of(items[i], a.keep), items[i].photo,
                         load_survey(g.folders[i]));
  }
  write_file(a.table.path, g.csv);
  size_t missing = 0;
  for (size_t i = 0; i < items.size(); ++i) {
    if (!g.folders[i].empty()) continue;
    ++missing;
    s.messages << items[i].name << ": has no survey in these results.\n";
  }
  return missing == 0 ? 0 : 1;
}

void add_source(CLI::App& app, fs::path& into) {
  app.add_option("SOURCE", into, "Folder of photos, or manifest.csv with a column \"photo\"")
      ->required()
      ->type_name("");
}

void add_keep(CLI::App& app, JobBookPlace& into) {
  app.add_option("--jobbook", into.book, "Keep photos and surveys in this job book")
      ->type_name("JOBBOOK");
  app.add_option("--unit", into.unit, "The unit of every photo, where the manifest names none")
      ->type_name("UNIT");
  app.add_option("--board", into.board, "Its board, where the manifest names none")
      ->type_name("NAME");
}

}  // namespace

CommandRun batch_command(CLI::App& arguments) {
  const auto a = std::make_shared<BatchArguments>();
  add_source(arguments, a->source);
  arguments
      .add_option("-o,--out", a->out, "Folder for the results; a run that was stopped goes on")
      ->required()
      ->type_name("FOLDER");
  a->settings.jobs = static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
  arguments.add_option("--jobs", a->settings.jobs, "Photos at a time (default: one for each core)")
      ->check(CLI::Range(1, 256))
      ->type_name("N");
  arguments
      .add_option_function<std::string>(
          "--shard", [a](const std::string& text) { a->shard = shard_from(text); },
          "Only the I-th of N shares, for one of several machines")
      ->type_name("I/N");
  add_keep(arguments, a->keep);
  add_setting_argument(arguments, a->settings.survey.detector.setting);
  add_detector_arguments(arguments, a->detector);
  add_scale_arguments(arguments, a->settings.photo);
  return [a](Session& session) { return run_batch_command(*a, session); };
}

CommandRun gather_command(CLI::App& arguments) {
  const auto a = std::make_shared<GatherArguments>();
  add_source(arguments, a->source);
  arguments.add_option("RESULTS", a->results, "Folders that 'verdigrid batch' wrote")
      ->required()
      ->type_name("");
  add_keep(arguments, a->keep);
  add_new_file_argument(arguments, a->table, "Table to write, ending in .csv");
  return [a](Session& session) { return run_gather(*a, session); };
}

}  // namespace verdigrid
