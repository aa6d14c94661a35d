#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>

#include "measure/survey_file.h"
#include "tests/desk/open_desk.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

Note pin(double x, double y) {
  Note n;
  n.points_px = {{x, y}};
  n.text = "crust";
  return n;
}

}  // namespace

TEST_CASE("a photo dropped on the desk is kept, surveyed, and its most suspect places come up") {
  OpenDesk open;
  open.photo();
  REQUIRE(open.desk.document());
  const Derived& d = open.desk.derived();
  REQUIRE(d.survey);
  CHECK_FALSE(d.survey->nothing_found());
  REQUIRE(d.look);
  CHECK(d.look->places.size() <= 12);
  CHECK(d.labels->levels[0].size() == d.photo->size_px());
  CHECK(open.desk.book().photos().is_intact(open.desk.document()->photo_sha256));
  CHECK(open.desk.book().get(open.desk.unit_id()).kind == "unit");
}

TEST_CASE("what cannot be opened is said, and the work on the desk stays") {
  OpenDesk open;
  open.photo();
  const std::string before = open.desk.document()->photo_sha256;
  open.desk.perform(OpenPhotoFile{open.scratch.folder / "none.jpg"});
  while (open.desk.is_busy()) open.desk.tick();
  REQUIRE(open.desk.messages().size() == 1);
  CHECK_THAT(open.desk.messages()[0].sentence, Catch::Contains("none.jpg"));
  CHECK(open.desk.messages()[0].is_error);
  CHECK(open.desk.document()->photo_sha256 == before);
}

TEST_CASE("an answer changes the map of this photo, and undoing it gives the machine's own back") {
  OpenDesk open;
  open.photo();
  const cv::Mat automatic = open.desk.derived().automatic->map.labels;
  REQUIRE_FALSE(open.desk.derived().look->places.empty());
  open.desk.perform(GiveAnswer{
      {open.desk.derived().look->places[0].region_px, AnswerKind::no, Asked::shown, {}}});
  open.finish();
  CHECK(open.desk.derived().answers_taken == 1);
  CHECK(open.desk.derived().survey != open.desk.derived().automatic);
  open.desk.perform(Undo{});
  open.finish();
  CHECK(open.desk.document()->answers.empty());
  CHECK(cv::norm(open.desk.derived().survey->map.labels, automatic, cv::NORM_INF) == 0);
  open.desk.perform(Redo{});
  open.finish();
  CHECK(open.desk.document()->answers.size() == 1);
}

TEST_CASE("everything decided comes back after the program was killed") {
  OpenDesk open;
  open.photo();
  ScaleChoice scale = open.desk.document()->scale;
  scale.side = Side::back;
  scale.board_mm = cv::Size2d(100, 80);
  scale.corners_px = {{20, 20}, {600, 22}, {598, 450}, {18, 452}};
  open.desk.perform(SetScale{scale, "Corners"});
  open.desk.perform(SetSetting{Setting::show_more});
  open.desk.perform(SetBattery{Answer3::yes});
  open.desk.perform(SetPeek{"back", Answer3::yes});
  open.desk.perform(AddNote{pin(100, 120)});
  open.finish();
  open.desk.perform(PointAt{{{300, 240}}, Residue::rust});
  open.finish();
  const Document before = *open.desk.document();
  CHECK(before.answers.size() == 1);

  Desk again(OpenDesk::options(open.scratch.book()));
  const auto recent = again.recent_work();
  REQUIRE(recent.size() == 1);
  CHECK(recent[0].photo_name == "board.jpg");
  again.perform(OpenWork{recent[0].work});
  while (again.is_busy()) again.tick();
  fail_on_message(again);
  REQUIRE(again.document());
  CHECK(*again.document() == before);
  CHECK(cv::norm(again.derived().survey->map.labels, open.desk.derived().survey->map.labels,
                 cv::NORM_INF) == 0);
  CHECK(again.derived().survey->zones == open.desk.derived().survey->zones);
}

TEST_CASE("notes are added, changed and removed, each undoable, and numbers are not used again") {
  OpenDesk open;
  open.photo();
  open.desk.perform(AddNote{pin(1, 2)});
  open.desk.perform(AddNote{pin(3, 4)});
  Note changed = open.desk.document()->notes[1];
  changed.state = NoteState::done;
  open.desk.perform(ChangeNote{changed});
  open.desk.perform(RemoveNote{1});
  REQUIRE(open.desk.document()->notes.size() == 1);
  CHECK(open.desk.document()->notes[0].state == NoteState::done);
  open.desk.perform(AddNote{pin(5, 6)});
  CHECK(open.desk.document()->notes.back().id == 3);
  for (int i = 0; i < 5; ++i) open.desk.perform(Undo{});
  CHECK(open.desk.document()->notes.empty());
  CHECK_FALSE(open.desk.history().can_undo());
}

