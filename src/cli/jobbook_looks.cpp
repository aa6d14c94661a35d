// verdigrid jobbook: the queue, records, history, papers and copies of what is there.

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "base/error.h"
#include "cli/jobbook_runs.h"
#include "cli/plan_place.h"
#include "jobbook/exchange.h"
#include "jobbook/job_book.h"
#include "jobbook/lock_record.h"
#include "jobbook/owner_record.h"
#include "jobbook/plan_record.h"
#include "jobbook/queue.h"
#include "jobbook/survey_record.h"
#include "jobbook/unit_record.h"
#include "plan/plan_words.h"
#include "report/tag_sheet.h"

namespace verdigrid {

using nlohmann::json;

namespace {

json queue_json(const QueueRow& r) {
  json j{{"unit", r.unit},     {"name", r.name},
         {"state", r.state},   {"received_on", r.received_on},
         {"reason", r.reason}, {"next_step", r.next_step},
         {"power", r.power}};
  if (!r.money.empty()) j["money"] = r.money;
  if (!r.look_again_on.empty()) j["look_again_on"] = r.look_again_on;
  if (!r.plan) return j;
  j["likely_min"] = r.plan->likely_min;
  j["allow_min"] = r.plan->allow_min;
  j["currency"] = r.plan->currency;
  if (r.plan->owner_value) j["owner_value"] = *r.plan->owner_value;
  return j;
}

// "likely 3.2 h, allow up to 5.1 h; worth 250 EUR"
std::string hours_words(const QueueRow& r) {
  if (!r.plan) return "not planned";
  std::string text = r.plan->allow_min > 0
                         ? fmt::format("likely {:.1f} h, allow up to {:.1f} h",
                                       r.plan->likely_min / 60, r.plan->allow_min / 60)
                         : std::string("no planned work is open");
  if (r.plan->owner_value)
    text += fmt::format("; worth {:.0f} {}", *r.plan->owner_value, r.plan->currency);
  return text;
}

// "front: 3.1 % affected, 12 % unseen", "back: not photographed, so all of it is unseen"
std::string side_words(const SideSeen& side) {
  if (!side.is_photographed)
    return fmt::format("{}: not photographed, so all of it is unseen", name(side.side));
  if (!side.unseen_percent) return fmt::format("{}: not surveyed yet", name(side.side));
  return fmt::format("{}: {:.2g} % affected, {:.0f} % unseen", name(side.side),
                     side.affected_percent.value_or(0), *side.unseen_percent);
}

}  // namespace

int jobbook_list(const JobBookArguments& a, Session& s) {
  const JobBook book = opened_job_book(a, Open::read_only);
  json rows = json::array();
  const std::vector<QueueRow> queue = queue_of(book);
  for (const QueueRow& r : queue) {
    if (a.prints_json)
      rows.push_back(queue_json(r));
    else
      s.out << fmt::format("{:<12} {:<10} {:<16} {:<28} {}{}\n{:<23} {}. {}\n", r.unit,
                           r.received_on, r.state, r.name, r.next_step,
                           r.reason.empty() ? "" : " (" + r.reason + ")", "", hours_words(r),
                           r.power);
    if (!a.prints_json && !r.money.empty()) s.out << fmt::format("{:<23} {}\n", "", r.money);
  }
  if (a.prints_json) {
    s.out << json{{"format", "verdigrid-queue"}, {"version", 1}, {"units", rows}}.dump(1) << '\n';
    return 0;
  }
  const Figures all = queue_estimate(book).total;
  if (all.allow_min > 0)
    s.out << fmt::format("All planned work, by one person: {}.\n", figures_words(all));
  return 0;
}

int jobbook_show(const JobBookArguments& a, Session& s) {
  const JobBook book = opened_job_book(a, Open::read_only);
  const Record r = book.get(a.id);
  s.out << fmt::format("{} ({}), made {}\n{}\n", r.id, r.kind, r.made_at, r.body.dump(2));
  if (r.kind == "unit") {
    for (const std::string& caution : cautions(unit_from(r.body)))
      s.messages << "Caution: " << caution << '\n';
    if (const std::string alarm = money_alarm(book, a.id, today()); !alarm.empty())
      s.messages << alarm << '\n';
  }
  for (const Record& child : book.children(a.id)) {
    s.out << fmt::format("  {} ({})\n", child.id, child.kind);
    if (child.kind == "board")
      for (const SideSeen& side : sides_seen(book, child.id))
        s.out << "    " << side_words(side) << '\n';
  }
  return 0;
}

int jobbook_search(const JobBookArguments& a, Session& s) {
  const JobBook book = opened_job_book(a, Open::read_only);
  const auto hits = search(book, a.query);
  for (const Hit& h : hits) s.out << fmt::format("{:<16} {:<16} {}\n", h.id, h.unit, h.excerpt);
  if (hits.empty()) s.messages << "Nothing in the job book matches.\n";
  return 0;
}

int jobbook_history(const JobBookArguments& a, Session& s) {
  const JobBook book = opened_job_book(a, Open::read_only);
  book.get(a.id);
  for (const Change& c : book.history(a.id))
    s.out << fmt::format("{:>6} {} {:<16} {:<16} {}\n", c.step, c.at, c.who, c.record, c.what);
  return 0;
}

int jobbook_intake(const JobBookArguments& a, Session&) {
  const JobBook book = opened_job_book(a, Open::read_only);
  std::vector<KitItem> kit;
  const Unit unit = unit_at(book, a.id);
  for (const Record& k : book.children(a.id, "kit")) kit.push_back(kit_item_from(k.body));
  write_file(a.folder, intake_sheet_pdf(unit, a.id, kit, unit_power_headline(book, a.id, today())));
  return 0;
}

int jobbook_check(const JobBookArguments& a, Session& s) {
  const JobBook book = opened_job_book(a, Open::read_only);
  const auto faults = book.faults();
  for (const Fault& f : faults) s.out << f.what << '\n';
  if (faults.empty())
    s.messages << "The job book is whole: every record and every stored file was read.\n";
  return faults.empty() ? 0 : static_cast<int>(ErrorKind::storage);
}

int jobbook_backup(const JobBookArguments& a, Session&) {
  opened_job_book(a, Open::existing).backup(a.folder);
  return 0;
}

int jobbook_export(const JobBookArguments& a, Session&) {
  export_unit(opened_job_book(a, Open::existing), a.id, a.folder,
              a.with_owner ? OwnerData::include : OwnerData::leave_out);
  return 0;
}

int jobbook_import(const JobBookArguments& a, Session& s) {
  JobBook book = opened_job_book(a, Open::existing);
  const ImportedUnit i = import_unit(book, a.folder);
  s.out << fmt::format("{}: {} new records, {} known already, {} photos\n", i.unit, i.new_records,
                       i.known_records, i.files);
  return 0;
}

}  // namespace verdigrid
