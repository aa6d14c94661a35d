// The receive step: records of the job book, undoable like everything else.
#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>

#include "compare/comparison_file.h"
#include "jobbook/close_up_record.h"
#include "photo/encode.h"
#include "tests/synthetic/generate.h"
#include "tests/synthetic/shot.h"
#include "tests/viewer/screen.h"

using namespace verdigrid;

namespace {

void undo(OpenDesk& open) {
  open.desk.perform(Undo{});
  open.finish();
}

}  // namespace

TEST_CASE("a dropped photo has a unit and a board of its own, and the queue knows them") {
  OpenDesk open;
  open.photo();
  const Intake& in = open.desk.intake();
  REQUIRE(in.open_photo());
  CHECK(in.open_photo()->photo.name == "board.jpg");
  CHECK(in.open_photo()->photo.role == "arrival");
  REQUIRE(open.desk.queue().size() == 1);
  CHECK(open.desk.queue()[0].unit == open.desk.unit_id());
}

TEST_CASE("the unit's fields, kit and board are kept, each one step back by undo") {
  OpenDesk open;
  open.photo();
  Unit unit = open.desk.intake().unit;
  unit.name = "Weather logger";
  unit.battery.leaking = Answer3::yes;
  open.desk.perform(PutUnit{unit, "Unit"});
  open.desk.perform(PutKitItem{"", {"cable", "mains cable"}});
  open.desk.perform(PutBoard{{"main"}});
  open.desk.perform(PutPhoto{"after wash", ""});
  const Intake& in = open.desk.intake();
  CHECK(in.unit.name == "Weather logger");
  CHECK(open.desk.queue().at(0).reason == "battery leaks");
  REQUIRE(in.kit.size() == 1);
  CHECK(in.open_board()->board.name == "main");
  CHECK(in.open_photo()->photo.role == "after wash");
  undo(open);
  CHECK(in.open_photo()->photo.role == "arrival");
  undo(open);
  undo(open);
  CHECK(in.kit.empty());
  undo(open);
  CHECK(in.unit.name == "board.jpg");
  CHECK(open.desk.queue().at(0).reason.empty());
}

TEST_CASE("side and battery stand in the records as in the photo's work, undo included") {
  OpenDesk open;
  open.photo();
  open.desk.perform(SetBattery{Answer3::yes});
  ScaleChoice scale;
  scale.side = Side::back;
  open.desk.perform(SetScale{scale, "Side"});
  open.finish();
  CHECK(open.desk.intake().unit.battery.fitted == Answer3::yes);
  CHECK(open.desk.intake().open_photo()->photo.side == Side::back);
  undo(open);
  CHECK(open.desk.intake().open_photo()->photo.side == Side::front);
}

TEST_CASE("a photo moves to another unit with its answers and notes, and back by undo") {
  OpenDesk open;
  open.photo();
  const std::string first_unit = open.desk.unit_id(), first_work = open.desk.work_id();
  Note note;
  note.points_px = {{10, 10}};
  note.text = "crust";
  open.desk.perform(AddNote{note});
  open.desk.perform(MovePhoto{"", "", "Power supply", "rectifier"});
  CHECK(open.desk.unit_id() != first_unit);
  CHECK(open.desk.intake().unit.name == "Power supply");
  CHECK(open.desk.intake().open_board()->board.name == "rectifier");
  CHECK_FALSE(open.desk.book().find(first_unit));  // it was made for this photo alone
  const Record work = open.desk.book().get(open.desk.work_id());
  CHECK(work.unit == open.desk.unit_id());
  CHECK(document_from(work.body).notes.size() == 1);
  open.desk.perform(AddNote{note});
  CHECK(document_from(open.desk.book().get(open.desk.work_id()).body).notes.size() == 2);
  undo(open);
  undo(open);
  CHECK(open.desk.unit_id() == first_unit);
  CHECK(open.desk.work_id() == first_work);
  CHECK(open.desk.document()->notes.size() == 1);
  CHECK(document_from(open.desk.book().get(first_work).body).notes.size() == 1);
  open.desk.perform(Redo{});
  CHECK(open.desk.intake().unit.name == "Power supply");
  CHECK(open.desk.book().faults().empty());
}

