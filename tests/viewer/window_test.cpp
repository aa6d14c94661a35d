// The program in a real window: real input events, no mocks.
#include <fmt/format.h>

#include <catch2/catch.hpp>

#include "jobbook/bench_record.h"
#include "jobbook/lock_record.h"
#include "jobbook/plan_record.h"
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

// Presses a key until what it should do has been done: a survey may still be running. On a slow
// machine it is only pressed again when nothing came of it.
bool pressed_until(const RealWindow& window, const std::string& key,
                   const std::function<bool()>& done) {
  return comes_true([&] {
    if (done()) return true;
    window.key(key);
    return comes_true(done, 3);
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
    return comes_true([&] { return !work().edits.empty(); }, 3);
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
  const auto walked = [&](const char* key, const Document& to) {
    return comes_true([&] {
      const Document before = work();
      if (before == to) return true;
      window->key(key);
      comes_true([&] { return work() != before; }, 2);
      return false;
    });
  };
  REQUIRE(walked("ctrl+z", opened));
  REQUIRE(walked("ctrl+y", done));
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

namespace {

// The board of the only unit as another process sees it in the job book.
struct SeenBoard {
  std::string unit, state, headline;
  std::optional<Plan> plan;
  BenchLog log;

  size_t done() const {
    return plan ? static_cast<size_t>(std::count_if(plan->items.begin(), plan->items.end(),
                                                    [](const WorkItem& w) { return w.done; }))
                : 0;
  }
};

// As the program has it: its lock looks at the calendar.
std::string day_of(const JobBook& book) { return book.options().now().substr(0, 10); }

std::optional<SeenBoard> seen_board(const fs::path& folder) {
  try {
    const JobBook book = JobBook::open(folder, {}, Open::read_only);
    const std::vector<Record> boards = book.of_kind("board");
    if (boards.empty()) return std::nullopt;
    const std::string board = boards.front().id, unit = boards.front().unit.value_or("");
    return SeenBoard{unit, unit_from(book.get(unit).body).state,
                     power_headline(book, board, day_of(book)), kept_plan(book, board),
                     bench_log_of(book, board)};
  } catch (const Error&) {
    return std::nullopt;  // it is being made, or written to, at this very moment
  }
}

bool has_problem(const SeenBoard& board, const std::string& word) {
  const auto steps = events<WorkStep>(board.log);
  return std::any_of(steps.begin(), steps.end(), [&word](const WorkStep& s) {
    return s.kind == StepKind::problem && s.word == word;
  });
}

}  // namespace

TEST_CASE("a demo board goes from plan through bench, kill -9, wash and recheck to hand-over",
          "[slow][window]") {
  NEEDS_WINDOW();
  const Display display;
  const TemporaryFolder home;
  // The command line with the same settings and data folder as the window.
  const auto program = [&home](std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), VERDIGRID_PROGRAM);
    const Outcome ran = run(arguments, [&home] {
      ::setenv("HOME", home.path().c_str(), 1);
      ::setenv("XDG_DATA_HOME", (home.path() / "data").c_str(), 1);
      ::setenv("XDG_CONFIG_HOME", (home.path() / "config").c_str(), 1);
    });
    INFO(ran.err);
    CHECK(ran.code == 0);
    return ran;
  };
  const std::string other = (home.path() / "other").string();
  program({"jobbook", "init", other});
  program({"jobbook", "sign-as", "Ada"});
  auto window =
      std::make_unique<RealWindow>(display, home.path(), std::vector<std::string>{k_board});
  const fs::path book = window->job_book();
  const auto seen = [&] { return seen_board(book).value_or(SeenBoard{}); };

  // Plan, then the bench: the first places done, a problem with its word.
  REQUIRE(comes_true([&] {
    for (const char* key : {"Escape", "7", "n"}) window->key(key);
    return seen().plan.has_value();
  }));
  window->key("8");
  REQUIRE(pressed_until(*window, "n", [&] { return !seen().log.entries.empty(); }));
  CHECK(seen().state == "at the bench");
  REQUIRE(comes_true([&] {
    window->key("d");
    if (seen().done() > 0) return true;
    window->key("n");  // this one must not be done yet
    return false;
  }));
  REQUIRE(comes_true([&] {
    window->key("p");
    window->type("seized");
    window->key("Return");
    return has_problem(seen(), "seized");
  }));

  window->kill_hard();
  const SeenBoard before = seen();
  CHECK(before.log.entries.back().who == "Ada");
  window = std::make_unique<RealWindow>(display, home.path(), std::vector<std::string>{});
  REQUIRE(pressed_until(*window, "1", [&] {
    return window->title().find("logger-main-front-arrival") != std::string::npos;
  }));
  CHECK(seen().log == before.log);
  CHECK(*seen().plan == *before.plan);
  window->key("8");
  REQUIRE(comes_true([&] {
    window->key("n");
    return seen().log.entries.size() > before.log.entries.size();
  }));
  window->kill_hard();

  // Wash and dry, parts off and on, the photo after the wash; then evidence for what is open.
  const auto on_unit = [&](std::vector<std::string> command, std::vector<std::string> more) {
    command.insert(command.end(), {seen().unit, "--jobbook", book.string()});
    command.insert(command.end(), more.begin(), more.end());
    return program(command);
  };
  std::vector<std::string> told;
  for (const char* answer : {"--battery-fitted", "--battery-leaking", "--alcohol", "--picture-tube",
                             "--mains-capacitors", "--above-50v", "--suppression"})
    told.insert(told.end(), {answer, "no"});
  on_unit({"plan", "tell"}, told);
  on_unit({"log", "part"}, {"U1", "off"});
  for (int i = 0; i < 2; ++i)
    on_unit({"log", "wash"}, {"rinse", "--bath", "distilled water", "--minutes", "10"});
  CHECK(seen().state == "washed");
  on_unit({"log", "dry"}, {"circulating oven", "--hours", "4", "--celsius", "54"});
  CHECK(on_unit({"lock", "show"}, {}).out.find("[ ] ledger") != std::string::npos);
  on_unit({"log", "part"}, {"U1", "back-on"});

  // Recheck at the window: the photo after the wash goes on in its own unit, over the arrival one.
  const std::string washed = VERDIGRID_SOURCE_DIR "/samples/logger-main-front-washed.jpg";
  program({"jobbook", "add", book.string(), seen().unit, washed, "--board", "board 1", "--role",
           "after wash"});
  const fs::path comparison =
      book / "comparisons" / "logger-main-front-washed with logger-main-front-arrival";
  window = std::make_unique<RealWindow>(display, home.path(), std::vector<std::string>{washed});
  REQUIRE(comes_true(
      [&] { return window->title().find("logger-main-front-washed") != std::string::npos; }));
  CHECK(JobBook::open(book, {}, Open::read_only).of_kind("unit").size() == 1);
  const auto recheck = [&] { return kept_work(book).value_or(Document{}); };
  window->key("Escape");
  REQUIRE(comes_true([&] {
    constexpr int k_shown_s = 3;  // a second press would choose no photo again
    for (const char* key : {"F2", "c"}) window->key(key);
    return comes_true([&] { return !recheck().compared_with_sha256.empty(); }, k_shown_s);
  }));
  REQUIRE(pressed_until(*window, "w", [&] { return recheck().is_dry; }));
  // Two surveys and the comparison come first; saving again would begin anew.
  constexpr int k_saved_s = 30, k_patience_s = 300;
  window->rest();
  REQUIRE(comes_true(
      [&] {
        window->key("ctrl+s");
        return comes_true([&] { return fs::exists(comparison); }, k_saved_s);
      },
      k_patience_s));
  window->kill_hard();
  CHECK(recheck().is_dry);
  CHECK(text_of(comparison / "compare.json").find("\"verdict\"") != std::string::npos);

  const Outcome by_comparison =
      on_unit({"lock", "meet"}, {"findings", "--comparison", comparison.string()});
  CHECK(by_comparison.out.find("comparison: ") != std::string::npos);
  for (const char* condition : {"findings", "after-wash-photo", "inspection", "loose-metal"})
    on_unit({"lock", "meet"}, {condition, "--photo", washed});
  on_unit({"lock", "meet"}, {"strip", "--reading", "7.1 pH"});
  on_unit({"lock", "meet"}, {"supply", "--supply", "bench 1", "--rail", "+5V=5/5.03@1"});
  on_unit({"lock", "meet"}, {"rail-ohms", "--reading", "120 ohm", "--rail", "+5V"});
  CHECK(seen().headline.find("LOCKED") == 0);
  const JobBook opened = JobBook::open(book, {}, Open::read_only);
  const PowerLock lock = lock_of(opened, opened.of_kind("board").front().id, "Ada", day_of(opened));
  for (const ConditionView& c : state_of(lock, day_of(opened)).conditions)
    if (c.state == ConditionState::open)
      on_unit({"lock", "override"}, {name(c.condition), "--reason", "shown at the demo"});
  CHECK(seen().state == "cleared for test");

  const fs::path sheet = home.path() / "hand-over.pdf";
  const Outcome given = program({"handover", "give", book.string(), seen().unit, "--watch",
                                 "the old fan", "-o", sheet.string()});
  CHECK(given.out.find("CLEARED FOR TEST") != std::string::npos);
  CHECK(given.out.find("Look again on") != std::string::npos);
  CHECK(text_of(sheet).find("%PDF") == 0);
  CHECK(seen().state == "handed over");
}
