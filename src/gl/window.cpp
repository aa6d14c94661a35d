#include "gl/window.h"

#include <epoxy/gl.h>

#include <utility>
#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <backends/imgui_impl_glfw.h>
#include <backends/imgui_impl_opengl3.h>
#include <imgui.h>

#include <opencv2/core.hpp>

#include "base/error.h"

namespace verdigrid {

namespace {

[[noreturn]] void refuse(const char* what) {
  const char* why = nullptr;
  glfwGetError(&why);
  glfwTerminate();
  throw Error(ErrorKind::no_result,
              std::string(what) + (why ? " (" + std::string(why) + ")" : "") +
                  ". The command line works without a window: see 'verdigrid --help'.");
}

}  // namespace

Window::Window(const WindowOptions& options) {
  if (!glfwInit()) refuse("No window can be opened: there is no display");
  glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, 3);
  glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, 3);
  glfwWindowHint(GLFW_OPENGL_PROFILE, GLFW_OPENGL_CORE_PROFILE);
  glfwWindowHint(GLFW_OPENGL_FORWARD_COMPAT, GLFW_TRUE);
  glfwWindowHint(GLFW_VISIBLE, options.is_visible ? GLFW_TRUE : GLFW_FALSE);
  window_ = glfwCreateWindow(options.size.width, options.size.height, options.title.c_str(),
                             nullptr, nullptr);
  if (!window_) refuse("No window can be opened: OpenGL 3.3 is not available");
  glfwMakeContextCurrent(window_);
  glfwSwapInterval(1);
  glfwSetWindowUserPointer(window_, this);
  glfwSetDropCallback(window_, [](GLFWwindow* w, int count, const char** paths) {
    auto& me = *static_cast<Window*>(glfwGetWindowUserPointer(w));
    me.had_input_ = true;
    for (int i = 0; i < count; ++i) me.dropped_.emplace_back(paths[i]);
  });
  glfwSetWindowRefreshCallback(window_, [](GLFWwindow* w) {
    static_cast<Window*>(glfwGetWindowUserPointer(w))->had_input_ = true;
  });
  glfwSetCursorPosCallback(window_, [](GLFWwindow* w, double, double) {
    static_cast<Window*>(glfwGetWindowUserPointer(w))->had_input_ = true;
  });
  glfwSetFramebufferSizeCallback(window_, [](GLFWwindow* w, int, int) {
    static_cast<Window*>(glfwGetWindowUserPointer(w))->had_input_ = true;
  });
  glfwSetMouseButtonCallback(window_, [](GLFWwindow* w, int, int, int) {
    static_cast<Window*>(glfwGetWindowUserPointer(w))->had_input_ = true;
  });
  glfwSetScrollCallback(window_, [](GLFWwindow* w, double, double) {
    static_cast<Window*>(glfwGetWindowUserPointer(w))->had_input_ = true;
  });
  glfwSetKeyCallback(window_, [](GLFWwindow* w, int key, int, int action, int modifiers) {
    auto& me = *static_cast<Window*>(glfwGetWindowUserPointer(w));
    me.had_input_ = true;
    if (action == GLFW_RELEASE) return;
    if (action == GLFW_PRESS && key >= 0) me.pressed_.push_back(key);
    me.keys_.push_back({key, (modifiers & GLFW_MOD_CONTROL) != 0, (modifiers & GLFW_MOD_SHIFT) != 0,
                        action == GLFW_REPEAT});
  });
  glfwSetWindowFocusCallback(window_, [](GLFWwindow* w, int) {
    static_cast<Window*>(glfwGetWindowUserPointer(w))->had_input_ = true;
  });

  IMGUI_CHECKVERSION();
  ImGui::CreateContext();
  ImGui::GetIO().IniFilename = nullptr;  // settings are ours
  ImGui::GetIO().ConfigFlags |= ImGuiConfigFlags_NavEnableKeyboard;
  ImGui_ImplGlfw_InitForOpenGL(window_, true);  // chains the callbacks above
  ImGui_ImplOpenGL3_Init("#version 330 core");
}

Window::~Window() {
  ImGui_ImplOpenGL3_Shutdown();
  ImGui_ImplGlfw_Shutdown();
  ImGui::DestroyContext();
  glfwDestroyWindow(window_);
  glfwTerminate();
}

bool Window::should_close() const { return glfwWindowShouldClose(window_) != 0; }
void Window::ask_to_close() { glfwSetWindowShouldClose(window_, GLFW_TRUE); }
void Window::keep_open() { glfwSetWindowShouldClose(window_, GLFW_FALSE); }

void Window::wait_events(double seconds) {
  if (seconds > 0)
    glfwWaitEventsTimeout(seconds);
  else
    glfwPollEvents();
}

void Window::wake() { glfwPostEmptyEvent(); }

// ImGui 1.86 reads keys once a frame and misses one whose press and release both fall into it: such
// a key stays down for that frame.
void Window::keep_short_presses() {
  bool* down = ImGui::GetIO().KeysDown;
  for (const int key : held_a_frame_) down[key] = glfwGetKey(window_, key) == GLFW_PRESS;
  held_a_frame_.clear();
  for (const int key : pressed_)
    if (!down[key]) down[key] = true, held_a_frame_.push_back(key);
  pressed_.clear();
}

void Window::begin_frame() {
  ImGui_ImplOpenGL3_NewFrame();
  ImGui_ImplGlfw_NewFrame();
  keep_short_presses();
  ImGui::NewFrame();
}

void Window::prepare() {
  ImGui::Render();
  const cv::Size size = framebuffer_px();
  glViewport(0, 0, size.width, size.height);
  const ImVec4 back = ImGui::GetStyleColorVec4(ImGuiCol_WindowBg);
  glClearColor(back.x, back.y, back.z, 1);
  glClear(GL_COLOR_BUFFER_BIT);
}

void Window::present() {
  ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
  glfwSwapBuffers(window_);
}

std::vector<std::filesystem::path> Window::take_dropped() { return std::exchange(dropped_, {}); }
std::vector<KeyPress> Window::take_keys() { return std::exchange(keys_, {}); }
bool Window::had_input() { return std::exchange(had_input_, false); }

float Window::content_scale() const {
  float x = 1, y = 1;
  glfwGetWindowContentScale(window_, &x, &y);
  return x;
}

cv::Size Window::framebuffer_px() const {
  cv::Size size;
  glfwGetFramebufferSize(window_, &size.width, &size.height);
  return size;
}

void Window::rebuild_fonts() {
  ImGui_ImplOpenGL3_DestroyFontsTexture();
  ImGui_ImplOpenGL3_CreateFontsTexture();
}

void Window::set_title(const std::string& title) { glfwSetWindowTitle(window_, title.c_str()); }

cv::Mat Window::picture() const {
  const cv::Size size = framebuffer_px();
  cv::Mat upside_down(size, CV_8UC3), result;
  glPixelStorei(GL_PACK_ALIGNMENT, 1);
  glReadBuffer(GL_FRONT);
  glReadPixels(0, 0, size.width, size.height, GL_BGR, GL_UNSIGNED_BYTE, upside_down.data);
  cv::flip(upside_down, result, 0);
  return result;
}

}  // namespace verdigrid