TEST_CASE(
    "a field of the unit that is changed here takes back nothing that another program wrote") {
  OpenDesk open;
  open.photo();
  JobBook other = JobBook::open(open.scratch.book(), fixed_options("Bea"));
  Unit theirs = unit_from(other.get(open.desk.unit_id()).body);
  theirs.state = "washed";
  theirs.battery.removed_on = "2026-03-02";
  other.put("washed", {open.desk.unit_id(), "unit", {}, to_body(theirs)});
  Unit mine = open.desk.intake().unit;  // as it was read before
  mine.make = "invented";
  mine.battery.fitted = Answer3::yes;
  open.desk.perform(PutUnit{mine, "Unit: make"});
  CHECK(open.desk.intake().unit.make == "invented");
  CHECK(open.desk.intake().unit.battery.fitted == Answer3::yes);
  CHECK(open.desk.intake().unit.state == "washed");
  CHECK(open.desk.intake().unit.battery.removed_on == "2026-03-02");
}

TEST_CASE("a photo may belong to a board of another unit that is there already") {
  OpenDesk open;
  open.photo();
  Unit logger;
  logger.name = "Weather logger";
  const std::string unit = open.desk.book().put("received", {"", "unit", {}, to_body(logger)});
  const std::string board =
      open.desk.book().put("board", {"", "board", unit, to_body(Board{"main board"})});
  open.desk.perform(SetBattery{Answer3::no});  // anything that reads the job book again
  REQUIRE(open.desk.intake().others.size() == 1);
  const Intake::OtherBoard other = open.desk.intake().others.front();
  CHECK(other.unit == unit);
  CHECK(other.board == board);
  CHECK(other.name == "main board");
  open.desk.perform(MovePhoto{other.unit, other.board, "", ""});
  CHECK(open.desk.unit_id() == unit);
  CHECK(open.desk.intake().open_board()->board.name == "main board");
  CHECK(open.desk.book().children(unit, "board").size() == 1);
}

TEST_CASE("a unit of the queue opens its newest work") {
  OpenDesk open;
  open.photo();
  const std::string unit = open.desk.unit_id(), work = open.desk.work_id();
  open.desk.perform(CloseWork{});
  CHECK(open.desk.intake().boards.empty());
  open.desk.perform(OpenUnit{unit});
  open.finish();
  CHECK(open.desk.work_id() == work);
}

TEST_CASE("a close-up placed on the photo is outlined there and opened by a click on its edge") {
  OpenDesk open;
  open.photo();
  const cv::Rect place(200, 160, 160, 120);
  constexpr int k_enlarged = 4;
  cv::Mat enlarged;
  cv::resize(open.desk.derived().photo->bgr(place), enlarged, {}, k_enlarged, k_enlarged);
  const Bytes bytes = jpeg_bytes(enlarged);
  JobBook& book = open.desk.book();
  KeptPhoto kept{book.add_file(bytes), "pads.jpg"};
  kept.role = "close-up";
  const std::string id =
      book.put("filed", {"", "photo", open.desk.intake().board_id, to_body(kept)});
  PlacedCloseUp placed;
  placed.program_version = "0";
  placed.photo = {open.desk.document()->photo_name, open.desk.document()->photo_sha256,
                  open.desk.derived().photo->size_px(), "", "fixed 1"};
  placed.close_up = {kept.name, kept.sha256, enlarged.size(), "", "fixed 1"};
  placed.place.close_up_size_px = enlarged.size();
  placed.place.photo_size_px = placed.photo.size_px;
  const double shrunk = 1.0 / k_enlarged;
  placed.place.photo_from_close_up = {shrunk, 0, 200, 0, shrunk, 160, 0, 0, 1};
  placed.place.outline_px = {{200, 160}, {360, 160}, {360, 280}, {200, 280}};
  placed.place.scale = k_enlarged;
  keep_placed_close_up(book, id, placed, *open.desk.derived().survey);
  open.desk.perform(OpenWork{open.desk.work_id()});
  open.finish();
  REQUIRE(open.desk.bench().close_ups.size() == 1);

  Screen screen;
  screen.state.step = Step::survey;
  screen.frame(open.desk);
  screen.click(open.desk, screen.on_screen({280, 220}));  // within it: not the close-up
  CHECK(screen.action<OpenKeptPhoto>() == nullptr);
  screen.click(open.desk, screen.on_screen({280, 160}));
  REQUIRE(screen.action<OpenKeptPhoto>() != nullptr);
  screen.perform(open);
  CHECK(open.desk.document()->photo_name == "pads.jpg");
  CHECK(open.desk.intake().photo_id == id);
  CHECK(open.desk.bench().close_ups.empty());
  // A second time it is the same work.
  const std::string work = open.desk.work_id();
  open.desk.perform(OpenKeptPhoto{id});
  open.finish();
  CHECK(open.desk.work_id() == work);
}

