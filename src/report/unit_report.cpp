#include "report/unit_report.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "jobbook/bench_record.h"
#include "jobbook/entities.h"
#include "jobbook/lock_record.h"
#include "jobbook/plan_record.h"
#include "jobbook/survey_record.h"
#include "jobbook/unit_record.h"
#include "photo/decode.h"
#include "report/area_time_line.h"
#include "report/plan_section.h"
#include "report/time_line.h"
#include "report/unit_change.h"

namespace verdigrid {

namespace {

// Rows of what is known: an empty value is left out.
void add_row(Table& table, const char* what, const std::string& value) {
  if (!value.empty()) table.rows.push_back({what, value});
}

std::string battery_words(const Battery& b) {
  if (!b.removed_on.empty()) return "taken out on " + b.removed_on;
  std::string words = fmt::format("fitted: {}; leaking: {}; keeps data alive: {}", name(b.fitted),
                                  name(b.leaking), name(b.keeps_data));
  if (!b.kind.empty()) words = b.kind + "; " + words;
  if (b.data_saved) words += fmt::format("; data saved, signed {}", b.data_saved->who);
  if (b.loss_accepted) words += fmt::format("; loss accepted, signed {}", b.loss_accepted->who);
  return words;
}

Section unit_section(const JobBook& book, const std::string& id, const Unit& u, OwnerName owner) {
  Section section{"unit", "The unit", {}};
  Table t{"", {"what", "as logged"}, {}, {}};
  add_row(t, "what it is", u.name);
  add_row(t, "number", u.entry_number.empty() ? id : u.entry_number);
  if (owner == OwnerName::include) add_row(t, "owner", u.owner);
  add_row(t, "received on", u.received_on);
  add_row(t, "state of the job", u.state);
  add_row(t, "condition", u.condition);
  add_row(t, "completeness", u.completeness);
  add_row(t, "missing or loose", u.missing_parts);
  add_row(t, "earlier repair", u.previous_repair);
  add_row(t, "smell", u.smell);
  add_row(t, "wet", name(u.wet));
  add_row(t, "strip reading", u.strip_reading);
  add_row(t, "battery", battery_words(u.battery));
  add_row(t, "picture tube", name(u.picture_tube));
  add_row(t, "mains capacitors", name(u.mains_capacitors));
  section.blocks.emplace_back(std::move(t));
  Table kit{"Kit", {"what", "name", "slot", "looked at"}, {}, {}};
  for (const Record& k : book.children(id, "kit")) {
    const KitItem item = kit_item_from(k.body);
    kit.rows.push_back({item.what, item.name, item.slot, item.looked_at ? "yes" : "no"});
  }
  if (!kit.rows.empty()) section.blocks.emplace_back(std::move(kit));
  for (const std::string& caution : cautions(u))
    section.blocks.emplace_back(Paragraph{caution, Emphasis::caution});
  return section;
}

Section not_surveyed(const std::string& prefix, const std::string& board, Side side) {
  return {prefix + "unseen",
          fmt::format("{}, {} side", board, name(side)),
          {Paragraph{"Not surveyed: nothing is known of this side, so all of it is unseen.",
                     Emphasis::strong}}};
}

void add_side(const JobBook& book, const Record& board, Side side, const ReportOptions& options,
              ReportDocument& document, const Work& work) {
  const std::string board_name = board_from(board.body).name;
  const std::string prefix = fmt::format("s{}-", document.sections.size());
  const auto found = newest_survey(book, board.id, side);
  if (!found) {
    document.sections.push_back(not_surveyed(prefix, board_name, side));
    return;
  }
  const KeptPhoto kept = kept_photo_from(book.get(found->photo).body);
  const Photo photo = decode_photo(book.file(kept.sha256), kept.name);
  const Survey survey = kept_survey(book, found->survey);
  for (Section& s : survey_sections(survey, &photo, options.version, prefix, work.part(0, 0.5))) {
    s.heading = fmt::format("{}, {} side: {}", board_name, name(side), s.heading);
    document.sections.push_back(std::move(s));
  }
  if (auto changes = unit_change_section(book, board.id, board_name, side, options.version, prefix,
                                         work.part(0.5, 1)))
    document.sections.push_back(std::move(*changes));
  if (auto areas = area_time_line(book, board.id, board_name, side, prefix))
    document.sections.push_back(std::move(*areas));
}

void add_plan(const JobBook& book, const Record& board, const ReportOptions& options,
              ReportDocument& document) {
  const std::string prefix = fmt::format("s{}-", document.sections.size());
  const std::string date = book.options().now().substr(0, 10);
  const auto plan = kept_plan(book, board.id);
  if (plan) document.sections.push_back(plan_section(*plan, options.version, prefix));
  const PowerLock lock =
      lock_with(book, board.id, plan, bench_log_of(book, board.id), k_nobody, date);
  document.sections.push_back(lock_section(lock, date, options.version, prefix));
  if (auto tests = tests_section(lock, prefix)) document.sections.push_back(std::move(*tests));
}

}  // namespace

ReportDocument unit_report(const JobBook& book, const std::string& unit,
                           const ReportOptions& options, OwnerName owner, const Work& work) {
  options.check();
  const Unit u = unit_at(book, unit);
  ReportDocument d;
  d.title = options.heading.empty() ? "Report: " + u.name : options.heading;
  d.subtitle = u.received_on.empty() ? unit : fmt::format("{}, received {}", unit, u.received_on);
  d.sections.push_back(unit_section(book, unit, u, owner));
  const auto boards = book.children(unit, "board");
  if (boards.empty())
    d.sections.push_back(
        {"found",
         "Boards",
         {Paragraph{"No board is photographed yet, so all of it is unseen.", Emphasis::strong}}});
  const double sides = 2.0 * static_cast<double>(boards.size());
  for (size_t i = 0; i < boards.size(); ++i)
    for (const Side side : {Side::front, Side::back}) {
      const double at = 2.0 * static_cast<double>(i) + (side == Side::back);
      work.check();
      add_side(book, boards[i], side, options, d, work.part(at / sides, (at + 1) / sides));
      if (side == Side::back) add_plan(book, boards[i], options, d);
    }
  if (options.version == ReportVersion::bench)
    if (auto happened = time_line_section(book, unit)) d.sections.push_back(std::move(*happened));
  d.sections.push_back(caution_section());
  keep_sections(d, options.sections);
  return d;
}

}  // namespace verdigrid
