// verdigrid handover ...: the sheet for the owner, days to look again, and what comes back.

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/error.h"
#include "cli/command.h"
#include "cli/job_book_place.h"
#include "cli/nested.h"
#include "cli/paper_file.h"
#include "jobbook/entities.h"
#include "jobbook/lock_record.h"
#include "jobbook/owner_record.h"
#include "report/owner_papers.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

struct HandoverArguments {
  fs::path book;
  std::string who;  // signs; empty: the name kept in the settings
  std::string unit, found, owner_said;
  std::vector<std::string> watch;
  PaperFile paper;
  bool with_owner = false;
};

JobBook opened(const HandoverArguments& a, Open how) { return opened_job_book(a.book, a.who, how); }

void write_sheet(const JobBook& book, const HandoverArguments& a, Session& s) {
  if (!a.paper.is_wanted()) return;
  a.paper.write(hand_over_document(book, a.unit, a.watch,
                                   a.with_owner ? OwnerName::include : OwnerName::leave_out),
                s);
}

std::string photo_words(const JobBook& book, const std::string& id) {
  const auto record = book.find(id);
  if (!record) return "  " + id + ": was removed\n";
  const KeptPhoto p = kept_photo_from(record->body);
  return fmt::format("  {} side of {}: {} ({})\n", name(p.side),
                     board_from(book.get(*record->parent).body).name, p.name, id);
}

int run_sheet(const HandoverArguments& a, Session& s) {
  a.paper.check();
  write_sheet(opened(a, Open::read_only), a, s);
  return 0;
}

int run_give(const HandoverArguments& a, Session& s) {
  a.paper.check();
  JobBook book = opened(a, Open::existing);
  const std::string headline =
      unit_power_headline(book, a.unit, book.options().now().substr(0, 10));
  book.change("handed over", hand_over_edits(book, a.unit, a.watch));
  write_sheet(book, a, s);
  const HandOver h = hand_overs_of(book, a.unit).back();
  s.out << fmt::format("Handed over on {} by {}. {}.\nLook again on", h.on, h.who, headline);
  for (const LookAgain& l : h.look_again) s.out << ' ' << l.on;
  s.out << '\n';
  if (h.photos.empty())
    s.messages << "No photo has the role \"handed over\": with one, what comes back can be "
                  "compared. 'verdigrid jobbook add ... --role \"handed over\"' keeps one.\n";
  return 0;
}

int run_looked(const HandoverArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  book.change("looked at again", looked_again_edits(book, a.unit, a.found));
  const std::vector<HandOver> all = hand_overs_of(book, a.unit);
  for (const LookAgain& l : all.back().look_again)
    s.out << l.on << ": "
          << (l.done_on.empty() ? "open" : "looked at on " + l.done_on + ", " + l.found) << '\n';
  return 0;
}

int run_back(const HandoverArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  book.change("came back", came_back_edits(book, a.unit, a.owner_said));
  const Visit v = visits_of(book, a.unit).back();
  s.out << fmt::format("Visit {} of {}: received again on {}.\n", v.number, a.unit, v.on);
  s.out << (v.photos.empty() ? "There are no photos of the hand-over to lay the new ones beside.\n"
                             : "Photograph the same sides again, keep them with --role \"came "
                               "back\", and compare each with the one of the hand-over:\n");
  for (const std::string& id : v.photos) s.out << photo_words(book, id);
  return 0;
}

int run_show(const HandoverArguments& a, Session& s) {
  const JobBook book = opened(a, Open::read_only);
  book.get(a.unit);
  const auto all = hand_overs_of(book, a.unit);
  if (all.empty()) s.out << "It was never handed over.\n";
  for (const HandOver& h : all) {
    s.out << fmt::format("Handed over on {} by {}{}.\n", h.on, h.who,
                         h.has_come_back ? "; it came back" : "");
    for (const std::string& w : h.watch) s.out << "  watch: " << w << '\n';
    for (const std::string& id : h.photos) s.out << photo_words(book, id);
    for (const LookAgain& l : h.look_again)
      s.out << "  look again on " << l.on
            << (l.done_on.empty() ? "" : ": done on " + l.done_on + ", " + l.found) << '\n';
  }
  for (const Visit& v : visits_of(book, a.unit))
    s.out << fmt::format("Visit {}: came back on {}{}\n", v.number, v.on,
                         v.owner_said.empty() ? "" : ": " + v.owner_said);
  return 0;
}

void add_unit(CLI::App& app, HandoverArguments& v) {
  app.add_option("JOBBOOK", v.book, "Folder of the job book")->required()->type_name("");
  app.add_option("UNIT", v.unit, "Id of the unit")->required()->type_name("");
  app.add_option("--who", v.who, "Name that signs (default: the one in the settings)")
      ->type_name("NAME");
}

void add_watch(CLI::App& app, HandoverArguments& v) {
  app.add_option("--watch", v.watch, "What the owner is to watch; may be given several times")
      ->type_name("TEXT")
      ->expected(1)
      ->take_all();
  app.add_flag("--with-owner", v.with_owner, "Name the owner on the sheet");
}

void add_sheet(CLI::App& app, HandoverArguments& v) {
  add_watch(app, v);
  add_paper_file(app, v.paper, "The sheet for the owner", true);
}

void add_give(CLI::App& app, HandoverArguments& v) {
  add_watch(app, v);
  add_paper_file(app, v.paper, "The sheet for the owner");
}

void add_looked(CLI::App& app, HandoverArguments& v) {
  app.add_option("FOUND", v.found, "What was found, in words")->required()->type_name("");
}

void add_back(CLI::App& app, HandoverArguments& v) {
  app.add_option("--said", v.owner_said,
                 "What the owner said; removed with the owner's data by 'jobbook forget-owner'")
      ->type_name("TEXT");
}

constexpr Nested<HandoverArguments> k_table[] = {
    {"sheet", "What was done, not done, not tested, and what to watch, as PDF or HTML", add_sheet,
     run_sheet},
    {"give", "Log that a unit was handed over; days to look again follow", add_give, run_give},
    {"show", "Hand-overs, days to look again and visits", add_nothing<HandoverArguments>, run_show},
    {"looked", "Log a look on a day to look again", add_looked, run_looked},
    {"back", "Receive a unit that came back, beside the photos of its hand-over", add_back,
     run_back},
};

}  // namespace

CommandRun handover_command(CLI::App& arguments) {
  return nested_command<HandoverArguments>(arguments, k_table, add_unit);
}

}  // namespace verdigrid