TEST_CASE("a photo that the job book has already is opened where it belongs") {
  OpenDesk open;
  open.photo();
  const std::string unit = open.desk.unit_id(), work = open.desk.work_id(),
                    board = open.desk.intake().board_id;
  open.desk.perform(CloseWork{});
  open.photo();
  CHECK(open.desk.work_id() == work);
  CHECK(open.desk.queue().size() == 1);
  // One that was filed without being opened: its row and its file both begin work on it.
  const Bytes jpeg = jpeg_bytes(cv::Mat(480, 640, CV_8UC3, cv::Scalar(60, 110, 70)));
  KeptPhoto filed;
  filed.sha256 = open.desk.book().add_file(jpeg);
  filed.name = "back.jpg", filed.role = "after wash", filed.side = Side::back;
  const std::string photo = open.desk.book().put("photo", {"", "photo", board, to_body(filed)});
  open.desk.perform(OpenKeptPhoto{photo});
  open.finish();
  CHECK(open.desk.intake().photo_id == photo);
  CHECK(open.desk.document()->scale.side == Side::back);
  const std::string begun = open.desk.work_id();
  open.desk.perform(CloseWork{});
  write_file(open.scratch.folder / "again.jpg", jpeg);
  open.desk.perform(OpenPhotoFile{open.scratch.folder / "again.jpg"});
  open.finish();
  CHECK(open.desk.work_id() == begun);
  CHECK(open.desk.unit_id() == unit);
}

TEST_CASE("tags and intake sheet are PDFs beside the job book") {
  OpenDesk open;
  open.photo();
  open.desk.perform(SaveTags{});
  open.desk.perform(SaveIntakeSheet{});
  int sheets = 0;
  for (const auto& entry : std::filesystem::directory_iterator(open.scratch.book() / "sheets")) {
    const Bytes pdf = read_file(entry.path(), 50u << 20);
    CHECK(std::string(reinterpret_cast<const char*>(pdf.data()), 5) == "%PDF-");
    ++sheets;
  }
  CHECK(sheets == 2);
}

namespace {

constexpr double k_below_tabs = 130;  // a click above it would choose another tab
constexpr double k_whole_px = 3;      // photo px in a pixel of the screen, where the mouse is whole

// The receive step with one of its tabs open: 0 photo check, 1 unit, 2 photos, 3 queue.
struct ReceiveTab {
  OpenDesk open;
  Screen screen;
  explicit ReceiveTab(int tab) {
    open.photo();
    screen.state.step = Step::receive;
    screen.frame(open.desk);
    for (int i = 0; i < tab; ++i) next();
  }
  void next() {
    screen.frame(open.desk, {{GLFW_KEY_RIGHT, true}});
    for (int i = 0; i < 2; ++i) screen.frame(open.desk);
  }
  // The panel's width at 1280 px and one time the scale.
  double left() const { return 1280 - screen.state.panel_width; }
};

}  // namespace

