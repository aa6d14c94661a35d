// verdigrid plan TARGET, and plan show|sheet|tell|tick|untick|actual|add|edit|remove|merge|split:
// what to do with a board, how long, how much, and what must not be done.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>

#include "base/error.h"
#include "base/files.h"
#include "cli/command.h"
#include "cli/job_book_place.h"
#include "cli/known_arguments.h"
#include "cli/lock_place.h"
#include "cli/named_photo.h"
#include "cli/nested.h"
#include "cli/new_file.h"
#include "cli/plan_arguments.h"
#include "cli/plan_place.h"
#include "cli/progress_bar.h"
#include "cli/values.h"
#include "desk/reviewed_sides.h"
#include "detect/review.h"
#include "jobbook/plan_record.h"
#include "jobbook/survey_record.h"
#include "layout/layout_json.h"
#include "measure/survey_file.h"
#include "plan/bench_work.h"
#include "plan/edit_plan.h"
#include "plan/plan_words.h"
#include "report/work_sheet.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

// Every sheet of a board says whether power is forbidden.
void print_plan(const PlanArguments& a, const Plan& plan, Session& s) {
  if (!a.prints_json && a.out.empty())
    s.out << "Power: " << state_of(opened_lock(a.place, today()), today()).headline << '\n';
  s.out << (a.prints_json ? plan_json(plan) : plan_words(plan));
}

// One item after a change: the sentence a person looks for.
void print_item(const Plan& plan, const std::string& id, Session& s) {
  s.out << item_words(plan, item_of(plan, id), nullptr);
  s.out << "Still to do: " << figures_words(estimate_of(plan).total) << ".\n";
}

constexpr const char* k_review = "review.json";

// The review that belongs to a survey folder; empty: none, or it is taken in already.
fs::path review_for(const PlanArguments& a, const fs::path& folder, const Survey& survey) {
  const bool is_named = !a.review.empty() && folder == a.folders().front();
  if (is_named && survey.review)
    throw Error(ErrorKind::wrong_use,
                folder.string() + ": a review is taken in already; leave --review out.");
  if (is_named) return a.review;
  return !survey.review && fs::exists(folder / k_review) ? folder / k_review : fs::path();
}

// The survey of a folder with what people answered and changed taken in.
Survey reviewed_folder(const PlanArguments& a, const fs::path& folder, const Layout* layout,
                       Session& s) {
  Survey survey = load_survey(folder);
  const fs::path file = review_for(a, folder, survey);
  if (file.empty()) return survey;
  const Review review = load_review(file);
  if (survey.layout && !layout)
    throw Error(ErrorKind::wrong_use,
                folder.string() +
                    ": was surveyed with a layout; name it with --layout, so that the "
                    "review can be taken in.");
  const bool is_target = folder == a.folders().front();
  const auto photo =
      photo_named(survey.photo.name, survey.photo.sha256, is_target ? a.photo : fs::path(), folder);
  if (!photo)
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: the photo {}, which the review {} needs, was not found beside it; "
                            "name it with --photo.",
                            folder.string(), survey.photo.name, file.string()));
  check_fits(review, *photo, file.filename().string());
  ProgressBar bar(s, "Taking the review in");
  const LookBase base = look_base(*photo, survey.rectification, survey.map, bar.work());
  return reviewed_survey(*photo, survey, base, review.plain_answers(), review.edits,
                         survey.layout ? layout : nullptr, bar.work())
      .survey;
}

Plan plan_of_folders(const PlanArguments& a, const RateTable& rates, Session& s) {
  std::optional<Layout> layout;
  if (!a.layout.empty()) layout = load_layout(a.layout);
  std::vector<SideFacts> sides;
  ReviewCounts taken;
  for (const fs::path& folder : a.folders()) {
    const Survey survey = reviewed_folder(a, folder, layout ? &*layout : nullptr, s);
    if (survey.review) taken.answers += survey.review->answers, taken.edits += survey.review->edits;
    sides.push_back(side_facts(survey, layout ? &*layout : nullptr, a.least_confidence));
    if (survey.layout && !layout)
      s.messages << folder.string()
                 << " was surveyed with a layout: with --layout the plan knows values, neighbours "
                    "and nets too.\n";
  }
  s.messages << (taken == ReviewCounts{}
                     ? std::string("The plan comes from the survey as the machine made it.\n")
                     : fmt::format("{} answers and {} changes by hand are taken in.\n",
                                   taken.answers, taken.edits));
  const fs::path name = fs::path(a.place.target).lexically_normal();
  return plan_of((name.has_filename() ? name : name.parent_path()).filename().string(), sides,
                 a.known.told({}), rates);
}

