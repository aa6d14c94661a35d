// How smoothly the window pans and zooms: a large photo with residue, 300 findings, 500 parts.
//
// Prints frames a second and the longest frames, at rest and while a survey runs, and the most
// memory taken. Needs a display (under Xvfb it measures Mesa's software renderer). A frame is
// counted until the card has drawn it; the screen is not waited for.
//   frames [--megapixels 100] [--frames 300] [--size 1280x800] [--egl]

#include <epoxy/gl.h>
#include <fmt/format.h>
#include <sys/resource.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <opencv2/imgproc.hpp>
#include <thread>
#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>

#include "base/files.h"
#include "gl/window.h"
#include "layout/layout_json.h"
#include "layout/package_table.h"
#include "photo/encode.h"
#include "tests/process.h"
#include "viewer/app.h"
#include "viewer/canvas.h"
#include "viewer/steps.h"
#include "viewer/thumbnails.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

constexpr int k_findings = 300, k_parts = 500;
using Clock = std::chrono::steady_clock;

double ms_since(Clock::time_point start) {
  return std::chrono::duration<double, std::milli>(Clock::now() - start).count();
}

// Flags 300 places, evenly spread; takes its time as a real one does.
class SpreadDetector : public Detector {
 public:
  std::string id() const override { return "spread 1"; }
  ResidueMap residue_map(const Photo& photo, const Rectification&, const DetectorOptions&,
                         const Work&) const override {
    const cv::Size size = photo.size_px();
    ResidueMap map{cv::Mat::zeros(size, CV_8UC1), cv::Mat::zeros(size, CV_8UC1)};
    const int columns = 20, rows = k_findings / columns;
    for (int i = 0; i < k_findings; ++i) {
      const cv::Point c(size.width * (1 + i % columns) / (columns + 2),
                        size.height * (1 + i / columns) / (rows + 2));
      const int r = size.width / 120;
      cv::circle(map.labels, c, r, 1 + i % 7, cv::FILLED);
      cv::circle(map.confidence, c, r, 210, cv::FILLED);
    }
    return map;
  }
};

cv::Mat drawn_photo(double megapixels) {
  const auto width = static_cast<int>(std::sqrt(megapixels * 1e6 * 4 / 3));
  cv::Mat photo(width * 3 / 4, width, CV_8UC3, cv::Scalar(60, 95, 50)), noise(1024, 1024, CV_8UC3);
  cv::theRNG().state = 7;
  cv::randu(noise, cv::Scalar::all(0), cv::Scalar::all(40));
  for (int y = 0; y < photo.rows; y += noise.rows)
    for (int x = 0; x < photo.cols; x += noise.cols) {
      const cv::Rect at = cv::Rect(x, y, noise.cols, noise.rows) & cv::Rect({0, 0}, photo.size());
      photo(at) += noise({0, 0, at.width, at.height});
    }
  for (int i = 0; i < 400; ++i)
    cv::line(photo, {i * photo.cols / 400, 0}, {photo.cols - i * photo.cols / 400, photo.rows},
             cv::Scalar(90, 140, 80), 6);
  return photo;
}

Layout drawn_layout(cv::Size2d board_mm) {
  Layout layout = layout_over(
      {{{0, 0}, {board_mm.width, 0}, {board_mm.width, board_mm.height}, {0, board_mm.height}}, {}},
      true);
  layout.source.origin = LayoutOrigin::kicad;
  const Package& package = *package_named("soic-14");
  for (int i = 0; i < k_parts; ++i) {
    Part part =
        part_of(package, {board_mm.width * (1 + i % 25) / 27, board_mm.height * (1 + i / 25) / 22},
                90.0 * (i % 4), Side::front);
    part.designator = fmt::format("U{}", i + 1);
    layout.parts.push_back(part);
  }
  return layout;
}

// Since the last call.
double most_memory_mb() {
  std::ifstream status("/proc/self/status");
  double mb = 0;
  for (std::string line; std::getline(status, line);)
    if (line.starts_with("VmHWM:")) mb = std::stod(line.substr(6)) / 1024;
  std::ofstream("/proc/self/clear_refs") << 5;  // the peak begins anew, proc(5)
  return mb;
}

void print_memory(const char* what, cv::Size photo) {
  const double mb = most_memory_mb();
  fmt::print("{}: at most {:.0f} MB, {:.1f} bytes a photo px\n", what, mb,
             mb * 1048576 / photo.area());
}

// Of all threads, drawing by software among them: what a busy machine does not change.
double processor_ms() {
  rusage used{};
  getrusage(RUSAGE_SELF, &used);
  const auto ms = [](const timeval& t) {
    return 1e3 * static_cast<double>(t.tv_sec) + 1e-3 * static_cast<double>(t.tv_usec);
  };
  return ms(used.ru_utime) + ms(used.ru_stime);
}

struct Shown {
  Window window;
  Desk desk;
  DataFiles data;
  PhotoCanvas canvas{data};
  Thumbnails thumbnails;
  ViewerState state;

