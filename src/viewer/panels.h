// The parts of the window. Each reads the desk, keeps drafts in the state and pushes actions; none
// changes the document, decodes, measures, opens files or waits. UI thread only.
#pragma once

#include "viewer/state.h"

namespace verdigrid {

void draw_top_bar(const Desk& desk, ViewerState& state, Actions& actions, ImVec2 at, ImVec2 size);
void draw_status_line(const Desk& desk, ViewerState& state, Actions& actions, ImVec2 at,
                      ImVec2 size);
void draw_start(const Desk& desk, ViewerState& state, Actions& actions);
void draw_file_picker(const Desk& desk, ViewerState& state, Actions& actions);
void draw_help(ViewerState& state);

// Contents of the side panel for each step.
void draw_photo_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_straighten_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_look_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_survey_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_notes_panel(const Desk& desk, ViewerState& state, Actions& actions);

// Outlines, grid, rings, notes and handles over the photo; takes the mouse while it is on the
// canvas.
void draw_canvas_overlay(const Desk& desk, ViewerState& state, Actions& actions);

// The place that is asked about now; null when none is left or the survey is not ready.
const LookPlace* current_place(const Desk& desk);
// Keys of the guided look, as letters: Y yes, N no, U not sure, X point at something missed.
void take_look_keys(const Desk& desk, ViewerState& state, Actions& actions, int key);

// Keys that work everywhere; ignored while text is typed.
struct KeyRow {
  int key;  // GLFW code
  bool control;
  const char* label;  // "Ctrl+Z"
  const char* what;
};
const std::vector<KeyRow>& key_table();

}  // namespace verdigrid
