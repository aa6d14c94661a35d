#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>

#include "base/calendar.h"
#include "plan/edit_plan.h"
#include "plan/ledger.h"
#include "plan/work_region.h"
#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

using Asks = BenchDrafts::Asks;

// Words for what goes wrong most, so that nobody has to type with flux on the fingers.
constexpr const char* k_problem_words[] = {"pad lifts", "trace broken", "will not come off",
                                           "part damaged", "residue goes on below"};

BenchNow now_of(const Desk& desk) {
  return bench_now(*desk.plan().plan, desk.bench().log, time_text(desk.now_s()));
}

// The place that is worked on, where the open photo shows its side.
std::optional<BenchStep> step_on_photo(const Desk& desk) {
  if (!desk.plan().plan || !desk.derived().survey) return std::nullopt;
  const BenchNow now = now_of(desk);
  if (!now.step) return std::nullopt;
  const WorkItem& w = item_of(*desk.plan().plan, now.step->place.item);
  return w.side == desk.document()->scale.side ? now.step : std::nullopt;
}

// "7:05", "1:07:05".
std::string stopwatch(double minutes) {
  const long s = std::lround(minutes * 60);
  return s < 3600 ? fmt::format("{}:{:02}", s / 60, s % 60)
                  : fmt::format("{}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60);
}

void in_font(ImFont* font, const ImVec4& colour, const std::string& text) {
  if (text.empty()) return;
  ImGui::PushFont(font);
  ImGui::PushStyleColor(ImGuiCol_Text, colour);
  wrapped(text);
  ImGui::PopStyleColor();
  ImGui::PopFont();
}

// A value that may not be ordered for this board stands in grey, with the reason.
void draw_value(const Desk& desk, const WorkItem& w, const BenchPlace& place, const Theme& t) {
  const std::string words = part_words(*desk.plan().plan, place);
  const Intake::BoardRow* board = desk.intake().open_board();
  for (const ItemPart& p : w.parts) {
    if (p.designator != place.part) continue;
    const OrderValue value =
        order_value(p, board ? board->board.revision : "", events<PartReading>(desk.bench().log));
    if (value.may_be_ordered) return wrapped(words);
    muted_text(t, words);
    return in_font(t.strong, t.warning, value.why);
  }
}

// Readable from a metre away: what, where, which part, which way round, what speaks against it.
void draw_place(const Desk& desk, const BenchStep& step, const Theme& t) {
  const Plan& plan = *desk.plan().plan;
  const WorkItem& w = item_of(plan, step.place.item);
  in_font(t.large, t.text,
          step.place.part.empty() ? (w.place.empty() ? w.id : w.id + "  " + w.place)
                                  : w.id + "  " + step.place.part);
  in_font(t.title, t.text, w.what);
  if (!step.place.part.empty()) {
    in_font(t.title, t.muted, w.place);
    draw_value(desk, w, step.place, t);
    wrapped(orientation_words(desk.derived().layout.get(), desk.bench().log, step.place.part));
  }
  for (size_t i = 0; i < w.pairs.size(); ++i)
    wrapped(fmt::format("{}  {}", i + 1, words(w.pairs[i])));
  if (step.stage == Stage::fit)
    wrapped("The old part is off; the new one is fitted after wash, drying and checks.");
  if (!step.problem.empty()) in_font(t.title, t.warning, "Problem: " + step.problem);
  const std::string block = block_of(plan, w);
  if (!block.empty()) in_font(t.strong, t.warning, "Not yet: " + block);
  const bool is_other_side = desk.document()->scale.side != w.side;
  if (is_other_side)
    in_font(t.strong, t.warning,
            fmt::format("This place lies on the {}; the open photo shows the other side.",
                        name(w.side)));
  for (const Advice& a : advice_for(plan, w)) {
    if (a.sentence == block) continue;
    ImGui::PushStyleColor(ImGuiCol_Text, a.refuses ? t.warning : t.muted);
    wrapped(a.sentence);
    ImGui::PopStyleColor();
    if (ImGui::IsItemHovered()) wrapped_tooltip(t, "Source: " + a.source);
  }
}

void ask(ViewerState& state, Asks what) {
  state.bench.asks = what;
  state.bench.word.clear();
  state.bench.focuses_word = true;
}

// The word that a problem or a lost part needs; Enter gives it, Esc takes the question back.
void draw_question(const BenchStep& step, ViewerState& state, Actions& actions) {
  BenchDrafts& d = state.bench;
  const auto give = [&](const std::string& word) {
    if (d.asks == Asks::problem)
      actions.push_back(BenchProblem{word});
    else
      actions.push_back(LogBench{PartMove{
          step.place.part, d.asks == Asks::lost ? PartState::lost : PartState::stays_off, word}});
    d.asks = Asks::nothing;
  };
  heading(state.theme, d.asks == Asks::problem ? "What is the problem?"
                       : d.asks == Asks::lost  ? "Lost: where and how?"
                                               : "Why does it stay off?");
  if (d.focuses_word) ImGui::SetKeyboardFocusHere();
  d.focuses_word = false;
  ImGui::SetNextItemWidth(-1);
  if (ImGui::InputTextWithHint("##word", "a word, then Enter", &d.word,
                               ImGuiInputTextFlags_EnterReturnsTrue) &&
      !d.word.empty())
    give(d.word);
  if (d.asks == Asks::problem)
    for (const char* word : k_problem_words) {
      if (word != k_problem_words[0]) same_line_if_room(word);
      if (button(word)) give(word);
    }
  if (was_pressed(state, GLFW_KEY_ESCAPE)) d.asks = Asks::nothing;
}

void draw_keys(const Desk& desk, const BenchNow& now, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  in_font(t.large, now.timer.is_running ? t.accent : t.muted,
          stopwatch(now.timer.minutes) + (now.timer.is_running ? "" : "  stands"));
  if (now.timer.is_doubtful)
    in_font(t.strong, t.warning, "The timer ran on too long: Done logs no minutes.");
  const float gap = ImGui::GetStyle().ItemSpacing.x,
              width = (ImGui::GetContentRegionAvail().x - 2 * gap) / 3;
  ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, {t.px(8), t.px(14)});
  const std::string block =
      block_of(*desk.plan().plan, item_of(*desk.plan().plan, now.step->place.item));
  const bool has_begun = now.timer.is_running || now.timer.minutes > 0;
  if (has_begun && block.empty()) {
    if (main_button(t, "Done  (D)", width)) actions.push_back(BenchDone{});
  } else if (button("Done  (D)", block, width)) {
    actions.push_back(BenchDone{});
  }
  ImGui::SameLine();
  const char* next = has_begun ? "Next  (N)" : "Start  (N)";
  if (has_begun ? button(next, {}, width) : main_button(t, next, width))
    actions.push_back(BenchNext{});
  ImGui::SameLine();
  if (button("Problem  (P)", {}, width)) ask(state, Asks::problem);
  ImGui::PopStyleVar();
  if (has_begun && button(now.timer.is_running ? "Pause  (Space)" : "Go on  (Space)"))
    actions.push_back(BenchPause{});
}

