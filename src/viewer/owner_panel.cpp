#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

void warning_text(const Theme& t, const std::string& text) {
  ImGui::PushStyleColor(ImGuiCol_Text, t.warning);
  wrapped(text);
  ImGui::PopStyleColor();
}

// For all boards of the unit: one person, one price.
void draw_hour(const Desk& desk, ViewerState& state, Actions& actions) {
  OwnerDrafts& d = state.owner;
  if (!desk.plan().plan) return;
  const RateTable& rates = desk.plan().plan->rates;
  const auto stated = static_cast<float>(rates.money_per_hour);
  float shown = stated;
  ImGui::SetNextItemWidth(state.theme.px(80));
  ImGui::InputFloat(fmt::format("{} an hour###hour", rates.currency).c_str(), &shown, 0, 0, "%.2f");
  if (ImGui::IsItemEdited()) d.money_per_hour = shown;
  if (ImGui::IsItemDeactivatedAfterEdit() && d.money_per_hour != stated)
    actions.push_back(SetHour{static_cast<double>(d.money_per_hour), rates.currency});
}

void draw_cost(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const OwnerView& v = desk.owner();
  heading(t, "The job, without tax");
  if (!desk.plan().plan && !v.cost)
    return muted_text(t, "There is no plan of this unit yet: make one under Plan (N).");
  draw_hour(desk, state, actions);
  if (desk.plan().plan && !(desk.plan().plan->rates.money_per_hour > 0))
    return muted_text(t, "Say what an hour costs: cost and quote follow.");
  if (!v.no_cost.empty()) return muted_text(t, v.no_cost);
  if (!v.cost) return;
  row(t, "Spent", money_words(v.cost->spent, v.cost->currency));
  row(t, "Likely, in all", money_words(v.cost->likely, v.cost->currency));
  row(t, "Allow up to, in all", money_words(v.cost->allow, v.cost->currency));
}

void draw_new_quote(const OwnerView& v, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  OwnerDrafts& d = state.owner;
  heading(t, v.quotes.empty() ? "Quote" : "Quote again");
  if (!v.quotes.empty() && d.of_quote != v.quotes.back().id) {
    const Quote& last = v.quotes.back().quote;
    d.of_quote = v.quotes.back().id;
    d.tax_percent = static_cast<float>(last.tax_percent);
    d.call_above = static_cast<float>(last.call_above.value_or(0));
  }
  ImGui::SetNextItemWidth(t.px(80));
  ImGui::InputFloat("% tax", &d.tax_percent, 0, 0, "%.1f");
  ImGui::SameLine();
  ImGui::SetNextItemWidth(t.px(80));
  ImGui::InputInt("days it holds", &d.valid_days, 0);
  ImGui::SetNextItemWidth(t.px(80));
  ImGui::InputFloat("call above, with tax (0: none)", &d.call_above, 0, 0, "%.2f");
  if (button("Make the quote", v.cost ? "" : "There is nothing to quote yet.")) {
    QuoteTerms terms{d.tax_percent, d.valid_days, std::nullopt};
    if (d.call_above > 0) terms.call_above = d.call_above;
    actions.push_back(MakeQuote{terms});
  }
}

void draw_quotes(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const OwnerView& v = desk.owner();
  OwnerDrafts& d = state.owner;
  if (!v.alarm.empty()) warning_text(t, v.alarm);
  draw_cost(desk, state, actions);
  for (auto k = v.quotes.rbegin(); k != v.quotes.rend(); ++k) {
    heading(t, fmt::format("Quote {}: {}", k->quote.number, name(k->quote.state)).c_str());
    wrapped(quote_words(k->quote));
    if (!k->owner_said.empty()) muted_text(t, "The owner said: " + k->owner_said);
    if (k != v.quotes.rbegin()) continue;
    const QuoteState s = k->quote.state;
    if (button("Sent", s == QuoteState::made ? "" : "It was sent or answered."))
      actions.push_back(AnswerQuote{{QuoteState::sent, {}, {}}});
    ImGui::SameLine();
    if (button("Agreed", s == QuoteState::agreed ? "The owner agreed already." : "")) {
      QuoteAnswer answer{QuoteState::agreed, {}, d.owner_said};
      if (d.call_above > 0) answer.call_above = d.call_above;
      actions.push_back(AnswerQuote{answer});
      d.owner_said.clear();
    }
    ImGui::SameLine();
    if (button("Declined", s == QuoteState::declined ? "The owner declined already." : ""))
      actions.push_back(AnswerQuote{{QuoteState::declined, {}, d.owner_said}});
    ImGui::SameLine();
    if (button("Save (PDF)")) actions.push_back(SaveQuote{});
    ImGui::SetNextItemWidth(-1);
    ImGui::InputTextWithHint("##said", "what the owner said", &d.owner_said);
  }
  draw_new_quote(v, state, actions);
}

