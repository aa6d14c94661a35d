// The program in a real window: real input events, no mocks.
#include <fmt/format.h>

#include <catch2/catch.hpp>

#include "layout/layout_json.h"
#include "tests/viewer/real_window.h"

using namespace verdigrid;
using namespace verdigrid::test;
namespace fs = std::filesystem;

namespace {

constexpr const char* k_board = VERDIGRID_SOURCE_DIR "/samples/logger-main-front-arrival.jpg";
// From samples/boards.json: its size in mm, its corners and its photo's size in px.
const cv::Size2d k_board_mm(160, 110);
const std::vector<cv::Point2d> k_corners{
    {81.5, 142.2}, {1522.1, 61.7}, {1523.6, 1062.6}, {147.5, 1077.7}};
const cv::Size k_photo_px(1600, 1200), k_window(1280, 800);

cv::Point2d on_screen(cv::Point2d p_px) {
  const cv::Rect2d canvas = canvas_of(k_window);
  return screen_from_photo(fitted(canvas, k_photo_px, 0), canvas, p_px);
}

#define NEEDS_WINDOW()                                          \
  const std::string why_not = no_window_because();              \
  if (!why_not.empty()) {                                       \
    WARN("Skipped: no window can be opened here, " << why_not); \
    return;                                                     \
  }

// Presses a key until what it should do has been done: a survey may still be running.
bool pressed_until(const RealWindow& window, const std::string& key,
                   const std::function<bool()>& done) {
  return comes_true([&] {
    if (done()) return true;
    window.key(key);
    return done();
  });
}

struct Saved {
  std::string zones, labels;
};
Saved saved_in(const fs::path& folder) {
  return {text_of(folder / "zones.csv"), text_of(folder / "labels.png")};
}

}  // namespace

TEST_CASE("a whole session at the window survives kill -9 and equals the headless survey",
          "[slow][window]") {
  NEEDS_WINDOW();
  const Display display;
  const TemporaryFolder home;
  auto window =
      std::make_unique<RealWindow>(display, home.path(), std::vector<std::string>{k_board});
  const fs::path book = window->job_book();
  const auto work = [&] { return kept_work(book).value_or(Document{}); };
  REQUIRE(comes_true([&] { return kept_work(book).has_value(); }));
  const Document opened = work();

  // Straighten: type the size, set the corners, drag each to where the board's corner is.
  REQUIRE(comes_true([&] {
    for (const char* key : {"Escape", "2", "s"}) window->key(key);
    window->key("ctrl+a");
    window->type("160");
    window->key("Tab");
    window->key("ctrl+a");
    window->type("110");
    window->key("Return");
    return comes_true([&] { return work().scale.board_mm.has_value(); }, 5);
  }));
  CHECK(*work().scale.board_mm == k_board_mm);
  REQUIRE(pressed_until(*window, "c", [&] { return work().scale.corners_px.size() == 4; }));
  window->key("f");
  for (size_t i = 0; i < 4; ++i) {
    REQUIRE(comes_true([&] {
      const std::vector<cv::Point2d> before = work().scale.corners_px;
      window->drag(on_screen(before[i]), on_screen(k_corners[i]));
      return comes_true([&] { return work().scale.corners_px != before; }, 3);
    }));
  }
  // Within what a hand and the edge magnet leave: 1 mm is 9 px.
  for (size_t i = 0; i < 4; ++i) CHECK(cv::norm(work().scale.corners_px[i] - k_corners[i]) < 18);

  // Six answers, a dismissal, one drawn, a zone, a note.
  window->key("3");
  const char* answers[] = {"y", "n", "u", "y", "n", "y"};
  for (size_t i = 0; i < 6; ++i)
    REQUIRE(pressed_until(*window, answers[i], [&] { return work().answers.size() > i; }));
  const size_t answered = work().answers.size();
  window->key("4");
  REQUIRE(comes_true([&] {
    window->key("j");
    window->key("x");
    return !work().edits.empty();
  }));
  window->key("f");
  window->key("b");
  const size_t edits = work().edits.size();
  window->drag(on_screen({700, 300}), on_screen({780, 320}));
  REQUIRE(comes_true([&] { return work().edits.size() > edits; }));
  CHECK(work().edits.back().kind == EditKind::draw);
  window->key("5");
  REQUIRE(pressed_until(*window, "n", [&] { return !work().layout_sha256.empty(); }));
  const std::string begun = work().layout_sha256;
  window->key("b");
  window->click(on_screen({400, 300}));
  window->click(on_screen({800, 600}));
  REQUIRE(comes_true([&] { return work().layout_sha256 != begun; }));
  window->key("Escape");
  window->key("6");
  window->key("p");
  window->click(on_screen({500, 500}));
  REQUIRE(comes_true([&] { return !work().notes.empty(); }));

  // Everything back, and everything again.
  const Document done = work();
  REQUIRE(pressed_until(*window, "ctrl+z", [&] { return work() == opened; }));
  REQUIRE(pressed_until(*window, "ctrl+y", [&] { return work() == done; }));
  CHECK(work().answers.size() == answered);

  const fs::path saved = book / "surveys" / "logger-main-front-arrival";
  REQUIRE(pressed_until(*window, "ctrl+s", [&] { return fs::exists(saved / "review.json"); }));
  const Saved before = saved_in(saved);

  window->kill_hard();
  fs::remove_all(saved);
  window = std::make_unique<RealWindow>(display, home.path(), std::vector<std::string>{});
  REQUIRE(pressed_until(*window, "1", [&] {
    return window->title().find("logger-main-front-arrival") != std::string::npos;
  }));
  CHECK(work() == done);
  REQUIRE(pressed_until(*window, "ctrl+s", [&] { return fs::exists(saved / "review.json"); }));
  const Saved after = saved_in(saved);
  CHECK((after.zones == before.zones));
  CHECK((after.labels == before.labels));

  // The same by the headless command.
  std::vector<std::string> command{VERDIGRID_PROGRAM,
                                   "survey",
                                   k_board,
                                   "--board-mm",
                                   "160x110",
                                   "--layout",
                                   (saved / "board.layout.json").string(),
                                   "--review",
                                   (saved / "review.json").string(),
                                   "-o",
                                   (home.path() / "headless").string(),
                                   "--corners"};
  for (const cv::Point2d p : done.scale.corners_px)
    command.push_back(fmt::format("{},{}", p.x, p.y));
  const Outcome headless = run(command);
  INFO(headless.err);
  REQUIRE(headless.code == 0);
  CHECK((saved_in(home.path() / "headless").zones == before.zones));
  CHECK((saved_in(home.path() / "headless").labels == before.labels));
}

TEST_CASE("the first five minutes: a photo on a clean home, one key an answer, one key a sheet",
          "[slow][window]") {
  NEEDS_WINDOW();
  const Display display;
  const TemporaryFolder home;
  const RealWindow window(display, home.path(), {k_board});
  const fs::path book = window.job_book();
  const auto answers = [&] {
    const auto work = kept_work(book);
    return work ? work->answers.size() : 0;
  };
  // Nothing was asked, and the first thing that can be done is to answer a place.
  REQUIRE(pressed_until(window, "n", [&] { return answers() > 0; }));
  CHECK(kept_work(book)->answers[0].asked == Asked::shown);
  CHECK_FALSE(kept_work(book)->scale.board_mm);
  REQUIRE(pressed_until(window, "ctrl+p", [&] {
    return fs::exists(book / "sheets" / "logger-main-front-arrival bench sheet.pdf");
  }));
  CHECK(window.title() == "logger-main-front-arrival.jpg - Verdigrid");
}
