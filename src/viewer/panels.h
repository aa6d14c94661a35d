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
void draw_receive_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_photo_panel(const Desk& desk, ViewerState& state);  // a part of it: the photo check
void draw_queue(const Desk& desk, ViewerState& state, Actions& actions);
void draw_straighten_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_look_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_survey_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_layout_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_notes_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_plan_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_bench_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_clocks_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_lock_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_recheck_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_orders_panel(const Desk& desk, ViewerState& state, Actions& actions);
void draw_owner_panel(const Desk& desk, ViewerState& state, Actions& actions);

// Parts of the survey panel.
void draw_findings(const Desk& desk, ViewerState& state, Actions& actions);
void draw_zone_table(const Desk& desk, ViewerState& state);
void draw_unseen(const Desk& desk, ViewerState& state, Actions& actions);

// Selects a finding, and shows it when `Go::there`; ends a merge that was begun.
enum class Go { stay, there };
void select_finding(const Desk& desk, ViewerState& state, Actions& actions, int id, Go go);
void select_next_finding(const Desk& desk, ViewerState& state, Actions& actions, int by);
// Keys of the survey's review: A accept, X dismiss, T then a letter relabel, B brush, E eraser ...
void take_review_keys(const Desk& desk, ViewerState& state, Actions& actions);
// S types the board's size, C sets the corners by hand.
void take_straighten_keys(const Desk& desk, ViewerState& state, Actions& actions);
// P, A and O mark the photo, J and K go through the notes, Del removes one.
void take_notes_keys(const Desk& desk, ViewerState& state, Actions& actions);
// N makes the plan, J and K go through it, T ticks off.
void take_plan_keys(const Desk& desk, ViewerState& state, Actions& actions);
// N next, D done, P problem, space pauses; O off, B bagged, K back on, X lost.
void take_bench_keys(const Desk& desk, ViewerState& state, Actions& actions);
// Where the place that is worked on lies in the open photo; empty where that is not known.
std::optional<cv::Rect2d> bench_region(const Desk& desk);
// The pairs of pins of that place, as the panel numbers them; those that the layout knows.
struct PairOnPhoto {
  int number = 0;
  std::array<cv::Point2d, 2> ends_px;
};
std::vector<PairOnPhoto> bench_pairs(const Desk& desk);
// The view follows the place.
void go_to_bench_place(const Desk& desk, ViewerState& state);
// S stops the clock that is due first.
void take_clocks_keys(const Desk& desk, ViewerState& state, Actions& actions);
// Over every screen while a clock is due.
void draw_clock_alarm(const Desk& desk, ViewerState& state, Actions& actions, ImVec2 at,
                      float width);
// J and K go through the conditions.
void take_lock_keys(const Desk& desk, ViewerState& state, Actions& actions);
// Comma and dot change the way two photos are shown, [ and ] the swipe, C the photo before.
void take_recheck_keys(const Desk& desk, ViewerState& state, Actions& actions);
// The pair that the canvas shows instead of the open photo; null: that photo.
ImVec4 change_colour(ChangeClass c);
const ComparedPictures* compared_now(const Desk& desk, const ViewerState& state);
void take_layout_keys(const Desk& desk, ViewerState& state, Actions& actions);
// [ and ] choose a point of the chosen zone, arrows move it, Ins adds one, Del takes it out; true
// when a key was for it.
bool take_zone_point_keys(const Desk& desk, ViewerState& state, Actions& actions);
// Whether pairs of points are being set by hand, and the half of the canvas for one of the photos.
bool is_pairing(const Desk& desk, const ViewerState& state);
cv::Rect2d pairing_half(const ViewerState& state, size_t half);
void handle_pairing(const Desk& desk, ViewerState& state, Actions& actions, bool is_over);
void take_pairing_keys(const Desk& desk, ViewerState& state, Actions& actions);
// The view goes to a region of the photo, with surroundings.
void go_to_region(const Desk& desk, ViewerState& state, const cv::Rect2d& region_px);

// Outlines, grid, rings, notes and handles over the photo; takes the mouse while it is on the
// canvas.
void draw_canvas_overlay(const Desk& desk, ViewerState& state, Actions& actions);

// The place that is asked about now; null when none is left or the survey is not ready.
const LookPlace* current_place(const Desk& desk);
// Y yes, N no, U not sure, X point at something missed.
void take_look_keys(const Desk& desk, ViewerState& state, Actions& actions);

}  // namespace verdigrid
