// The bench step: one place at a time by single keys, with its ledger; clocks with their alarm on
// every screen; all of it in the job book and undoable.
#include <imgui_internal.h>

#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>

#include "base/calendar.h"
#include "jobbook/bench_record.h"
#include "jobbook/close_up.h"
#include "jobbook/plan_record.h"
#include "photo/encode.h"
#include "plan/edit_plan.h"
#include "plan/ledger.h"
#include "tests/viewer/screen.h"

using namespace verdigrid;

namespace {

struct AtBench {
  OpenDesk open;
  Screen screen;

  AtBench() {
    open.photo();
    Known known;
    known.battery_fitted = known.alcohol_on_board = Told::no;
    screen.state.step = Step::plan;
    key(GLFW_KEY_N);
    open.desk.perform(TellKnown{known});
    WorkItem cans;
    cans.operation = Operation::replace_smd_can;
    cans.stage = Stage::look;  // so that it comes up first
    cans.quantity = 2;
    for (const char* designator : {"C1", "C2"})
      cans.parts.push_back({designator, PartKind::aluminium_smd, "47u", "16 V", "", ""});
    open.desk.perform(AddItem{cans});
    open.finish();
    // Only these two places are left.
    const std::vector<WorkItem> items = plan().items;
    for (const WorkItem& w : items)
      if (w.operation != Operation::replace_smd_can) open.desk.perform(RemoveItem{w.id});
    open.finish();
    screen.state.step = Step::bench;
    screen.frame(open.desk);
  }
  void key(int key) {
    screen.frame(open.desk, {{key}});
    screen.perform(open);
  }
  const Plan& plan() const { return *open.desk.plan().plan; }
  const BenchLog& log() const { return open.desk.bench().log; }
  BenchNow now() const { return bench_now(plan(), log(), time_text(open.desk.now_s())); }
  std::string part() const { return now().step ? now().step->place.part : "none"; }
};

}  // namespace

TEST_CASE("N starts the first place and D goes on to the next until the item is ticked off") {
  AtBench b;
  CHECK(b.part() == "C1");
  CHECK_FALSE(b.now().timer.is_running);
  b.key(GLFW_KEY_N);
  CHECK(b.now().timer.is_running);
  CHECK(b.part() == "C1");
  b.key(GLFW_KEY_D);
  CHECK(b.part() == "C2");
  CHECK_FALSE(b.plan().items.front().done);
  b.key(GLFW_KEY_D);
  CHECK(b.part() == "none");
  CHECK(b.plan().items.front().done);
  CHECK(b.plan().items.front().actual_min);
  CHECK(b.plan() == *kept_plan(b.open.desk.book(), b.open.desk.intake().board_id));
  b.open.desk.perform(Undo{});
  b.open.finish();
  CHECK(b.part() == "C2");
  CHECK_FALSE(b.plan().items.front().done);
  b.open.desk.perform(Redo{});
  b.open.finish();
  CHECK(b.plan().items.front().done);
}

TEST_CASE("D at the bench does not change how large the photo is shown") {
  AtBench b;
  b.key(GLFW_KEY_N);
  const double before = b.screen.state.view.scale;
  b.screen.frame(b.open.desk, {{GLFW_KEY_D}});
  CHECK(b.screen.state.view.scale == before);
}

TEST_CASE("P asks for a word, and the place with the problem waits at the end") {
  AtBench b;
  b.key(GLFW_KEY_N);
  b.key(GLFW_KEY_P);
  CHECK(b.screen.state.bench.asks == BenchDrafts::Asks::problem);
  b.key(GLFW_KEY_D);  // while a word is asked for, no key works through the plan
  CHECK(b.part() == "C1");
  b.open.desk.perform(BenchProblem{"pad lifts"});
  b.screen.state.bench.asks = BenchDrafts::Asks::nothing;
  b.screen.frame(b.open.desk);
  CHECK(b.part() == "C2");
  CHECK(b.open.desk.bench().steps.back().problem == "pad lifts");
}

TEST_CASE("space stops the timer and lets it go on") {
  AtBench b;
  b.key(GLFW_KEY_N);
  b.key(GLFW_KEY_SPACE);
  CHECK_FALSE(b.now().timer.is_running);
  b.key(GLFW_KEY_SPACE);
  CHECK(b.now().timer.is_running);
}

TEST_CASE("the ledger is kept with one key a move, and the lock knows it") {
  AtBench b;
  b.key(GLFW_KEY_O);
  REQUIRE(ledger(b.log()).size() == 1);
  CHECK(ledger(b.log())[0].state == PartState::off);
  CHECK(b.open.desk.lock().lock->facts.parts_off == std::vector<std::string>{"C1"});
  b.key(GLFW_KEY_B);
  CHECK(ledger(b.log())[0].state == PartState::bagged);
  b.key(GLFW_KEY_K);
  CHECK(b.open.desk.lock().lock->facts.parts_off.empty());
  b.key(GLFW_KEY_X);
  CHECK(b.screen.state.bench.asks == BenchDrafts::Asks::lost);
}

