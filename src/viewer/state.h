// What the window shows and how, beside the document: view, step, drafts. Never saved with the
// work.
#pragma once

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "desk/desk.h"
#include "desk/view.h"
#include "gl/window.h"
#include "viewer/file_listing.h"
#include "viewer/theme.h"

namespace verdigrid {

// In the order of the job.
enum class Step { photo, straighten, look, survey, notes };
inline constexpr std::array k_steps{Step::photo, Step::straighten, Step::look, Step::survey,
                                    Step::notes};
const char* name(Step step);

enum class Tool { look, point, measure, pin, arrow, outline };

struct Layers {
  bool residue = true, rings = true, grid = true, unseen = false, outline = true, notes = true;
};

// Fields being typed, kept between frames and committed when the field is left.
struct Drafts {
  float board_mm[2] = {0, 0};
  float distance_mm = 0;
  std::vector<cv::Point2d> corners_px;  // while one is dragged
  int dragged_corner = -1;
  std::vector<cv::Point2d> tool_px;  // points placed with the current tool
  int note_id = 0;                   // whose text is being typed
  std::string note_text, note_part;
  std::uint32_t for_revision = 0;  // photo the scale drafts belong to
};

struct FilePicker {
  bool is_open = false;
  std::filesystem::path folder;
  std::string filter;
  std::filesystem::path listed_for;  // the folder that `files` belong to
  std::vector<ListedFile> files;
};

struct ViewerState {
  Theme theme;
  View view;
  std::vector<KeyPress> keys;  // pressed since the last frame
  cv::Rect2d canvas;           // screen px, set every frame
  bool needs_fit = true;
  Step step = Step::look;
  Tool tool = Tool::look;
  Layers layers;
  float panel_width = 380;           // design px
  float threshold = 0.5f;            // on the confidence map, live
  float exposure = 1, contrast = 1;  // for looking only
  size_t place_shown =
      static_cast<size_t>(-1);  // how many answers there were when the view last went to a place
  int selected_finding = 0;     // id
  std::optional<cv::Point2d> cursor_px;  // photo px under the cursor
  bool help_is_open = false;
  bool wants_to_quit = false, wants_new_fonts = false;
  float zoom = 1;  // of the whole window
  FilePicker picker;
  Drafts drafts;
};

// Whether the key was pressed since the last frame; held keys count again only with `repeats`.
enum class Held { once, repeats };
bool was_pressed(const ViewerState& state, int key, Held held = Held::once);

using Actions = std::vector<DeskAction>;

}  // namespace verdigrid
