// The desktop window: opens, runs until it is closed, and gives the exit code. UI thread only.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "base/data_files.h"
#include "desk/desk.h"

namespace verdigrid {

struct ViewerOptions {
  DeskOptions desk;
  DataFiles data;
  std::optional<std::filesystem::path> photo;  // opened at the start
  std::string remark;                          // said once the window is open; empty: none
};

int run_viewer(ViewerOptions options);

// One frame of the whole window inside an ImGui frame; for the loop and for tests without a window.
// `size`: screen px.
struct ViewerState;
void draw_window(const Desk& desk, ViewerState& state, std::vector<DeskAction>& actions,
                 cv::Size2d size);

}  // namespace verdigrid