std::optional<PartState> state_of_part(const BenchLog& log, const std::string& designator) {
  for (const LedgerRow& row : ledger(log))
    if (row.designator == designator) return row.state;
  return std::nullopt;
}

// Off, bagged, back on, lost of the part that is worked on; one line for the whole board.
void draw_ledger(const Desk& desk, const BenchStep& step, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const auto rows = ledger(desk.bench().log);
  heading(t, fmt::format("Ledger: {}", ledger_words(rows)).c_str());
  if (const std::string& part = step.place.part; !part.empty()) {
    const auto at = state_of_part(desk.bench().log, part);
    wrapped(fmt::format("{}: {}", part, at ? name(*at) : "on the board"));
    const auto move = [&](const char* label, PartState to) {
      if (choice(t, label, at == to)) actions.push_back(LogBench{PartMove{part, to, ""}});
      ImGui::SameLine();
    };
    move("Off (O)", PartState::off);
    move("Bagged (B)", PartState::bagged);
    const bool is_away = at && *at != PartState::back_on;
    if (choice(t, "Back on (K)", at == PartState::back_on, is_away ? "" : "It is not off."))
      actions.push_back(LogBench{PartMove{part, PartState::back_on, ""}});
    if (choice(t, "Lost (X)", at == PartState::lost)) ask(state, Asks::lost);
    ImGui::SameLine();
    if (choice(t, "Stays off", at == PartState::stays_off)) ask(state, Asks::stays_off);
  }
  for (const LedgerRow& r : rows)
    if (is_owed(r.state))
      muted_text(t, fmt::format("{}  {}{}", r.designator, name(r.state),
                                r.word.empty() ? "" : ": " + r.word));
}

