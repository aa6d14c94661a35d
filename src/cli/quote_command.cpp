// verdigrid quote ...: what a job may cost, told to the owner, answered, and told again.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cmath>

#include "base/error.h"
#include "cli/command.h"
#include "cli/job_book_place.h"
#include "cli/nested.h"
#include "cli/paper_file.h"
#include "cli/plan_place.h"
#include "cli/values.h"
#include "jobbook/owner_record.h"
#include "report/owner_papers.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

struct QuoteArguments {
  fs::path book;
  std::string who;  // signs; empty: the name kept in the settings
  std::string unit;
  QuoteTerms terms;
  std::optional<double> call_above;
  std::string owner_said;
  PaperFile paper;
  bool with_owner = false;
};

JobBook opened(const QuoteArguments& a, Open how) { return opened_job_book(a.book, a.who, how); }

std::string kept_words(const KeptQuote& k) {
  std::string text = fmt::format("Quote {} of {}, {}: {}.", k.quote.number, k.quote.made_on,
                                 name(k.quote.state), quote_words(k.quote));
  if (!k.owner_said.empty()) text += fmt::format(" The owner said: {}", k.owner_said);
  return text + "\n";
}

void say_alarm(const JobBook& book, const QuoteArguments& a, Session& s) {
  if (const std::string alarm = money_alarm(book, a.unit, today()); !alarm.empty())
    s.messages << alarm << '\n';
}

void print_newest(const JobBook& book, const QuoteArguments& a, Session& s) {
  s.out << kept_words(quotes_of(book, a.unit).back());
  say_alarm(book, a, s);
}

int run_make(const QuoteArguments& a, Session& s) {
  a.paper.check();
  JobBook book = opened(a, Open::existing);
  book.change("quoted", quote_edits(book, a.unit, a.terms));
  if (a.paper.is_wanted())
    a.paper.write(
        quote_document(book, a.unit, a.with_owner ? OwnerName::include : OwnerName::leave_out), s);
  print_newest(book, a, s);
  return 0;
}

int run_show(const QuoteArguments& a, Session& s) {
  a.paper.check();
  const JobBook book = opened(a, Open::read_only);
  const JobCost now = unit_cost(book, a.unit);
  s.out << fmt::format("The plan today: spent {}, likely {}, allow up to {} in all, without tax.\n",
                       money_words(now.spent, now.currency), money_words(now.likely, now.currency),
                       money_words(now.allow, now.currency));
  for (const KeptQuote& k : quotes_of(book, a.unit)) s.out << kept_words(k);
  if (quotes_of(book, a.unit).empty()) s.out << "Nothing was quoted yet.\n";
  if (a.paper.is_wanted())
    a.paper.write(
        quote_document(book, a.unit, a.with_owner ? OwnerName::include : OwnerName::leave_out), s);
  say_alarm(book, a, s);
  return 0;
}

int answer(const QuoteArguments& a, QuoteState state, Session& s) {
  JobBook book = opened(a, Open::existing);
  book.change(fmt::format("quote {}", name(state)),
              answer_edits(book, a.unit, {state, a.call_above, a.owner_said}));
  print_newest(book, a, s);
  return 0;
}

int run_sent(const QuoteArguments& a, Session& s) { return answer(a, QuoteState::sent, s); }
int run_agreed(const QuoteArguments& a, Session& s) { return answer(a, QuoteState::agreed, s); }
int run_declined(const QuoteArguments& a, Session& s) { return answer(a, QuoteState::declined, s); }

void add_unit(CLI::App& app, QuoteArguments& v) {
  app.add_option("JOBBOOK", v.book, "Folder of the job book")->required()->type_name("");
  app.add_option("UNIT", v.unit, "Id of the unit")->required()->type_name("");
  app.add_option("--who", v.who, "Name that signs (default: the one in the settings)")
      ->type_name("NAME");
}

void add_paper(CLI::App& app, QuoteArguments& v) {
  add_paper_file(app, v.paper, "The quote for the owner");
  app.add_flag("--with-owner", v.with_owner, "Name the owner on it");
}

template <class Into>
void add_amount(CLI::App& app, const char* option, Into& into, const char* help, const char* type) {
  app.add_option_function<std::string>(
         option, [&into, option](const std::string& text) { into = number_from(option, text); },
         help)
      ->type_name(type);
}

void add_make(CLI::App& app, QuoteArguments& v) {
  add_amount(app, "--tax", v.terms.tax_percent, "Tax on top, in percent (default 0)", "PERCENT");
  app.add_option_function<std::string>(
         "--valid",
         [&v](const std::string& text) {
           const double days = number_from("--valid", text);
           if (days != std::round(days) || !(days >= 1 && days <= 3650))
             throw Error(
                 ErrorKind::wrong_use,
                 "--valid: must be a whole number of days from 1 to 3650, not \"" + text + "\".");
           v.terms.valid_days = static_cast<int>(days);
         },
         "Days that it holds (default 30)")
      ->type_name("DAYS");
  add_amount(app, "--call-above", v.terms.call_above,
             "Call the owner before it costs more than this, with tax", "AMOUNT");
  add_paper(app, v);
}

void add_answer(CLI::App& app, QuoteArguments& v) {
  add_amount(app, "--call-above", v.call_above,
             "The owner wants a call before it costs more than this, with tax", "AMOUNT");
  app.add_option("--said", v.owner_said,
                 "What the owner said; removed with the owner's data by 'jobbook forget-owner'")
      ->type_name("TEXT");
}

constexpr Nested<QuoteArguments> k_table[] = {
    {"make", "Quote what the plans of a unit say today", add_make, run_make},
    {"show", "Every quote, what the plan costs today, and whether the owner must be called",
     add_paper, run_show},
    {"sent", "Log that the newest quote was sent", add_nothing<QuoteArguments>, run_sent},
    {"agreed", "Log that the owner agreed", add_answer, run_agreed},
    {"declined", "Log that the owner declined", add_answer, run_declined},
};

}  // namespace

CommandRun quote_command(CLI::App& arguments) {
  return nested_command<QuoteArguments>(arguments, k_table, add_unit);
}

}  // namespace verdigrid
