// The quote of a unit, as a paper.

#include <fmt/format.h>

#include "base/error.h"
#include "jobbook/owner_record.h"
#include "jobbook/plan_record.h"
#include "jobbook/unit_record.h"
#include "plan/plan_words.h"
#include "report/owner_paper_parts.h"
#include "report/owner_papers.h"

namespace verdigrid {

namespace {

void add_quote_figures(Section& s, const Quote& q) {
  Table t{"",
          {"", "without tax", fmt::format("with {:g} % tax", q.tax_percent)},
          {},
          {false, true, true}};
  for (const auto& [what, net] : {std::pair("likely", q.likely), std::pair("allow up to", q.allow)})
    t.rows.push_back({what, money_words(net, q.currency),
                      money_words(with_tax(net, q.tax_percent), q.currency)});
  s.blocks.emplace_back(std::move(t));
  s.blocks.emplace_back(Paragraph{
      fmt::format("Made on {}, holds until {}.", q.made_on, q.valid_until), Emphasis::strong});
  if (q.call_above)
    s.blocks.emplace_back(Paragraph{fmt::format("We call you before it costs more than {}.",
                                                money_words(*q.call_above, q.currency)),
                                    Emphasis::strong});
  s.blocks.emplace_back(
      Paragraph{"Likely: half of such jobs cost less. Allow up to: nine in ten cost less. Both are "
                "estimates of hours and parts and no promise: what hides under parts shows only in "
                "the work. If it may cost more than was agreed, we ask you first.",
                Emphasis::quiet});
}

Section work_section(const JobBook& book, const std::string& unit) {
  Section s{"work", "The work that is counted", {}};
  Table t{"", {"board", "where", "likely", "allow up to"}, {}, {false, false, true, true}};
  std::vector<std::string> offered;
  for (const Record& b : book.children(unit, "board")) {
    const auto plan = kept_plan(book, b.id);
    if (!plan) continue;
    const std::string board = board_from(b.body).name;
    for (const NamedFigures& z : estimate_of(*plan).zones)
      t.rows.push_back({board, z.name.empty() ? "whole board" : z.name,
                        minutes_words(z.figures.likely_min), minutes_words(z.figures.allow_min)});
    for (std::string& line : item_lines(
             board, *plan, [](const WorkItem& w) { return w.optional && !w.done; },
             [](const WorkItem&) { return std::string(); }))
      offered.push_back(std::move(line));
  }
  s.blocks.emplace_back(std::move(t));
  s.blocks.emplace_back(
      Paragraph{"Hours still to be worked, without waiting for drying and cure. The sums above are "
                "of the day of the quote and hold parts and work done before.",
                Emphasis::quiet});
  if (offered.empty()) return s;
  s.blocks.emplace_back(Paragraph{"Not in the sums, offered:", Emphasis::strong});
  for (const std::string& line : offered) s.blocks.emplace_back(Paragraph{"\xE2\x80\xA2 " + line});
  return s;
}

}  // namespace

ReportDocument quote_document(const JobBook& book, const std::string& unit, OwnerName owner) {
  const Unit u = unit_at(book, unit);
  const auto quotes = quotes_of(book, unit);
  if (quotes.empty())
    throw Error(ErrorKind::wrong_use,
                unit + ": nothing was quoted yet: 'verdigrid quote make' makes a quote.");
  const Quote& q = quotes.back().quote;
  ReportDocument d;
  d.title = fmt::format("Quote {}: {}", q.number, u.name);
  d.subtitle = fmt::format("{}, {}", unit, q.made_on);
  d.sections.push_back(head_section(unit, u, owner));
  Section cost{"cost", "What it may cost", {}};
  add_quote_figures(cost, q);
  d.sections.push_back(std::move(cost));
  d.sections.push_back(work_section(book, unit));
  d.check();
  return d;
}

}  // namespace verdigrid
