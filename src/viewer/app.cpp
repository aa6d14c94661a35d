#include "viewer/app.h"

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <utility>

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>

#include "gl/window.h"
#include "viewer/canvas.h"
#include "viewer/panels.h"
#include "viewer/steps.h"
#include "viewer/thumbnails.h"
#include "viewer/widgets.h"
#include "viewer/window_keys.h"

namespace verdigrid {

namespace {

constexpr float k_top_height = 48, k_status_height = 30, k_splitter_width = 6;
constexpr double k_idle_wait_s = 0.1, k_frame_s = 1.0 / 60;
constexpr double k_place_margin = 0.6;   // surroundings shown with a place, in crop sizes
constexpr int k_frames_after_input = 3;  // ImGui needs a few to settle

void draw_side_panel(const Desk& desk, ViewerState& state, Actions& actions, ImVec2 at,
                     ImVec2 size) {
  const Theme& t = state.theme;
  ImGui::SetNextWindowPos({at.x - t.px(k_splitter_width), at.y});
  ImGui::SetNextWindowSize({t.px(k_splitter_width), size.y});
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, {0, 0});
  ImGui::PushStyleVar(ImGuiStyleVar_WindowMinSize, {1, 1});
  ImGui::Begin("splitter", nullptr,
               ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                   ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoBackground |
                   ImGuiWindowFlags_NoNav);
  ImGui::InvisibleButton("width", {t.px(k_splitter_width), size.y});
  if (ImGui::IsItemHovered() || ImGui::IsItemActive())
    ImGui::SetMouseCursor(ImGuiMouseCursor_ResizeEW);
  if (ImGui::IsItemActive())
    state.panel_width =
        std::clamp(state.panel_width - ImGui::GetIO().MouseDelta.x / t.scale, 300.f, 620.f);
  ImGui::End();
  ImGui::PopStyleVar(2);

  ImGui::SetNextWindowPos(at);
  ImGui::SetNextWindowSize(size);
  if (std::exchange(state.focuses_panel, false)) ImGui::SetNextWindowFocus();
  ImGui::PushStyleColor(ImGuiCol_WindowBg, t.panel);
  ImGui::Begin("panel", nullptr,
               ImGuiWindowFlags_NoTitleBar | ImGuiWindowFlags_NoResize | ImGuiWindowFlags_NoMove |
                   ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoBringToFrontOnFocus);
  row_of(state.step).draw(desk, state, actions);
  ImGui::End();
  ImGui::PopStyleColor();
}

// The canvas follows the question: each new place is shown large, with its surroundings.
void go_to_place(const Desk& desk, ViewerState& state) {
  if (state.step != Step::look || !desk.document() || !desk.derived().look) return;
  const size_t answers = desk.document()->answers.size();
  const LookPlace* place = current_place(desk);
  if (!place || state.place_shown == answers) return;
  state.place_shown = answers;
  state.view =
      fitted_to(state.canvas, cv::Rect2d(place->crop_px), state.view.quarter_turns, k_place_margin);
}

}  // namespace

void draw_window(const Desk& desk, ViewerState& state, Actions& actions, cv::Size2d size) {
  const Theme& t = state.theme;
  const auto w = static_cast<float>(size.width), h = static_cast<float>(size.height);
  const float top = t.px(k_top_height), bottom = t.px(k_status_height),
              side = desk.document() ? t.px(state.panel_width) : 0;
  state.canvas = {0, top, std::max(1.0, size.width - side),
                  std::max(1.0, size.height - top - bottom)};
  if (state.needs_fit && desk.derived().photo) {
    state.view = fitted(state.canvas, desk.derived().photo->size_px(), state.view.quarter_turns);
    state.needs_fit = false;
  }
  take_keys(desk, state, actions);
  go_to_place(desk, state);
  go_to_bench_place(desk, state);
  draw_canvas_overlay(desk, state, actions);
  draw_top_bar(desk, state, actions, {0, 0}, {w, top});
  draw_status_line(desk, state, actions, {0, h - bottom}, {w, bottom});
  if (desk.document())
    draw_side_panel(desk, state, actions, {w - side, top}, {side, h - top - bottom});
  else
    draw_start(desk, state, actions);
  draw_clock_alarm(desk, state, actions, {0, top}, w - side);
  draw_file_picker(desk, state, actions);
  draw_help(state);
}

namespace {

int utc_offset_min() {
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  localtime_r(&now, &local);
  return static_cast<int>(local.tm_gmtoff / 60);
}

// What drawing must not do itself: listing folders, rebuilding fonts, reacting to a new photo.
class Loop {
 public:
  explicit Loop(ViewerOptions& options)
      : window_(WindowOptions{}), desk_(woken(options.desk)), canvas_(options.data) {
    if (!options.remark.empty()) desk_.say(options.remark);
    const char* home = std::getenv("HOME");
    state_.picker.folder = std::filesystem::current_path();
    if (home && state_.picker.folder == "/") state_.picker.folder = home;
    refresh_fonts();
    if (options.photo) desk_.perform(OpenPhotoFile{*options.photo});
  }