TEST_CASE("Ctrl and arrows go through the tabs of the receive step, round and back") {
  ReceiveTab r(0);
  REQUIRE(r.screen.state.tabs.count == 4);
  for (const int wanted : {1, 2, 3, 0}) {
    r.next();
    CHECK(r.screen.state.tabs.open == wanted);
    CHECK(r.screen.actions.empty());
  }
  r.screen.frame(r.open.desk, {{GLFW_KEY_LEFT, true}});
  for (int i = 0; i < 2; ++i) r.screen.frame(r.open.desk);
  CHECK(r.screen.state.tabs.open == 3);
}

TEST_CASE("the unit tab asks about the battery first and a click answers") {
  ReceiveTab r(1);
  // Below title and tabs; the first answer stands at 45 of 100 of the panel.
  std::optional<SetBattery> asked;
  for (double y = k_below_tabs; y < 180 && !asked; y += 4) {
    r.screen.click(r.open.desk, {r.left() + 0.45 * 384 + 16, y});
    if (const auto* a = r.screen.action<SetBattery>()) asked = *a;
  }
  REQUIRE(asked);
  CHECK(asked->battery_in == Answer3::yes);
  r.open.desk.perform(*asked);
  r.screen.frame(r.open.desk);
  // With one fitted, whether it leaks is the next question.
  std::optional<PutUnit> leaking;
  for (double y = k_below_tabs; y < 220 && !leaking; y += 4) {
    r.screen.click(r.open.desk, {r.left() + 0.45 * 384 + 16, y});
    if (const auto* a = r.screen.action<PutUnit>()) leaking = *a;
  }
  REQUIRE(leaking);
  CHECK(leaking->unit.battery.leaking == Answer3::yes);
}

TEST_CASE("the photos tab changes the side by a click") {
  ReceiveTab r(2);
  std::optional<SetScale> turned;
  for (double y = k_below_tabs; y < 200 && !turned; y += 4)
    for (double x = r.left() + 128; x < 1270 && !turned; x += 8) {
      r.screen.click(r.open.desk, {x, y});
      if (const auto* a = r.screen.action<SetScale>()) turned = *a;
    }
  REQUIRE(turned);
  CHECK(turned->scale.side == Side::back);
}

TEST_CASE("a click in the queue tab opens that unit") {
  ReceiveTab r(3);
  std::optional<OpenUnit> opened;
  for (double y = k_below_tabs; y < 200 && !opened; y += 6) {
    r.screen.click(r.open.desk, {r.left() + 150, y});
    if (const auto* a = r.screen.action<OpenUnit>()) opened = *a;
  }
  REQUIRE(opened);
  CHECK(opened->unit == r.open.desk.unit_id());
}

TEST_CASE("reports of the survey and of the unit are written from the window as HTML and PDF") {
  OpenDesk open;
  open.photo();
  Screen screen;
  screen.frame(open.desk);
  screen.frame(open.desk, {{GLFW_KEY_R, true}});
  REQUIRE(screen.action<SaveReport>());
  screen.perform(open);
  open.desk.perform(SaveReport{ReportOf::unit});
  open.finish();
  const auto folder = open.scratch.book() / "reports";
  for (const char* name : {"board", "unit board.jpg"}) {
    const Bytes html = read_file(folder / (std::string(name) + ".html"), 50u << 20),
                pdf = read_file(folder / (std::string(name) + ".pdf"), 50u << 20);
    const std::string text(reinterpret_cast<const char*>(html.data()), html.size());
    CHECK(text.find("board.jpg") != std::string::npos);
    CHECK(std::string(reinterpret_cast<const char*>(pdf.data()), 5) == "%PDF-");
  }
}