void draw_days(const HandOver& h, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  OwnerDrafts& d = state.owner;
  bool is_next = true;
  for (const LookAgain& l : h.look_again) {
    row(t, ("look again on " + l.on).c_str(), l.done_on.empty() ? "open" : "done " + l.done_on);
    if (!l.found.empty()) muted_text(t, l.found);
    if (!l.done_on.empty() || !is_next || h.has_come_back) continue;
    is_next = false;
    ImGui::SetNextItemWidth(-t.px(120));
    ImGui::InputTextWithHint("##found", "what was found", &d.found);
    ImGui::SameLine();
    if (button("Looked",
               d.found.empty() ? "Say what was found, also when it is nothing new." : "")) {
      actions.push_back(LookedAgain{d.found});
      d.found.clear();
    }
  }
}

void draw_hand_over(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const OwnerView& v = desk.owner();
  OwnerDrafts& d = state.owner;
  wrapped(desk.lock().state.headline);
  const bool is_out = desk.intake().unit.state == "handed over";
  for (const Visit& visit : v.visits)
    wrapped(fmt::format("Visit {}: came back on {}{}", visit.number, visit.on,
                        visit.owner_said.empty() ? "" : ": " + visit.owner_said));
  if (!is_out) {
    muted_text(
        t,
        "The sheet says what was done, what was not, what was not tested, and what to watch. "
        "A photo with the role \"handed over\" lets a comeback be compared.");
    ImGui::InputTextMultiline("##watch", &d.watch, {-1, t.px(70)});
    if (ImGui::IsItemHovered()) wrapped_tooltip(t, "What to watch, one line each");
    std::vector<std::string> watch;
    std::string line;
    for (const char c : d.watch + '\n') {
      if (c != '\n') {
        line += c;
        continue;
      }
      if (!line.empty()) watch.push_back(line);
      line.clear();
    }
    if (button("Save the sheet (PDF)")) actions.push_back(SaveHandOver{watch});
    same_line_if_room("Log the hand-over");
    if (button("Log the hand-over")) actions.push_back(HandOverUnit{watch});
  } else {
    if (button("Save the sheet (PDF)")) actions.push_back(SaveHandOver{{}});
    ImGui::SetNextItemWidth(-1);
    ImGui::InputTextWithHint("##back", "what the owner says of it", &d.owner_said);
    if (button("It came back")) {
      actions.push_back(CameBack{d.owner_said});
      d.owner_said.clear();
    }
  }
  for (auto h = v.hand_overs.rbegin(); h != v.hand_overs.rend(); ++h) {
    heading(t, fmt::format("Handed over on {} by {}", h->on, h->who).c_str());
    for (const std::string& w : h->watch) muted_text(t, "watch: " + w);
    draw_days(*h, state, actions);
  }
}

void draw_row_of_jobs(const ActualsRow& r, const Theme& t) {
  row(t, r.name.c_str(),
      fmt::format("{} job{}, x {:.2f}", r.jobs, r.jobs == 1 ? "" : "s", r.ratio));
  // An axis from a quarter to four times the likely minutes.
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x, height = t.px(14),
              middle = at.y + height / 2;
  const auto x_of = [&](double ratio) {
    const double share = std::log2(std::clamp(ratio, 0.25, 4.0)) / 4 + 0.5;
    return at.x + static_cast<float>(share) * width;
  };
  ImDrawList& list = *ImGui::GetWindowDrawList();
  list.AddLine({at.x, middle}, {at.x + width, middle}, colour_u32(t.raised), t.px(2));
  list.AddLine({x_of(1), at.y}, {x_of(1), at.y + height}, colour_u32(t.muted), t.px(1));
  for (const double ratio : r.ratios)
    list.AddCircleFilled({x_of(ratio), middle}, t.px(3), colour_u32(t.accent));
  list.AddLine({x_of(r.ratio), at.y}, {x_of(r.ratio), at.y + height}, colour_u32(t.warning),
               t.px(3));
  ImGui::Dummy({width, height});
  if (ImGui::IsItemHovered()) wrapped_tooltip(t, words(r));
}

void draw_minutes(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  OwnerDrafts& d = state.owner;
  if (!desk.shelf().is_read) {
    actions.push_back(ReadShelf{});
    return muted_text(t, "The shelf is being read.");
  }
  if (desk.shelf().jobs.empty())
    return muted_text(t,
                      "No minutes are logged yet: tick work items off under Plan and say what "
                      "they took.");
  for (const ActualsBy by : k_actuals_by) {
    if (by != ActualsBy::operation) ImGui::SameLine();
    if (choice(t, words(by), d.by == by)) d.by = by;
  }
  muted_text(t,
             "Dots are jobs, from a quarter of the likely minutes to four times; the bar is "
             "their mean.");
  for (const ActualsRow& r : actuals_rows(desk.shelf().jobs, d.by)) draw_row_of_jobs(r, t);
  const bool has_plan = desk.plan().plan.has_value();
  if (button("Let this plan's rates learn from them", has_plan ? "" : "There is no plan yet."))
    actions.push_back(LearnRates{});
  same_line_if_room("Save mine as CSV");
  if (button("Save mine as CSV")) actions.push_back(SaveActuals{});
}

}  // namespace

void draw_owner_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  title(state.theme, "Owner");
  PanelTabs tabs(state, "owner");
  tabs.item("Quote", [&] { draw_quotes(desk, state, actions); });
  tabs.item("Hand-over", [&] { draw_hand_over(desk, state, actions); });
  tabs.item("Minutes", [&] { draw_minutes(desk, state, actions); });
}

}  // namespace verdigrid
