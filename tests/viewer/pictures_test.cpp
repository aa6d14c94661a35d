// Pictures of every step of the window on a filled job book, to be looked at: 1280x800 and
// 1920x1080, dark and light, at one and two times the scale. VERDIGRID_PICTURES names the folder
// they go into; without it they go into the build folder.
#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <opencv2/imgproc.hpp>

#include "base/files.h"
#include "jobbook/person.h"
#include "photo/decode.h"
#include "tests/viewer/demo_work.h"
#include "tests/viewer/real_window.h"
#include "viewer/steps.h"

using namespace verdigrid;
using namespace verdigrid::test;
namespace fs = std::filesystem;

namespace {

// Fewer pixels changed by another step or tab than these would mean that it was not drawn.
constexpr double k_least_change = 0.0005;

struct WindowLook {
  cv::Size screen;
  int scale;
  const char* tone;
};

fs::path pictures_folder() {
  const char* wanted = std::getenv("VERDIGRID_PICTURES");
  return wanted ? fs::path(wanted) : fs::path(VERDIGRID_PICTURES_FOLDER);
}

class Photographer {
 public:
  Photographer(const Display& display, const RealWindow& window, fs::path folder,
               std::string before)
      : display_(display), window_(window), folder_(std::move(folder)), name_(std::move(before)) {}

  // Waits until the window rests, then keeps what it shows.
  void take(const std::string& what) {
    window_.rest();
    const fs::path file = folder_ / fmt::format("{}-{}.png", name_, what);
    const Outcome made = run({"sh", "-c",
                              fmt::format("xwd -silent -root -display {} | convert xwd:- '{}'",
                                          display_.name(), file.string())});
    INFO(made.err);
    REQUIRE(made.code == 0);
    const cv::Mat now = decode_photo(read_file(file, 1u << 28), file.filename().string()).bgr;
    INFO(file.string());
    cv::Scalar mean, spread;
    cv::meanStdDev(now, mean, spread);
    CHECK(spread[0] > 1);
    if (!last_.empty()) {
      cv::Mat difference, changed;
      cv::absdiff(now, last_, difference);
      cv::inRange(difference, cv::Scalar::all(0), cv::Scalar::all(8), changed);
      const double share = 1 - cv::countNonZero(changed) / static_cast<double>(changed.total());
      CHECK(share > k_least_change);
    }
    last_ = now;
  }

 private:
  const Display& display_;
  const RealWindow& window_;
  fs::path folder_;
  std::string name_;
  cv::Mat last_;
};

// The step's key and, one after the other, its tabs.
struct Stop {
  Step step;
  std::vector<std::string> tabs;
};

std::string key_for(Step step) {
  const auto& rows = step_table();
  for (size_t i = 0; i < rows.size(); ++i)
    if (rows[i].step == step) return key_label_of_step(i);
  return {};
}

std::string word_for(Step step) {
  std::string word = row_of(step).name;
  for (char& c : word) c = c == ' ' ? '-' : static_cast<char>(std::tolower(c));
  return word;
}

void show(const RealWindow& window, Photographer& photographer, const Stop& stop) {
  window.key(key_for(stop.step));
  if (stop.step == Step::survey) window.key("j");
  if (stop.step == Step::plan || stop.step == Step::power_lock) window.key("j");
  if (stop.step == Step::layout || stop.step == Step::notes) window.key("f");
  photographer.take(word_for(stop.step));
  for (const std::string& tab : stop.tabs) {
    window.key("ctrl+Right");
    photographer.take(word_for(stop.step) + "-" + tab);
  }
  if (!stop.tabs.empty()) window.key("ctrl+Right");
}

std::vector<Stop> stops() {
  std::vector<Stop> all{
      {Step::receive, {"unit", "photos", "queue"}}, {Step::straighten, {}},    {Step::look, {}},
      {Step::survey, {"zones", "unseen"}},          {Step::layout, {"parts"}}, {Step::notes, {}},
      {Step::plan, {"known", "advice", "order"}},   {Step::bench, {}},         {Step::clocks, {}},
      {Step::power_lock, {"power", "log"}}};
  for (const StepRow& row : step_table())
    if (row.step != Step::recheck &&
        std::none_of(all.begin(), all.end(), [&](const Stop& s) { return s.step == row.step; }))
      all.push_back({row.step, {}});
  return all;
}

void take_all(const WindowLook& look, const fs::path& home, DemoWork& work,
              const fs::path& folder) {
  const std::string name =
      fmt::format("{}x{}-{}-{}x", look.screen.width, look.screen.height, look.tone, look.scale);
  const char* only = std::getenv("VERDIGRID_PICTURES_OF");
  if (only && name.find(only) == std::string::npos) return;
  const bool takes_all = std::getenv("VERDIGRID_PICTURES") != nullptr;
  if (!takes_all && name != "1280x800-dark-1x" && name != "1920x1080-light-2x") return;
  const Display display(fmt::format("{}x{}x24", look.screen.width, look.screen.height));
  const auto opened = [&](const fs::path& in) {
    auto window = std::make_unique<RealWindow>(display, in, std::vector<std::string>{});
    window->fill(look.screen);
    if (std::string(look.tone) == "light") window->key("ctrl+t");
    // An X server without a desktop tells programs no scale: by the keys, 1.1 a step.
    for (int step = 0; look.scale == 2 && step < 7; ++step) window->key("ctrl+equal");
    return window;
  };
  {
    const TemporaryFolder clean;
    const auto window = opened(clean.path());
    Photographer photographer(display, *window, folder, name);
    photographer.take("first-start");
    window->key("F1");
    photographer.take("keys");
  }
  auto window = opened(home);
  Photographer photographer(display, *window, folder, name);
  photographer.take("start");
  window->key("1");
  window->rest();
  for (const Stop& stop : stops()) show(*window, photographer, stop);
  window->key("ctrl+o");
  photographer.take("file-picker");
  window->key("Escape");
  window->key("ctrl+w");
  window->key("2");
  window->rest();
  show(*window, photographer, {Step::recheck, {"areas", "words"}});
  for (const char* mode : {"difference", "before", "after"}) {
    window->key("period");
    photographer.take(std::string("recheck-") + mode);
  }
  window.reset();
  work.start_due_clock();
  const auto with_alarm = opened(home);
  with_alarm->rest();
  with_alarm->key("1");
  with_alarm->rest();
  with_alarm->key(key_for(Step::clocks));
  Photographer(display, *with_alarm, folder, name).take("clocks-alarm");
}

}  // namespace

TEST_CASE("every step of the window has its picture at both sizes, tones and scales",
          "[slow][window]") {
  const std::string why_not = no_window_because();
  if (!why_not.empty()) {
    WARN("Skipped: no window can be opened here, " << why_not);
    return;
  }
  const fs::path folder = pictures_folder();
  fs::create_directories(folder);
  const TemporaryFolder home;
  const fs::path book = home.path() / "data" / "verdigrid" / "job-book";
  fs::create_directories(book.parent_path());
  DemoWork work(book);
  work.make();
  keep_person_name("Ada", home.path() / "config" / "verdigrid");

  for (const char* tone : {"dark", "light"})
    for (const cv::Size size : {cv::Size(1280, 800), cv::Size(1920, 1080)})
      for (const int scale : {1, 2}) take_all({size, scale, tone}, home.path(), work, folder);
}