  Shown(const fs::path& book, cv::Size size)
      : window(WindowOptions{.size = size}), desk(options(book)) {
    glfwSwapInterval(0);
    state.theme = theme_of(Tone::dark, 1);
    load_fonts(state.theme);
    apply(state.theme);
    window.rebuild_fonts();
    state.step = Step::layout;
    state.layers.unseen = true;
    state.picture_of = [this](cv::Rect crop) { return thumbnails.picture(crop); };
  }
  static DeskOptions options(const fs::path& book) {
    DeskOptions o;
    o.job_book = book;
    o.detector = std::make_shared<const SpreadDetector>();
    return o;
  }
  void finish() {
    while (desk.is_busy()) {
      desk.tick();
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    desk.tick();
    for (const Message& m : desk.messages()) fmt::print("{}\n", m.sentence);
  }
  void frame() {
    window.wait_events(0);
    desk.tick();
    thumbnails.begin_frame(desk.derived().photo_pyramid, desk.derived().photo_revision);
    Actions actions;
    window.begin_frame();
    draw_window(desk, state, actions, cv::Size2d(window.framebuffer_px()));
    window.end_frame([&] { canvas.draw(desk, state, window.framebuffer_px(), 1); });
    glFinish();
  }
};

// Pans in a circle while zooming in and out.
void measure(Shown& shown, const char* what, int frames, const std::function<bool()>& goes_on) {
  const cv::Size photo = shown.desk.derived().photo->size_px();
  std::vector<double> times;
  const View whole = fitted(shown.state.canvas, photo, 0);
  const double processor_before = processor_ms();
  for (int i = 0; i < frames && goes_on(); ++i) {
    const double t = 2 * CV_PI * i / 150;
    shown.state.view.scale = whole.scale * std::exp2(2.5 - 2.5 * std::cos(t));
    shown.state.view.centre_px = {photo.width * (0.5 + 0.3 * std::cos(0.7 * t)),
                                  photo.height * (0.5 + 0.3 * std::sin(0.7 * t))};
    const auto start = Clock::now();
    shown.frame();
    times.push_back(ms_since(start));
  }
  if (times.empty()) return;
  double sum = 0;
  for (const double t : times) sum += t;
  std::sort(times.begin(), times.end());
  fmt::print(
      "{}: {} frames, {:.0f} a second; median {:.1f} ms, 95 of 100 below {:.1f} ms, longest "
      "{:.1f} ms; {:.1f} ms of processor time a frame\n",
      what, times.size(), 1000.0 * static_cast<double>(times.size()) / sum, times[times.size() / 2],
      times[times.size() * 95 / 100], times.back(),
      (processor_ms() - processor_before) / static_cast<double>(times.size()));
}

}  // namespace

int main(int argc, char** argv) {
  double megapixels = 100;
  int frames = 300;
  cv::Size window(1280, 800);
  CLI::App app{"Frames a second of the window with a large photo"};
  app.add_option("--megapixels", megapixels);
  app.add_option("--frames", frames);
  app.add_option_function<std::string>("--size", [&](const std::string& text) {
    if (std::sscanf(text.c_str(), "%dx%d", &window.width, &window.height) != 2)
      throw CLI::ValidationError("--size", "is width x height in px, as 1280x800");
  });
  app.add_flag_callback(
      "--egl",
      [] {
        glfwInit();
        glfwWindowHint(GLFW_CONTEXT_CREATION_API, GLFW_EGL_CONTEXT_API);
      },
      "EGL makes the context instead of GLX");
  CLI11_PARSE(app, argc, argv);
  std::setvbuf(stdout, nullptr, _IOLBF, 0);  // a run that is cut short still shows its lines
  const test::TemporaryFolder folder;
  const fs::path photo = folder.path() / "large.jpg", layout = folder.path() / "large.layout.json";
  write_file(photo, jpeg_bytes(drawn_photo(megapixels)));
  const cv::Size2d board_mm(400, 300);
  save_layout(layout, drawn_layout(board_mm));

  Shown shown(folder.path() / "book", window);
  fmt::print("Drawn by {}\n", reinterpret_cast<const char*>(glGetString(GL_RENDERER)));
  most_memory_mb();
  shown.desk.perform(OpenPhotoFile{photo});
  shown.finish();
  const cv::Size size = shown.desk.derived().photo->size_px();
  print_memory("Open and survey", size);
  ScaleChoice scale;
  scale.board_mm = board_mm;
  scale.corners_px = {
      {0, 0}, {size.width - 1.0, 0}, {size.width - 1.0, size.height - 1.0}, {0, size.height - 1.0}};
  shown.desk.perform(SetScale{scale, "Size"});
  shown.finish();
  shown.desk.perform(ImportLayout{{layout}});
  shown.finish();
  print_memory("Scale and layout", size);
  fmt::print("{} x {} px, {} findings, {} parts, window {} x {}\n", size.width, size.height,
             shown.desk.derived().survey->findings.findings.size(),
             shown.desk.derived().layout ? shown.desk.derived().layout->parts.size() : 0,
             shown.window.framebuffer_px().width, shown.window.framebuffer_px().height);
  for (int i = 0; i < 30; ++i) shown.frame();
  for (const Step step : {Step::survey, Step::layout}) {
    shown.state.step = step;
    measure(shown, row_of(step).name, frames, [] { return true; });
  }
  print_memory("Pan and zoom", size);
  shown.desk.perform(SetSetting{Setting::show_more});
  measure(shown, "while a survey runs", 100 * frames, [&] { return shown.desk.is_busy(); });
  print_memory("Pan and zoom while a survey runs", size);
  fmt::print("Tiles on the card: {:.0f} MB\n", static_cast<double>(shown.canvas.bytes()) / 1e6);
  return 0;
}