TEST_CASE("without a name nobody works at the bench; one that is given signs") {
  AtBench b;
  CHECK(b.open.desk.signer() == "tester");
  b.open.desk.book() = JobBook::open(b.open.scratch.book(), fixed_options(k_nobody));
  b.key(GLFW_KEY_N);
  CHECK(b.log().entries.empty());
  b.open.desk.book() = JobBook::open(b.open.scratch.book(), fixed_options("Ada"));
  b.key(GLFW_KEY_N);
  REQUIRE_FALSE(b.log().entries.empty());
  CHECK(b.log().entries.back().who == "Ada");
}

TEST_CASE(
    "a clock that is due alarms on every screen until it is stopped, with no photo open too") {
  AtBench b;
  b.open.desk.perform(LogBench{ClockStart{"", "weak acid", "B3", "rinse", 0.001}});
  b.open.finish();
  REQUIRE(b.open.desk.clocks().size() == 1);
  const auto alarms = [&] {
    b.screen.frame(b.open.desk);
    b.screen.frame(b.open.desk);
    const ImGuiWindow* window = ImGui::FindWindowByName("alarm");
    return window && window->Active;
  };
  for (const StepRow& row : step_table()) {
    INFO(row.name);
    b.screen.state.step = row.step;
    CHECK(alarms());
  }
  b.open.desk.perform(CloseWork{});
  b.open.finish();
  CHECK(alarms());
  // Another window on the same job book: the clock is a record.
  const JobBook again = JobBook::open(b.open.scratch.book(), {});
  CHECK(running_clocks(again).size() == 1);
  const BoardClock clock = b.open.desk.clocks().front();
  b.open.desk.perform(StopClock{clock.board, clock.clock.clock.id});
  b.open.finish();
  CHECK_FALSE(alarms());
}

TEST_CASE("a refused bath is said and not logged") {
  AtBench b;
  Bath acid;
  acid.kind = BathKind::neutralise;
  acid.bath = "citric acid";
  acid.neutraliser = Neutraliser::weak_acid;
  acid.minutes = 3;
  b.open.desk.perform(LogBench{acid});
  CHECK(b.log().entries.empty());
  REQUIRE_FALSE(b.open.desk.messages().empty());
  CHECK(b.open.desk.messages().back().sentence.find("No neutraliser yet") != std::string::npos);
  Bath rinse;
  rinse.kind = BathKind::rinse;
  rinse.bath = "distilled water";
  rinse.minutes = 10;
  b.open.desk.perform(LogBench{rinse});
  CHECK(b.log().entries.size() == 1);
  b.screen.state.step = Step::clocks;
  b.screen.frame(b.open.desk);  // the panel draws with it
}

namespace {

// The camera's folder: a picture that lies there is an hour old, so it is whole.
struct Camera {
  AtBench b;
  std::filesystem::path folder = b.open.scratch.folder / "camera";

  Camera() {
    std::filesystem::create_directories(folder);
    b.key(GLFW_KEY_N);
    b.open.desk.perform(WatchFolder{folder});
  }
  void takes(const std::string& name, const cv::Mat& picture) {
    write_file(folder / name, jpeg_bytes(picture));
    std::filesystem::last_write_time(
        folder / name, std::filesystem::file_time_type::clock::now() - std::chrono::hours(1));
  }
  // Whether the desk comes to say something that has `text` in it.
  bool says(const std::string& text) {
    for (int i = 0; i < 1500; ++i) {
      b.open.finish();
      b.open.desk.tick();
      for (const Message& m : b.open.desk.messages())
        if (m.sentence.find(text) != std::string::npos) return true;
      std::this_thread::sleep_for(std::chrono::milliseconds(20));
    }
    return false;
  }
};

}  // namespace

TEST_CASE("a picture that arrives in the watched folder is filed to the place") {
  Camera c;
  CHECK(c.b.open.desk.watched_folder() == c.folder);
  c.takes("scope.jpg", cv::Mat(40, 60, CV_8UC3, cv::Scalar::all(90)));
  REQUIRE(c.says("scope.jpg: close-up of"));
  const auto filed = events<CloseUp>(c.b.log());
  REQUIRE(filed.size() == 1);
  CHECK(filed[0].place.part == "C1");
  CHECK(c.says("scope.jpg: stays filed without a place: "));
  CHECK(c.b.open.desk.bench().close_ups.empty());
  c.b.open.desk.perform(WatchFolder{});
  CHECK(c.b.open.desk.watched_folder().empty());
}

