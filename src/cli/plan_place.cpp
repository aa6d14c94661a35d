#include "cli/plan_place.h"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <ctime>

#include "base/error.h"
#include "base/files.h"
#include "base/folder_hold.h"
#include "cli/job_book_place.h"
#include "jobbook/bench_record.h"
#include "jobbook/entities.h"
#include "jobbook/person.h"
#include "jobbook/plan_record.h"
#include "jobbook/unit_record.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

Plan plan_in(const JobBook& book, const PlanPlace& place) {
  const std::string board = board_of(book, place);
  if (auto plan = kept_plan(book, board)) return std::move(*plan);
  throw Error(ErrorKind::wrong_use,
              fmt::format("{}: {} has no plan yet; make one: verdigrid plan {} --jobbook {}.",
                          place.target, board, place.target, place.book.string()));
}

Plan plan_beside(const PlanPlace& place) {
  const fs::path file = file_beside(place, k_plan_ending);
  if (!fs::exists(file))
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: there is no plan {}; make one: verdigrid plan {}.", place.target,
                            file.string(), place.target));
  return load_plan(file);
}

}  // namespace

std::string PlanPlace::signer() const {
  return who.empty() ? person_name().value_or("nobody") : who;
}

void add_plan_place(CLI::App& app, PlanPlace& into, bool is_required) {
  auto* target = app.add_option("TARGET", into.target,
                                "Survey folder (its plan and lock lie beside it), a plan or lock "
                                "file, or a unit's id with --jobbook")
                     ->type_name("");
  if (is_required) target->required();
  app.add_option("--jobbook", into.book, "Folder of the job book that holds the unit")
      ->type_name("FOLDER");
  app.add_option("--board", into.board, "Name of the unit's board, where it has several")
      ->type_name("NAME");
  app.add_option("--who", into.who, "Name that signs (default: the one in the settings)")
      ->type_name("NAME");
}

fs::path file_beside(const PlanPlace& place, const char* ending) {
  fs::path path = fs::path(place.target).lexically_normal();
  if (!path.has_filename()) path = path.parent_path();
  if (fs::is_directory(path)) return path.string() + ending;
  // A plan's name leads to its lock and bench log, and the other way round.
  for (const std::string own : {k_plan_ending, k_lock_ending, k_bench_ending})
    if (path.string().ends_with(own))
      return path.string().substr(0, path.string().size() - own.size()) + ending;
  if (path.extension() == ".json") return path;
  throw Error(
      ErrorKind::wrong_use,
      fmt::format("{}: is no survey folder and no .json file; name a folder that 'verdigrid "
                  "survey -o' wrote, or add --jobbook for a unit.",
                  place.target));
}

std::string board_of(const JobBook& book, const PlanPlace& place) {
  unit_record(book, place.target);
  const auto boards = book.children(place.target, "board");
  std::string names;
  for (const Record& b : boards) {
    const std::string name = board_from(b.body).name;
    if (place.board == name || place.board == b.id || (place.board.empty() && boards.size() == 1))
      return b.id;
    names += (names.empty() ? "" : ", ") + name;
  }
  throw Error(ErrorKind::wrong_use,
              names.empty() ? fmt::format("{}: has no board yet; survey a photo of it first, with "
                                          "--jobbook and --unit.",
                                          place.target)
                            : fmt::format("{}: name one of its boards with --board: {}.",
                                          place.target, names));
}

std::string today() { return fmt::format("{:%Y-%m-%d}", fmt::gmtime(std::time(nullptr))); }

Plan opened_plan(const PlanPlace& place) {
  if (!place.is_in_book()) return plan_beside(place);
  return plan_in(opened_job_book(place.book, place.who, Open::read_only), place);
}

BenchLog bench_log_at(const PlanPlace& place) {
  if (place.is_in_book()) {
    const JobBook book = opened_job_book(place.book, place.who, Open::read_only);
    return bench_log_of(book, board_of(book, place));
  }
  const fs::path file = file_beside(place, k_bench_ending);
  // Of a plan in a file of another name nothing lies beside it.
  return file != file_beside(place, k_plan_ending) && fs::exists(file) ? load_bench_log(file)
                                                                       : BenchLog{};
}

Plan changed_plan(const PlanPlace& place, const std::string& what,
                  const std::function<Plan(const Plan&)>& change) {
  if (!place.is_in_book()) {
    const fs::path file = file_beside(place, k_plan_ending);
    const FolderHold hold(file);
    const Plan plan = change(plan_beside(place));
    write_file(file, plan_json(plan));
    return plan;
  }
  JobBook book = opened_job_book(place.book, place.who, Open::existing);
  Plan plan;
  book.change_by(what, [&] {
    plan = change(plan_in(book, place));
    return plan_edits(book, board_of(book, place), plan);
  });
  return plan;
}

}  // namespace verdigrid