  int run() {
    int frames_left = k_frames_after_input;
    while (!window_.should_close() && !state_.wants_to_quit) {
      window_.wait_events(frames_left > 0 ? 0 : k_idle_wait_s);
      const bool was_busy = desk_.is_busy();
      for (const auto& path : window_.take_dropped()) desk_.perform(OpenPhotoFile{path});
      desk_.tick();
      if (window_.had_input() || was_busy || has_blinked() || has_ticked() || has_grown() ||
          canvas_.wants_frame() || thumbnails_.wants_frame() || file_thumbnails_.is_busy())
        frames_left = k_frames_after_input;
      if (frames_left <= 0) continue;
      --frames_left;
      const auto started = std::chrono::steady_clock::now();
      frame();
      std::this_thread::sleep_until(started +
                                    std::chrono::duration_cast<std::chrono::steady_clock::duration>(
                                        std::chrono::duration<double>(k_frame_s)));
    }
    return 0;
  }

 private:
  // A loop that wakes for jobs.
  static DeskOptions woken(DeskOptions desk) {
    desk.wake = [] { Window::wake(); };
    return desk;
  }

  // The other photo's turn.
  bool has_blinked() {
    constexpr double k_blink_s = 0.6;
    if (state_.compare.mode != CompareMode::blink || !compared_now(desk_, state_)) return false;
    const auto now = std::chrono::steady_clock::now();
    if (now - blinked_at_ < std::chrono::duration<double>(k_blink_s)) return false;
    blinked_at_ = now;
    state_.compare.shows_after = !state_.compare.shows_after;
    return true;
  }

  // A timer or a clock shows another second.
  bool has_ticked() {
    const bool has_timer = desk_.document() && state_.step == Step::bench;
    if (desk_.clocks().empty() && !has_timer) return false;
    const auto now = std::chrono::steady_clock::now();
    if (now - ticked_at_ < std::chrono::seconds(1)) return false;
    ticked_at_ = now;
    return true;
  }

  // The card of the start page takes the size of what it holds a frame later.
  bool has_grown() {
    const float was = std::exchange(start_height_, state_.start_height);
    return was != state_.start_height;
  }

  void refresh_fonts() {
    state_.theme = theme_of(state_.theme.tone, window_.content_scale() * state_.zoom);
    load_fonts(state_.theme);
    apply(state_.theme);
    window_.rebuild_fonts();
    state_.wants_new_fonts = false;
  }

  // Arrows and Space move the photo, or what has the focus in a panel: never both.
  void share_keys() {
    const bool are_for_panels =
        state_.keys_in_panel || !desk_.document() || state_.picker.is_open || state_.help_is_open;
    ImGuiIO& io = ImGui::GetIO();
    if (are_for_panels)
      io.ConfigFlags |= ImGuiConfigFlags_NavEnableKeyboard;
    else
      io.ConfigFlags &= ~ImGuiConfigFlags_NavEnableKeyboard;
  }

  void frame() {
    if (state_.wants_new_fonts) refresh_fonts();
    if (state_.picker.is_open && state_.picker.listed_for != state_.picker.folder) {
      state_.picker.files =
          listed(state_.picker.folder,
                 state_.picker.what == PickFor::photo ? Listing::photos : Listing::all);
      state_.picker.listed_for = state_.picker.folder;
    }
    if (photo_shown_ != desk_.derived().photo_revision) {
      photo_shown_ = desk_.derived().photo_revision;
      state_.needs_fit = true;
      state_.step = Step::look;
      state_.place_shown = static_cast<size_t>(-1);
      state_.selected_finding = 0;
      state_.drafts = {};
      window_.set_title(desk_.document() ? desk_.document()->photo_name + " - Verdigrid"
                                         : "Verdigrid");
    }
    Actions actions;
    state_.keys = window_.take_keys();
    file_thumbnails_.begin_frame();
    state_.picture_of_file = [this](const std::filesystem::path& file) {
      return file_thumbnails_.picture(file);
    };
    state_.picture_of_kept = [this](const std::string& sha256) {
      return sha256.empty() ? FilePicture{} : file_thumbnails_.picture(desk_.photo_path(sha256));
    };
    share_keys();
    state_.utc_offset_min = utc_offset_min();
    thumbnails_.begin_frame(desk_.derived().photo_pyramid, desk_.derived().photo_revision);
    state_.picture_of = [this](cv::Rect crop_px) { return thumbnails_.picture(crop_px); };
    window_.begin_frame();
    const ImVec2 size = ImGui::GetIO().DisplaySize;
    draw_window(desk_, state_, actions, {size.x, size.y});
    window_.end_frame([&] {
      canvas_.draw(desk_, state_, window_.framebuffer_px(),
                   ImGui::GetIO().DisplayFramebufferScale.x);
    });
    for (const DeskAction& a : actions) desk_.perform(a);
  }

  Window window_;
  Desk desk_;
  PhotoCanvas canvas_;
  Thumbnails thumbnails_;
  FileThumbnails file_thumbnails_{[] { Window::wake(); }};
  ViewerState state_;
  std::uint32_t photo_shown_ = 0;
  std::chrono::steady_clock::time_point blinked_at_, ticked_at_;
  float start_height_ = 0;  // of the card in the frame before
};

}  // namespace

int run_viewer(ViewerOptions options) { return Loop(options).run(); }

}  // namespace verdigrid
