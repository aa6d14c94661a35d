// The window: GLFW, an OpenGL 3.3 core context and Dear ImGui's two back ends, as one owner.
//
// UI thread only; one window per program. Throws Error{no_result} with a sentence when there is no
// display or no OpenGL 3.3.
#pragma once

#include <filesystem>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

struct GLFWwindow;

namespace verdigrid {

// A key as it came, so that none is lost when press and release fall into one frame.
struct KeyPress {
  int key = 0;  // GLFW code
  bool control = false, shift = false, repeats = false;
};

struct WindowOptions {
  std::string title = "Verdigrid";
  cv::Size size{1280, 800};
  bool is_visible = true;
};

class Window {
 public:
  explicit Window(const WindowOptions& options);
  ~Window();
  Window(const Window&) = delete;
  Window& operator=(const Window&) = delete;

  bool should_close() const;
  void ask_to_close();
  void keep_open();  // takes a close request back

  // Waits for input or wake(), at most `seconds`; 0 only polls.
  void wait_events(double seconds);
  static void wake();  // any thread

  // Frame: begin, draw ImGui, then end with GL drawn in between by `draw_below` (under all ImGui
  // windows).
  void begin_frame();
  template <class DrawBelow>
  void end_frame(DrawBelow draw_below) {
    prepare();
    draw_below();
    present();
  }

  std::vector<std::filesystem::path> take_dropped();  // files dropped since the last call
  std::vector<KeyPress> take_keys();                  // pressed since the last call, in order
  bool had_input();                                   // since the last call
  float content_scale() const;                        // HiDPI factor
  cv::Size framebuffer_px() const;
  void rebuild_fonts();  // after the font atlas was changed, between frames
  void set_title(const std::string& title);
  cv::Mat picture() const;  // what was presented last, CV_8UC3 BGR, top row first

 private:
  void keep_short_presses();
  void prepare();
  void present();
  GLFWwindow* window_ = nullptr;
  std::vector<std::filesystem::path> dropped_;
  std::vector<KeyPress> keys_;
  std::vector<int> pressed_;       // since the last frame, GLFW codes
  std::vector<int> held_a_frame_;  // shown to ImGui as down though they are up again
  bool had_input_ = true;
};

}  // namespace verdigrid