TEST_CASE("a photo after the wash is laid over the one before it, and undo takes that back",
          "[slow]") {
  OpenDesk open;
  open.photo();
  const std::string unit = open.desk.unit_id(), board = open.desk.intake().board_id,
                    before = open.desk.document()->photo_sha256;
  // The same board from a camera that stood elsewhere.
  synthetic::CameraSpec camera = synthetic::random_camera(6, {640, 480});
  const auto file = open.scratch.folder / "washed.jpg";
  write_file(file, jpeg_bytes(synthetic::shot(synthetic::random_board(5), camera).bgr));
  open.desk.perform(OpenPhotoFile{file});
  open.finish();
  open.desk.perform(MovePhoto{unit, board, "", ""});
  REQUIRE(open.desk.intake().open_board()->photos.size() == 2);
  Screen screen;
  screen.state.step = Step::recheck;
  screen.frame(open.desk);
  CHECK_FALSE(compared_now(open.desk, screen.state));
  screen.frame(open.desk, {{GLFW_KEY_C}});
  screen.perform(open);
  CHECK(open.desk.document()->compared_with_sha256 == before);
  REQUIRE(compared_now(open.desk, screen.state));
  const ComparedPictures& pair = *open.desk.derived().compared;
  CHECK(pair.before->levels[0].size() == pair.after->levels[0].size());
  // The comparison is a folder that the program reads back.
  open.desk.perform(SaveComparison{});
  open.finish();
  const Comparison saved =
      load_comparison(open.scratch.book() / "comparisons" / "washed with board");
  CHECK(saved.changes == pair.comparison->changes);
  const CompareMode first = screen.state.compare.mode;
  screen.frame(open.desk, {{GLFW_KEY_PERIOD}});
  CHECK(screen.state.compare.mode != first);
  undo(open);
  CHECK_FALSE(open.desk.derived().compared);
}

TEST_CASE("pairs of points are set by clicks in both photos, used from three on, undone one by one",
          "[slow]") {
  OpenDesk open;
  open.photo();
  const std::string unit = open.desk.unit_id(), board = open.desk.intake().board_id,
                    before = open.desk.document()->photo_sha256;
  const auto file = open.scratch.folder / "again.jpg";
  // The same picture, written once more: every place lies where it lay.
  const cv::Mat same = open.desk.derived().photo->bgr.clone();
  write_file(file, jpeg_bytes(same, 99));
  open.desk.perform(OpenPhotoFile{file});
  open.finish();
  open.desk.perform(MovePhoto{unit, board, "", ""});
  open.desk.perform(CompareWith{before});
  open.finish();
  Screen screen;
  screen.state.step = Step::recheck;
  screen.frame(open.desk);
  screen.frame(open.desk, {{GLFW_KEY_E}});
  REQUIRE(is_pairing(open.desk, screen.state));
  CHECK_FALSE(compared_now(open.desk, screen.state));
  screen.frame(open.desk);
  const std::vector<cv::Point2d> places{{120, 90}, {520, 110}, {500, 400}, {130, 380}};
  for (const cv::Point2d p : places)
    for (const size_t half : {0, 1}) {
      screen.click(open.desk, screen_from_photo(screen.state.pairing.views[half],
                                                pairing_half(screen.state, half), p));
      screen.perform(open);
    }
  const auto& pairs = open.desk.document()->compare_pairs;
  REQUIRE(pairs.size() == 4);
  for (size_t i = 0; i < 4; ++i) {
    CHECK(cv::norm(pairs[i].first_px - places[i]) < k_whole_px);
    CHECK(cv::norm(pairs[i].second_px - places[i]) < k_whole_px);
  }
  REQUIRE(open.desk.derived().compared);
  const Alignment& alignment = open.desk.derived().compared->comparison->alignment;
  CHECK(alignment.is_by_hand);
  CHECK(cv::norm(alignment.after_from_before(cv::Point2d(320, 240)) - cv::Point2d(320, 240)) <
        k_whole_px);
  // Kept with the work, each pair a step of its own.
  CHECK(document_from(open.desk.book().get(open.desk.work_id()).body).compare_pairs.size() == 4);
  undo(open);
  CHECK(pairs.size() == 3);
  screen.frame(open.desk, {{GLFW_KEY_ESCAPE}});
  CHECK_FALSE(is_pairing(open.desk, screen.state));
}
