// The steps of the job as the window has them: their order, group, words and keys. A new step is a
// value of Step (viewer/state.h) and a row here.
#pragma once

#include <vector>

#include "viewer/state.h"

namespace verdigrid {

// What stands together in the strip, with a thin line between.
enum class StepGroup { take_in, look, work, power, hand_over };
const char* name(StepGroup group);

// Whether J, K, M, I and P keep their general meaning in a step.
enum class LetterKeys { general, own };

struct KeyLine {
  const char *keys, *what;
};

struct StepRow {
  Step step;
  StepGroup group;
  const char* name;
  const char* what;  // one line for who never saw it
  void (*draw)(const Desk&, ViewerState&, Actions&);
  void (*take_keys)(const Desk&, ViewerState&, Actions&);  // null: none of its own
  LetterKeys letters = LetterKeys::general;
  std::vector<KeyLine> keys{};  // what take_keys knows, for the page of keys
};

// In the order of the job, one group after the other.
const std::vector<StepRow>& step_table();
const StepRow& row_of(Step step);

// 1 to 9, 0, then function keys from F2: by the place in the table.
int key_of_step(size_t place);  // GLFW code
const char* key_label_of_step(size_t place);

// Puts the tool down and opens the step.
void go_to_step(ViewerState& state, Step step);
// The step before or after the open one.
void go_to_next_step(ViewerState& state, int by);

}  // namespace verdigrid