// Print, old part and meter of the part that is worked on: they must agree, else ASK.
void draw_reading(const Desk& desk, const BenchStep& step, ViewerState& state, Actions& actions) {
  const std::string& part = step.place.part;
  if (part.empty() || !ImGui::CollapsingHeader("Reading: print, old part, meter")) return;
  const Theme& t = state.theme;
  BenchDrafts& d = state.bench;
  for (const PartReading& r : newest_readings(events<PartReading>(desk.bench().log))) {
    if (r.designator != part) continue;
    const PartAgreement a = agreement_of(r);
    if (a.agrees)
      muted_text(t, fmt::format("{}: {}, all agree", name(r.what), a.value));
    else
      in_font(t.strong, t.warning, a.ask);
  }
  if (choice(t, "value", !d.is_polarity)) d.is_polarity = false;
  ImGui::SameLine();
  if (choice(t, "polarity", d.is_polarity)) d.is_polarity = true;
  muted_text(t, d.is_polarity ? "Where the negative end or pin 1 lies on the arrival photo: up, "
                                "down, left, right; none where it says nothing."
                              : "As it is written or read: 47u; none where it says nothing.");
  const std::pair<const char*, std::string*> fields[] = {
      {"print", &d.print}, {"old part", &d.old_part}, {"meter", &d.meter}};
  for (const auto& [label, text] : fields) {
    ImGui::SetNextItemWidth(-t.px(80));
    ImGui::InputText(label, text);
  }
  const bool has_any = !d.print.empty() || !d.old_part.empty() || !d.meter.empty();
  if (button("Log the reading", has_any ? "" : "Read at least one of the three.")) {
    actions.push_back(
        LogBench{PartReading{part, d.is_polarity ? ReadingOf::polarity : ReadingOf::value, d.print,
                             d.old_part, d.meter}});
    d.print.clear(), d.old_part.clear(), d.meter.clear();
  }
}

void draw_note(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  BenchDrafts& d = state.bench;
  heading(t, "Shift note");
  const BenchEntry* note = shift_note(desk.bench().log);
  const std::string text = note ? std::get<ShiftNote>(note->event).text : "";
  if (d.note_seen != text) d.note = d.note_seen = text;
  ImGui::SetNextItemWidth(-1);
  ImGui::InputTextWithHint("##note", "rinse 1 of 2 done, in oven until 16:00", &d.note);
  if (ImGui::IsItemDeactivatedAfterEdit() && d.note != text)
    actions.push_back(LogBench{ShiftNote{d.note}});
}

// What a close-up that lies on the open photo shows of it.
void draw_placed(const PlacedCloseUp& c, const Theme& t) {
  muted_text(t, fmt::format("It lies where the photo has its frame, {:.1f} times as fine.",
                            c.place.scale));
  for (const std::string& line : finer_lines(c.findings, c.has_mm)) muted_text(t, line);
}

void draw_watch(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  heading(t, "Microscope camera");
  if (desk.watched_folder().empty()) {
    if (button("Watch a folder")) state.picker.open_for(PickFor::watch);
    return muted_text(t, "Each new picture becomes a close-up of the place that is worked on.");
  }
  muted_text(t, desk.watched_folder().string());
  if (button("Watch no more")) actions.push_back(WatchFolder{});
  const auto close_ups = events<CloseUp>(desk.bench().log);
  if (close_ups.empty()) return;
  const CloseUp& last = close_ups.back();
  muted_text(t, fmt::format("{} filed, the last: {} to {} {}", close_ups.size(), last.photo,
                            last.place.item, last.place.part));
  for (const KeptCloseUp& c : desk.bench().close_ups)
    if (c.close_up.close_up.sha256 == last.photo_sha256) draw_placed(c.close_up, t);
}

void draw_left(const Desk& desk, const BenchStep& step, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const auto& steps = desk.bench().steps;
  if (!ImGui::CollapsingHeader(
          fmt::format("{} place{} left###left", steps.size(), steps.size() == 1 ? "" : "s")
              .c_str()))
    return;
  for (const BenchStep& s : steps) {
    const WorkItem& w = item_of(*desk.plan().plan, s.place.item);
    const std::string text =
        fmt::format("{} {}{}{}", w.id, s.place.part.empty() ? w.place : s.place.part,
                    s.problem.empty() ? ": " + w.what : ": problem, " + s.problem, "");
    ImGui::PushID(&s);
    if (ImGui::Selectable(text.c_str(), s.place == step.place))
      actions.push_back(BenchGoTo{s.place});
    ImGui::PopID();
  }
  muted_text(t, "A click goes there and starts its timer.");
}