TEST_CASE("a picture of the watched folder is placed on the photo of its side") {
  Camera c;
  const cv::Rect part(240, 160, 160, 120);
  cv::Mat near;
  cv::resize(c.b.open.desk.derived().photo->bgr(part), near, {}, 4, 4, cv::INTER_CUBIC);
  c.takes("first.jpg", near);
  REQUIRE(c.says("first.jpg: placed on board.jpg"));
  REQUIRE(c.b.open.desk.bench().close_ups.size() == 1);
  const PlacedCloseUp& placed = c.b.open.desk.bench().close_ups[0].close_up;
  CHECK(placed.close_up.name == "first.jpg");
  CHECK(placed.place.scale == Approx(4).epsilon(0.05));
  constexpr double k_near_px = 4;
  CHECK(cv::norm(placed.place.outline_px[0] - cv::Point2d(part.tl())) < k_near_px);
  c.b.screen.frame(c.b.open.desk);  // the frame on the photo and the panel draw with it
  c.b.open.desk.perform(Undo{});
  CHECK(c.b.open.desk.bench().close_ups.empty());
  CHECK(events<CloseUp>(c.b.log()).size() == 1);
  c.b.open.desk.perform(Undo{});
  CHECK(events<CloseUp>(c.b.log()).empty());
}

TEST_CASE("pictures that arrive together are all filed and none waits for another's place") {
  Camera c;
  for (const char* name : {"a.jpg", "b.jpg", "c.jpg"})
    c.takes(name, cv::Mat(80, 100, CV_8UC3, cv::Scalar::all(name[0])));
  for (const char* name : {"a.jpg", "b.jpg", "c.jpg"}) {
    CHECK(c.says(std::string(name) + ": close-up of"));
    CHECK(c.says(std::string(name) + ": stays filed without a place: "));
  }
  CHECK(events<CloseUp>(c.b.log()).size() == 3);
}

namespace {

// The same work opened by another run of the program.
struct Again {
  Desk desk;
  explicit Again(const Camera& c) : desk(OpenDesk::options(c.b.open.scratch.book())) {
    desk.perform(OpenWork{c.b.open.desk.work_id()});
    while (desk.is_busy() || !desk.derived().automatic) {
      desk.tick();
      std::this_thread::yield();
    }
  }
  bool said(const std::string& text) const {
    return std::any_of(desk.messages().begin(), desk.messages().end(), [&text](const Message& m) {
      return m.sentence.find(text) != std::string::npos;
    });
  }
};

// As a program leaves it that was killed between filing and placing.
void file_only(Camera& c, const std::string& name, const cv::Mat& picture) {
  c.takes(name, picture);
  JobBookOptions later = fixed_options();
  later.now = [] { return std::string("2026-03-02T08:00:00Z"); };
  JobBook book = JobBook::open(c.b.open.scratch.book(), later);
  PhotoStore store = book.photos();
  const CloseUpRow row =
      keep_close_up(book, c.b.open.desk.intake().board_id, read_close_up(store, c.folder / name));
  REQUIRE(row.is_filed);
}

}  // namespace

TEST_CASE("a close-up whose placing was cut off is placed when the work is opened again") {
  Camera c;
  c.b.open.desk.perform(WatchFolder{});
  const cv::Rect part(240, 160, 160, 120);
  cv::Mat near;
  cv::resize(c.b.open.desk.derived().photo->bgr(part), near, {}, 4, 4, cv::INTER_CUBIC);
  file_only(c, "first.jpg", near);
  {
    Again again(c);
    CHECK(again.said("first.jpg: placed on board.jpg"));
    REQUIRE(again.desk.bench().close_ups.size() == 1);
    again.desk.perform(Undo{});  // the person does not want it there
    CHECK(again.desk.bench().close_ups.empty());
  }
  Again third(c);
  CHECK_FALSE(third.said("first.jpg"));
  CHECK(third.desk.bench().close_ups.empty());
}

TEST_CASE("a close-up that has no place is not looked for again") {
  Camera c;
  c.b.open.desk.perform(WatchFolder{});
  file_only(c, "grey.jpg", cv::Mat(80, 100, CV_8UC3, cv::Scalar::all(90)));
  {
    Again again(c);
    CHECK(again.said("grey.jpg: stays filed without a place: "));
    CHECK_FALSE(again.desk.history().can_undo());  // that was no step of the person
  }
  Again third(c);
  CHECK_FALSE(third.said("grey.jpg"));
  const auto photos = third.desk.book().children(third.desk.intake().board_id, "photo");
  const auto grey = std::find_if(photos.begin(), photos.end(), [](const Record& r) {
    return kept_photo_from(r.body).name == "grey.jpg";
  });
  REQUIRE(grey != photos.end());
  CHECK_FALSE(kept_photo_from(grey->body).no_place.empty());
}