int make_beside(const PlanArguments& a, const RateTable& rates, Session& s) {
  NewFile out{a.out.empty() ? file_beside(a.place, k_plan_ending) : a.out, a.may_replace};
  if (!a.out.empty() || !a.prints_json) out.check(".json");
  const Plan plan = plan_of_folders(a, rates, s);
  if (!a.out.empty() || !a.prints_json) {
    write_file(out.path, plan_json(plan));
    s.messages << "Plan kept in " << out.path.string() << ".\n";
  }
  print_plan(a, plan, s);
  return 0;
}

int make_in_book(const PlanArguments& a, const RateTable& rates, Session& s) {
  JobBook book = opened_job_book(a.place.book, a.place.who, Open::existing);
  const std::string board = board_of(book, a.place);
  if (kept_plan(book, board) && !a.may_replace)
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: has a plan already; 'plan tell' adds what is known, --replace "
                            "makes it anew without its ticks.",
                            a.place.target));
  const Record record = book.get(board);
  const Known known = known_of(unit_from(book.get(a.place.target).body));
  const Plan plan =
      plan_of(board_from(record.body).name, reviewed_sides(book, board, a.least_confidence, {}),
              a.known.told(known), rates);
  keep_plan(book, board, plan, "planned");
  if (!a.out.empty()) {
    NewFile{a.out, a.may_replace}.check(".json");
    write_file(a.out, plan_json(plan));
  }
  print_plan(a, plan, s);
  return 0;
}

int run_make(const PlanArguments& a, Session& s) {
  if (a.place.target.empty())
    throw Error(ErrorKind::wrong_use,
                "Name a survey folder, or a unit with --jobbook (see: verdigrid help plan).");
  const RateTable rates = a.rates.empty() ? starting_rates() : load_rate_table(a.rates);
  return a.place.is_in_book() ? make_in_book(a, rates, s) : make_beside(a, rates, s);
}

int run_show(const PlanArguments& a, Session& s) {
  print_plan(a, opened_plan(a.place), s);
  return 0;
}

bool has_rinsed_strip(const Known& k) {
  return std::any_of(k.strips.begin(), k.strips.end(),
                     [](const StripReading& r) { return r.after_rinse; });
}

int run_tell(const PlanArguments& a, Session& s) {
  const Plan plan = changed_plan(a.place, "told the plan more", [&a](const Plan& p) {
    Plan out = with_known(p, a.known.told(p.known));
    if (!a.rates.empty()) out.rates = load_rate_table(a.rates);
    return out;
  });
  print_plan(a, plan, s);
  if (has_rinsed_strip(a.known.told({})))
    s.messages << "The power lock wants the reading after the rinse with a name too: verdigrid "
                  "lock meet "
               << a.place.target << " strip --reading \"7.1 pH\".\n";
  return 0;
}

int run_tick(const PlanArguments& a, Session& s) {
  std::string remark;
  const BenchLog log = bench_log_at(a.place);
  const Plan plan = changed_plan(a.place, "ticked off " + a.item, [&](const Plan& p) {
    remark = order_remark(p, log, a.item);
    return ticked(p, a.item, {a.place.signer(), a.on.empty() ? today() : a.on, a.minutes});
  });
  if (!remark.empty()) s.messages << "Note: " << remark << '\n';
  if (a.place.signer() == k_nobody)
    s.messages << "Note: signed by nobody; --who gives a name, 'verdigrid jobbook sign-as' keeps "
                  "yours.\n";
  print_item(plan, a.item, s);
  return 0;
}

int run_untick(const PlanArguments& a, Session& s) {
  const Plan plan = changed_plan(a.place, "took the tick of " + a.item + " back",
                                 [&a](const Plan& p) { return unticked(p, a.item); });
  print_item(plan, a.item, s);
  return 0;
}

int run_actual(const PlanArguments& a, Session& s) {
  const Plan plan = changed_plan(a.place, "logged minutes of " + a.item, [&a](const Plan& p) {
    return with_actual(p, a.item, *a.minutes);
  });
  print_item(plan, a.item, s);
  return 0;
}

int run_add(const PlanArguments& a, Session& s) {
  std::string id;
  const Plan plan = changed_plan(a.place, "added a work item", [&](const Plan& p) {
    id = fmt::format("W{}", p.next_id);
    return with_item(p, a.new_item());
  });
  print_item(plan, id, s);
  return 0;
}