// Who works: every step is signed.
bool draw_name(const Desk& desk, ViewerState& state, Actions& actions) {
  if (desk.signer() != k_nobody) return true;
  title(state.theme, "Bench");
  wrapped("Every step at the bench is signed. Your name:");
  ImGui::SetNextItemWidth(-1);
  bool is_given =
      ImGui::InputText("##name", &state.bench.name, ImGuiInputTextFlags_EnterReturnsTrue);
  is_given |= main_button(state.theme, "Sign with this name");
  if (is_given && !state.bench.name.empty()) actions.push_back(SignAs{state.bench.name});
  return false;
}

}  // namespace

void draw_bench_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  if (!desk.plan().plan) {
    title(t, "Bench");
    return muted_text(t, "Work goes place by place through the plan: make one under Plan (N).");
  }
  if (!draw_name(desk, state, actions)) return;
  const BenchNow now = now_of(desk);
  if (!now.step) {
    in_font(t.title, t.text, "No place of work is left in this plan.");
    muted_text(t, "That is no clearance: recheck it, and see what the power lock still wants.");
    draw_note(desk, state, actions);
    return;
  }
  draw_place(desk, *now.step, t);
  ImGui::Spacing();
  if (state.bench.asks != Asks::nothing)
    draw_question(*now.step, state, actions);
  else
    draw_keys(desk, now, state, actions);
  draw_ledger(desk, *now.step, state, actions);
  draw_reading(desk, *now.step, state, actions);
  draw_note(desk, state, actions);
  draw_watch(desk, state, actions);
  draw_left(desk, *now.step, state, actions);
}

void take_bench_keys(const Desk& desk, ViewerState& state, Actions& actions) {
  if (!desk.plan().plan || desk.signer() == k_nobody) return;
  const BenchNow now = now_of(desk);
  if (!now.step || state.bench.asks != Asks::nothing) return;
  const auto pressed = [&state](int key) { return was_pressed(state, key); };
  if (pressed(GLFW_KEY_N)) actions.push_back(BenchNext{});
  if (pressed(GLFW_KEY_D)) actions.push_back(BenchDone{});
  if (pressed(GLFW_KEY_P)) ask(state, Asks::problem);
  if (pressed(GLFW_KEY_SPACE)) actions.push_back(BenchPause{});
  const std::string& part = now.step->place.part;
  if (part.empty()) return;
  const auto move = [&](int key, PartState to) {
    if (pressed(key)) actions.push_back(LogBench{PartMove{part, to, ""}});
  };
  move(GLFW_KEY_O, PartState::off);
  move(GLFW_KEY_B, PartState::bagged);
  move(GLFW_KEY_K, PartState::back_on);
  if (pressed(GLFW_KEY_X)) ask(state, Asks::lost);
}

std::optional<cv::Rect2d> bench_region(const Desk& desk) {
  const auto step = step_on_photo(desk);
  if (!step) return std::nullopt;
  return work_region_px(*desk.derived().survey, desk.derived().layout.get(),
                        item_of(*desk.plan().plan, step->place.item), step->place.part);
}

std::vector<PairOnPhoto> bench_pairs(const Desk& desk) {
  const auto step = step_on_photo(desk);
  if (!step || !desk.derived().layout) return {};
  std::vector<PairOnPhoto> pairs;
  int number = 0;
  for (const NetPair& pair : item_of(*desk.plan().plan, step->place.item).pairs) {
    ++number;
    if (const auto ends = pair_px(*desk.derived().survey, *desk.derived().layout, pair))
      pairs.push_back({number, *ends});
  }
  return pairs;
}

void go_to_bench_place(const Desk& desk, ViewerState& state) {
  if (state.step != Step::bench || !desk.plan().plan || !desk.derived().survey) {
    state.bench.shown.reset();
    return;
  }
  const BenchNow now = now_of(desk);
  if (!now.step || state.bench.shown == now.step->place) return;
  state.bench.shown = now.step->place;
  const auto region = bench_region(desk);
  if (!region) {
    state.needs_fit = true;
    return;
  }
  constexpr double k_no_margin = 0;
  state.view = fitted_to(state.canvas, cv::Rect2d(work_crop_px(*desk.derived().survey, *region)),
                         state.view.quarter_turns, k_no_margin);
}

}  // namespace verdigrid
