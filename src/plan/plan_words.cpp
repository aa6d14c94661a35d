#include "plan/plan_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace verdigrid {

namespace {

constexpr int k_hour = 60, k_day = 24 * 60;

std::string heading(const Plan& plan, const Estimate& e, const Worth& worth) {
  const auto open = std::count_if(plan.items.begin(), plan.items.end(),
                                  [](const WorkItem& w) { return !w.done && !w.optional; });
  std::string text = fmt::format("Plan{}: {} work items to do\n",
                                 plan.board.empty() ? std::string() : " of " + plan.board, open);
  text += fmt::format("Hands-on: {}. Waiting (cure, drying), apart: {}\n", figures_words(e.total),
                      minutes_words(e.total.waiting_min));
  text += fmt::format("Worth it: {}{}\n", name(worth.grade),
                      worth.is_provisional ? " (provisional)" : "");
  for (const std::string& reason : worth.reasons) text += "  " + reason + "\n";
  const auto starting = std::count_if(plan.rates.rates.begin(), plan.rates.rates.end(),
                                      [](const Rate& r) { return is_starting_value(r); });
  if (starting > 0)
    text += fmt::format(
        "  {} of {} rates are starting values (common practice, no source): log minutes and "
        "put in your own.\n",
        starting, plan.rates.rates.size());
  return text;
}

std::string advice_words(const Plan& plan) {
  std::string text = "\nRead first:\n";
  for (const Advice& a : advice_of(plan))
    text += fmt::format("{} {}\n", a.refuses ? "!" : " ", words(a));
  return text;
}

std::string places_words(Estimate e) {
  if (e.zones.size() < 2) return {};
  std::stable_sort(e.zones.begin(), e.zones.end(), [](const auto& a, const auto& b) {
    return a.figures.allow_min > b.figures.allow_min;
  });
  std::string text = "\nBy place, most work first:\n";
  for (const NamedFigures& z : e.zones)
    text += fmt::format("  {:<16} {}\n", z.name.empty() ? "whole board" : z.name,
                        figures_words(z.figures));
  return text;
}

std::string order_words(const Plan& plan) {
  std::string text;
  for (const PartToOrder& p : parts_to_order(plan)) {
    std::string line = fmt::format("  {:<8} {}", p.part.designator, name(p.part.kind));
    for (const std::string& word : {p.part.value, p.part.rating, p.part.package})
      if (!word.empty()) line += ", " + word;
    line += p.price ? fmt::format(", {:g} {}", *p.price, plan.rates.currency) : ", no price";
    text += line + (p.optional ? " (offered)" : "") + " (" + p.item + ")\n";
  }
  return text.empty() ? text : "\nParts to order:\n" + text;
}

// Without what speaks against it.
std::string item_lines(const WorkItem& w, const Figures* figures) {
  std::string parts;
  for (const ItemPart& p : w.parts) parts += (parts.empty() ? "" : " ") + p.designator;
  std::string text =
      fmt::format("  [{}] {:<4} {}{}{} ({:.3g} x {}{}){}\n", w.done ? "x" : " ", w.id,
                  w.place.empty() ? std::string() : w.place + ": ", w.what,
                  parts.empty() ? parts : ": " + parts, w.quantity, facts(w.operation).piece,
                  w.damaged ? ", damaged" : "", w.optional ? ", offered" : "");
  if (w.done)
    text += fmt::format("             done by {}{}{}\n", w.done_by,
                        w.done_on.empty() ? "" : " on " + w.done_on,
                        w.actual_min ? ", took " + minutes_words(*w.actual_min) : "");
  else if (figures)
    text += fmt::format("             {}\n", figures_words(*figures));
  if (!w.reason.empty()) text += "             " + w.reason + "\n";
  text += pair_lines(w, std::string(13, ' '));
  if (*facts(w.operation).method != '\0')
    text += "             " + method_words(w.operation) + "\n";
  return text;
}

}  // namespace

std::string minutes_words(double minutes) {
  const long m = std::lround(minutes);
  if (m < 2 * k_hour) return fmt::format("{} min", m);
  if (m < k_day) return fmt::format("{} h {} min", m / k_hour, m % k_hour);
  return m % k_day < k_hour ? fmt::format("{} d", m / k_day)
                            : fmt::format("{} d {} h", m / k_day, m % k_day / k_hour);
}

std::string figures_words(const Figures& f) {
  return fmt::format("likely {}, allow up to {}", minutes_words(f.likely_min),
                     minutes_words(f.allow_min));
}

std::string pair_lines(const WorkItem& w, const std::string& indent) {
  std::string text;
  for (const NetPair& p : w.pairs) text += indent + words(p) + "\n";
  return text;
}

std::string item_words(const Plan& plan, const WorkItem& w, const Figures* figures) {
  const std::string block = block_of(plan, w);
  return item_lines(w, figures) + (block.empty() ? block : "           ! " + block + "\n");
}

std::string plan_words(const Plan& plan) {
  const Estimate e = estimate_of(plan);
  std::map<std::string, const Figures*> figures;
  for (const NamedFigures& n : e.items) figures[n.name] = &n.figures;
  std::string text = heading(plan, e, worth_of(plan, e)) + advice_words(plan) + places_words(e);
  std::optional<Stage> stage;
  std::map<std::string, std::string> said;  // what speaks against items, and where it stands
  for (const WorkItem& w : plan.items) {
    if (stage != w.stage) text += fmt::format("\n{}\n", name(w.stage));
    stage = w.stage;
    const auto at = figures.find(w.id);
    text += item_lines(w, at == figures.end() ? nullptr : at->second);
    const std::string block = block_of(plan, w);
    if (block.empty()) continue;
    const auto [first, is_new] = said.emplace(block, w.id);
    text += is_new ? fmt::format("           ! {}\n", block)
                   : fmt::format("           ! not yet, as {}\n", first->second);
  }
  return text + order_words(plan);
}

}  // namespace verdigrid