TEST_CASE("options that do not fit together are said and change nothing") {
  OpenDesk open;
  open.photo();
  const Document before = *open.desk.document();
  ScaleChoice scale = before.scale;
  scale.turn_deg = 45;
  open.desk.perform(SetScale{scale, "Turn"});
  CHECK(*open.desk.document() == before);
  CHECK(open.desk.messages().size() == 1);
}

TEST_CASE("the bench sheet is a PDF beside the job book") {
  OpenDesk open;
  open.photo();
  open.desk.perform(SaveBenchSheet{});
  open.finish();
  const Bytes pdf = read_file(open.scratch.book() / "sheets" / "board bench sheet.pdf", 50u << 20);
  CHECK(std::string(reinterpret_cast<const char*>(pdf.data()), 5) == "%PDF-");
  CHECK_THAT(open.desk.messages().back().sentence, Catch::Contains("Bench sheet saved"));
}

TEST_CASE("a survey saved while it is being saved stands whole and alone in its folder") {
  OpenDesk open;
  open.photo();
  const fs::path surveys = open.scratch.book() / "surveys";
  while (!open.desk.derived().survey->nothing_found()) {
    const int id = open.desk.derived().survey->findings.findings.front().id;
    for (int presses = 0; presses < 5; ++presses) {
      open.desk.perform(SaveSurvey{});
      open.desk.tick();
    }
    open.desk.perform(JudgeFinding{id, EditKind::dismiss, {}});  // overtakes what is being written
    while (!open.desk.derived().taken || *open.desk.derived().taken != *open.desk.document())
      open.desk.tick();
    open.desk.perform(SaveSurvey{});
  }
  open.finish();
  const fs::path saved = surveys / "board";
  CHECK(load_survey(saved).nothing_found());
  for (const char* file : {"survey.json", "review.json", "zones.csv", "labels.png", "overlay.jpg"})
    CHECK(fs::file_size(saved / file) > 0);
  CHECK(std::distance(fs::directory_iterator(surveys), fs::directory_iterator()) == 1);
}

TEST_CASE("a survey is not saved in the old frame while the board is straightened anew") {
  // Flags as ever, but while it is held no survey comes to an end.
  struct HeldDetector : FixedDetector {
    std::atomic<bool> is_held{false};
    ResidueMap residue_map(const Photo& photo, const Rectification& r, const DetectorOptions& o,
                           const Work& work) const override {
      while (is_held) std::this_thread::yield();
      return FixedDetector::residue_map(photo, r, o, work);
    }
  };
  const auto detector = std::make_shared<HeldDetector>();
  OpenDesk open(detector);
  open.photo();
  const LookPlace place = open.desk.derived().look->places.front();
  detector->is_held = true;
  ScaleChoice scale;
  scale.board_mm = cv::Size2d(120, 90);
  open.desk.perform(SetScale{scale, "Board size"});
  open.desk.perform(GiveAnswer{{place.region_px, AnswerKind::yes, Asked::shown, std::nullopt}});
  const auto is_taking_in = [&] {
    const std::vector<JobState> jobs = open.desk.running();
    return std::any_of(jobs.begin(), jobs.end(),
                       [](const JobState& job) { return job.kind == "look"; });
  };
  while (is_taking_in()) open.desk.tick();
  open.desk.tick();
  open.desk.perform(SaveSurvey{});
  CHECK_THAT(open.desk.messages().back().sentence, Catch::Contains("still being taken in"));
  detector->is_held = false;
  open.finish();
  open.desk.perform(SaveSurvey{});
  open.finish();
  CHECK(load_survey(open.scratch.book() / "surveys" / "board").zones.has_mm);
}

TEST_CASE("saved work that is damaged or newer is refused in words") {
  const Document d;
  nlohmann::json body = to_json(d);
  CHECK(document_from(body) == d);
  body["version"] = 99;
  CHECK_THROWS_WITH(document_from(body), Catch::Contains("newer program"));
  body["version"] = 1;
  body["setting"] = "loud";
  CHECK_THROWS_WITH(document_from(body), Catch::Contains("\"loud\" is not a known value"));
  body.erase("setting");
  CHECK_THROWS_WITH(document_from(body), Catch::Contains("a field is missing"));
}
