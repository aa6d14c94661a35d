// The receive step: records of the job book, undoable like everything else.
#include <catch2/catch.hpp>

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

TEST_CASE("every tab of the receive step is drawn, and a kit item is added by its name") {
  OpenDesk open;
  open.photo();
  Screen screen;
  screen.state.step = Step::receive;
  screen.frame(open.desk);
  screen.frame(open.desk);
  CHECK(screen.actions.empty());
  CHECK(ImGui::GetDrawData()->TotalVtxCount > 100);
}

TEST_CASE("a photo after the wash is laid over the one before it, and undo takes that back") {
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
  const CompareMode first = screen.state.compare.mode;
  screen.frame(open.desk, {{GLFW_KEY_PERIOD}});
  CHECK(screen.state.compare.mode != first);
  undo(open);
  CHECK_FALSE(open.desk.derived().compared);
}
