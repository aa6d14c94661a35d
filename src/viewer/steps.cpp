#include "viewer/steps.h"

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>

#include <algorithm>
#include <array>

#include "base/error.h"
#include "viewer/panels.h"

namespace verdigrid {

namespace {

struct StepKey {
  int key;
  const char* label;
};
constexpr std::array<StepKey, 15> k_keys{{{GLFW_KEY_1, "1"},
                                          {GLFW_KEY_2, "2"},
                                          {GLFW_KEY_3, "3"},
                                          {GLFW_KEY_4, "4"},
                                          {GLFW_KEY_5, "5"},
                                          {GLFW_KEY_6, "6"},
                                          {GLFW_KEY_7, "7"},
                                          {GLFW_KEY_8, "8"},
                                          {GLFW_KEY_9, "9"},
                                          {GLFW_KEY_0, "0"},
                                          {GLFW_KEY_F2, "F2"},
                                          {GLFW_KEY_F3, "F3"},
                                          {GLFW_KEY_F4, "F4"},
                                          {GLFW_KEY_F5, "F5"},
                                          {GLFW_KEY_F6, "F6"}}};

size_t place_of(Step step) {
  const auto& rows = step_table();
  const auto at =
      std::find_if(rows.begin(), rows.end(), [&](const StepRow& r) { return r.step == step; });
  require(at != rows.end(), "every step has a row");
  return static_cast<size_t>(at - rows.begin());
}

}  // namespace

const char* name(StepGroup group) {
  switch (group) {
    case StepGroup::take_in:
      return "Take in";
    case StepGroup::look:
      return "Look closely";
    case StepGroup::work:
      return "Work";
    case StepGroup::power:
      return "Prove and power";
    case StepGroup::hand_over:
      return "Hand over";
  }
  return "";
}

const std::vector<StepRow>& step_table() {
  static const std::vector<StepRow> rows{
      {Step::receive, StepGroup::take_in, "Receive",
       "The unit, its kit and its photos; is the photo good enough", draw_receive_panel, nullptr},
      {Step::straighten,
       StepGroup::take_in,
       "Straighten",
       "From pixels to millimetres",
       draw_straighten_panel,
       take_straighten_keys,
       LetterKeys::general,
       {{"S", "type the board's size"}, {"C", "set the corners by hand"}}},
      {Step::look,
       StepGroup::look,
       "Look",
       "The most suspect places, one by one",
       draw_look_panel,
       take_look_keys,
       LetterKeys::general,
       {{"Y, N, U", "yes, no, not sure"}, {"X", "point at something missed"}}},
      {Step::survey,
       StepGroup::look,
       "Survey",
       "Every finding, areas, and what is unseen",
       draw_survey_panel,
       take_review_keys,
       LetterKeys::general,
       {{"A, X", "accept, dismiss the finding"},
        {"T, letter", "it is C L W R J E U"},
        {"Shift+M", "merge with the next one chosen"},
        {"B, E, O, S", "brush, eraser, outline, split"},
        {"[, ]", "narrower, wider brush"}}},
      {Step::layout,
       StepGroup::look,
       "Layout",
       "Zones and parts by name",
       draw_layout_panel,
       take_layout_keys,
       LetterKeys::general,
       {{"N", "begin one on this photo"},
        {"O, B, S", "zone by outline, rectangle, squares"},
        {"P; comma, dot", "stamp a part; turn it"},
        {"[, ]; arrows", "choose a point of the zone; move it"},
        {"Ins, Del", "add a point; remove point, zone or part"}}},
      {Step::notes,
       StepGroup::look,
       "Notes",
       "Pins, arrows and words on the photo",
       draw_notes_panel,
       take_notes_keys,
       LetterKeys::own,
       {{"P, A, O", "pin, arrow, outline"}, {"J, K; Del", "next, previous; remove"}}},
      {Step::plan,
       StepGroup::work,
       "Plan",
       "What to do, how long, how much",
       draw_plan_panel,
       take_plan_keys,
       LetterKeys::own,
       {{"N", "make the plan"}, {"J, K; T; Del", "next, previous; tick off; remove"}}},
      {Step::bench,
       StepGroup::work,
       "Bench",
       "Work place by place, with a timer",
       draw_bench_panel,
       take_bench_keys,
       LetterKeys::own,
       {{"N, D, P", "next place (the first: start), done, problem"},
        {"Space", "the timer stands, goes on"},
        {"O, B, K, X", "the part is off, bagged, back on, lost"}}},
      {Step::clocks,
       StepGroup::work,
       "Clocks",
       "What runs, and the wash and dry log",
       draw_clocks_panel,
       take_clocks_keys,
       LetterKeys::own,
       {{"S", "stop the clock that is due first"}}},
      {Step::power_lock,
       StepGroup::power,
       "Power lock",
       "What still forbids power",
       draw_lock_panel,
       take_lock_keys,
       LetterKeys::own,
       {{"J, K", "next, previous condition"}}},
      {Step::recheck,
       StepGroup::power,
       "Recheck",
       "Before against after",
       draw_recheck_panel,
       take_recheck_keys,
       LetterKeys::own,
       {{"C, W", "the photo before; the board is dry"},
        {"comma, dot", "another way to show both"},
        {"[, ]", "swipe, gain of the difference"},
        {"J, K", "next, previous change"},
        {"E", "point pairs by hand"},
        {"X, Space, Backspace", "pairs: other half, place, take back"}}},
      {Step::orders, StepGroup::hand_over, "Orders",
       "Parts over the whole shelf: needed, in the drawer, ordered, arrived, fitted",
       draw_orders_panel, nullptr},
      {Step::owner, StepGroup::hand_over, "Owner",
       "Quote, hand-over and comeback; minutes against the estimate", draw_owner_panel, nullptr},
  };
  return rows;
}

const StepRow& row_of(Step step) { return step_table()[place_of(step)]; }

int key_of_step(size_t place) { return k_keys.at(place).key; }
const char* key_label_of_step(size_t place) { return k_keys.at(place).label; }

void go_to_step(ViewerState& state, Step step) {
  if (state.step == step) return;
  put_tool_down(state);
  state.step = step;
  state.tabs = {};
  // The whole board where it is about the photo; the place asked about where it is about that.
  if (step == Step::receive || step == Step::straighten || step == Step::recheck)
    state.needs_fit = true;
  if (step == Step::look) state.place_shown = static_cast<size_t>(-1);
}

void go_to_next_step(ViewerState& state, int by) {
  const auto n = static_cast<int>(step_table().size());
  const int at = std::clamp(static_cast<int>(place_of(state.step)) + by, 0, n - 1);
  go_to_step(state, step_table()[static_cast<size_t>(at)].step);
}

}  // namespace verdigrid