int run_edit(const PlanArguments& a, Session& s) {
  const Plan plan = changed_plan(a.place, "edited " + a.item,
                                 [&a](const Plan& p) { return with_edit(p, a.item, a.edit()); });
  print_item(plan, a.item, s);
  return 0;
}

int run_remove(const PlanArguments& a, Session& s) {
  const Plan plan = changed_plan(a.place, "removed " + a.item,
                                 [&a](const Plan& p) { return without_item(p, a.item); });
  s.out << a.item << " was removed. Still to do: " << figures_words(estimate_of(plan).total)
        << ".\n";
  return 0;
}

int run_merge(const PlanArguments& a, Session& s) {
  const Plan plan = changed_plan(a.place, fmt::format("merged {}", fmt::join(a.items, ", ")),
                                 [&a](const Plan& p) { return merged(p, a.items); });
  print_item(plan, a.items.front(), s);
  return 0;
}

int run_split(const PlanArguments& a, Session& s) {
  if (a.parts.empty() == !a.quantity)
    throw Error(ErrorKind::wrong_use,
                "Say what to split off: either --quantity or --part, not both.");
  std::string id;
  const Plan plan = changed_plan(a.place, "split " + a.item, [&](const Plan& p) {
    id = fmt::format("W{}", p.next_id);
    return a.quantity ? split(p, a.item, *a.quantity) : split(p, a.item, a.parts);
  });
  s.out << item_words(plan, item_of(plan, a.item), nullptr);
  print_item(plan, id, s);
  return 0;
}

int run_sheet(const PlanArguments& a, Session& s) {
  a.sheet.check(".pdf");
  const Plan plan = opened_plan(a.place);
  std::vector<Survey> surveys;
  std::optional<Layout> layout;
  if (a.place.is_in_book()) {
    const JobBook book = opened_job_book(a.place.book, a.place.who, Open::read_only);
    const std::string board = board_of(book, a.place);
    for (const KeptSide& side : surveys_on_arrival(book, board))
      surveys.push_back(kept_survey(book, side.survey));
    layout = layout_of(book, board);
  } else {
    for (const fs::path& folder : a.folders()) surveys.push_back(load_survey(folder));
  }
  if (!a.layout.empty()) layout = load_layout(a.layout);
  if (surveys.empty())
    throw Error(ErrorKind::wrong_use,
                a.place.target +
                    ": the photos that its plan was made from are not there any more; "
                    "make the plan anew with --replace.");
  std::vector<SheetSide> sides;
  for (const Survey& survey : surveys)
    sides.push_back({survey, layout && survey.layout ? &*layout : nullptr});
  write_file(
      a.sheet.path,
      work_sheet_pdf(plan, sides, state_of(opened_lock(a.place, today()), today()).headline));
  s.messages << "Written to " << a.sheet.path.string() << ".\n";
  return 0;
}

constexpr Nested<PlanArguments> k_table[] = {
    {"show", "Print the plan again", add_show_arguments, run_show},
    {"sheet", "Write the work sheet: drawing and items to tick (PDF)", add_sheet_arguments,
     run_sheet},
    {"tell", "Tell it more: battery, strip reading, what was washed", add_tell_arguments, run_tell},
    {"tick", "Tick a work item off, with the minutes it took", add_tick_arguments, run_tick},
    {"untick", "Take a tick back", add_item_arguments, run_untick},
    {"actual", "Log or correct the minutes of a ticked item", add_actual_arguments, run_actual},
    {"add", "Add a work item", add_add_arguments, run_add},
    {"edit", "Change a work item", add_edit_arguments, run_edit},
    {"remove", "Remove a work item", add_item_arguments, run_remove},
    {"merge", "Make one item of several of the same operation", add_merge_arguments, run_merge},
    {"split", "Make two items of one", add_split_arguments, run_split},
};

}  // namespace

CommandRun plan_command(CLI::App& arguments) {
  const CommandRun nested = nested_command<PlanArguments>(arguments, k_table);
  arguments.require_subcommand(0, 1);
  const auto own = std::make_shared<PlanArguments>();
  add_make_arguments(arguments, *own);
  return [nested, own, app = &arguments](Session& session) {
    return app->get_subcommands().empty() ? run_make(*own, session) : nested(session);
  };
}

}  // namespace verdigrid
