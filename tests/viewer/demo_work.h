// A job book as a technician fills it, made by the desk of the invented sample boards: one board
// with everything on it, the same board after the wash, two more units in the queue.
#pragma once

#include <filesystem>
#include <thread>

#include "desk/desk.h"
#include "detect/trained_detector.h"
#include "layout/package_table.h"
#include "viewer/panels.h"

namespace verdigrid::test {

class DemoWork {
 public:
  explicit DemoWork(const std::filesystem::path& job_book) : desk_(options(job_book)) {}

  void make() {
    supply();
    main_board_back();
    main_board_front();
    sensor_card();
    main_board_washed();
    again_to_the_front();
  }
  // Due at once: every step of the window then has its alarm.
  void start_due_clock() { perform(LogBench{ClockStart{"", "weak acid", "B3", "rinse", 0.001}}); }

 private:
  static DeskOptions options(const std::filesystem::path& job_book) {
    DeskOptions o;
    o.job_book = job_book;
    o.book.who = "Ada";
    o.detector =
        chosen_detector(std::filesystem::path(VERDIGRID_SOURCE_DIR) / "models" / "residue.json")
            .detector;
    return o;
  }
  void finish() {
    while (desk_.is_busy()) {
      desk_.tick();
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    desk_.tick();
    for (const Message& m : desk_.messages())
      if (m.is_error) throw std::runtime_error(m.sentence);
  }
  void perform(const DeskAction& action) {
    desk_.perform(action);
    finish();
  }
  void open(const std::string& sample) {
    perform(OpenPhotoFile{std::filesystem::path(VERDIGRID_SOURCE_DIR) / "samples" / sample});
  }
  void scale(cv::Size2d board_mm, const std::vector<cv::Point2d>& corners_px, Side side) {
    ScaleChoice s;
    s.board_mm = board_mm;
    s.corners_px = corners_px;
    s.side = side;
    perform(SetScale{s, "Board size"});
  }
  void belongs_to_main_board(const char* role) {
    perform(MovePhoto{unit_, board_, "", ""});
    perform(PutPhoto{role, ""});
  }

  void supply() {
    open("supply-front-arrival.jpg");
    Unit unit = desk_.intake().unit;
    unit.name = "Logger supply";
    unit.is_supply = true;
    unit.wet = Answer3::yes;
    unit.received_on = "2026-02-17";
    perform(PutUnit{unit, "Unit"});
    perform(PutBoard{{"rectifier"}});
  }

  void main_board_back() {
    open("logger-main-back-arrival.jpg");
    Unit unit = desk_.intake().unit;
    unit.name = "Weather logger 3";
    unit.owner = "Hill station";
    unit.condition = "Stood in a damp shed; battery crusted";
    unit.location = "shelf B2";
    unit.reason = "Wants its twelve years of readings";
    unit.received_on = "2026-02-03";
    unit.battery.leaking = Answer3::yes;
    unit.battery.keeps_data = Answer3::unknown;
    unit.battery.kind = "NiCd barrel";
    unit.mains_capacitors = Answer3::no;
    unit.picture_tube = Answer3::no;
    unit.nests = Answer3::no;
    unit.wet = Answer3::no;
    perform(PutUnit{unit, "Unit"});
    perform(PutBoard{{"main"}});
    unit_ = desk_.unit_id();
    board_ = desk_.intake().board_id;
    scale({160, 110}, {}, Side::back);
    perform(SaveSurvey{});
  }

  // Corners as samples/boards.json has them.
  void main_board_front() {
    open("logger-main-front-arrival.jpg");
    belongs_to_main_board("arrival");
    scale({160, 110}, {{81.5, 142.2}, {1522.1, 61.7}, {1523.6, 1062.6}, {147.5, 1077.7}},
          Side::front);
    front_ = desk_.work_id();
    for (const AnswerKind kind : {AnswerKind::yes, AnswerKind::no, AnswerKind::yes}) {
      const LookPlace* place = current_place(desk_);
      if (place) perform(GiveAnswer{{place->region_px, kind, Asked::shown, std::nullopt}});
    }
    perform(SetBattery{Answer3::yes});
    perform(DrawResidue{{{905, 470}, {965, 470}, {975, 560}, {925, 620}, {890, 540}},
                        Residue::white_salt});
    layout();
    notes();
    for (const auto& [what, name] : {std::pair("board", "main"), std::pair("card", "sensor card"),
                                     std::pair("cable", "mast cable")})
      perform(PutKitItem{"", {what, name, "", std::string(what) == "board", ""}});
    perform(SaveSurvey{});
    plan();
    shop();
    lock();
  }

  cv::Point2d on_board(cv::Point2d p_px) const {
    return board_point(desk_.derived().survey->rectification, p_px);
  }
  void zone(const char* name, const Ring& ring_px, int importance) {
    Zone z;
    z.name = name;
    z.importance = importance;
    for (const cv::Point2d p : ring_px) z.polygon.outer.push_back(on_board(p));
    perform(AddZone{z});
  }
  void part(const char* package, const char* designator, cv::Point2d centre_px, double turn_deg) {
    AddPart a;
    a.part = part_of(*package_named(package), on_board(centre_px), turn_deg, Side::front);
    a.part.designator = designator;
    perform(a);
  }
  void layout() {
    perform(StartLayout{"logger main"});
    zone("battery corner", {{525, 425}, {1075, 405}, {1085, 780}, {545, 795}}, 5);
    zone("sensor inputs", {{560, 130}, {1230, 95}, {1230, 360}, {580, 385}}, 4);
    zone("clock and memory", {{140, 545}, {505, 530}, {530, 940}, {165, 955}}, 3);
    part("dip-40-600", "U2", {328, 620}, 90);
    part("dip-40-600", "U5", {361, 843}, 90);
    part("dip-14", "U1", {181, 357}, 90);
    part("dip-14", "U6", {270, 191}, 90);
    part("dip-16", "U4", {583, 698}, 0);
    part("dip-16", "U8", {1245, 705}, 0);
    part("radial-12.5", "C4", {985, 343}, 0);
    part("radial-12.5", "C8", {875, 770}, 90);
    perform(KeepLayoutForType{});
  }
  void notes() {
    Note pin;
    pin.points_px = {{770, 300}};
    pin.text = "film runs under R5";
    pin.part = "R5";
    perform(AddNote{pin});
    Note arrow;
    arrow.kind = NoteKind::arrow;
    arrow.points_px = {{1060, 560}, {945, 520}};
    arrow.text = "white crust, came from the barrel battery";
    arrow.state = NoteState::to_do;
    arrow.wants_rework = true;
    perform(AddNote{arrow});
    Note outline;
    outline.kind = NoteKind::outline;
    outline.points_px = {{330, 700}, {420, 690}, {430, 770}, {345, 780}};
    outline.text = "traces looked at under the loupe";
    outline.state = NoteState::done;
    perform(AddNote{outline});
  }
  void plan() {
    perform(MakePlan{});
    Known known = desk_.plan().plan->known;
    known.leak_from = LeakSource::battery;
    known.battery = BatteryKind::nickel;
    known.strips.push_back({"battery corner", 11.5, false, ""});
    perform(TellKnown{known});
    const std::string first = desk_.plan().plan->items.front().id;
    perform(TickItem{first, true});
    perform(LogMinutes{first, 12});
  }
  void shop() {
    perform(ReadShelf{});
    PartUpdate can;
    can.value = "100 uF";
    can.volts = 25, can.diameter_mm = 12.5, can.height_mm = 20, can.spacing_mm = 5;
    for (const NeededPart& p : std::vector<NeededPart>(desk_.shelf().parts))
      perform(TellPart{p.board, p.designator, can, p.designator});
    perform(SetHour{55, "EUR"});
    perform(MakeQuote{{19, 30, 900}});
    perform(LogBench{ClockStart{"", "rinse", "battery corner", "change the water", 24 * 60}});
  }
  void lock() {
    LockEntry e;
    e.condition = LockCondition::inspection;
    e.photo = desk_.document()->photo_name;
    e.photo_sha256 = desk_.document()->photo_sha256;
    e.note = "by eye and loupe";
    perform(AddLockEntry{e, "Evidence"});
  }

  void sensor_card() {
    open("sensor-card-front-arrival.jpg");
    Unit unit = desk_.intake().unit;
    unit.name = "Logger, spare";
    unit.battery.leaking = Answer3::yes;
    unit.received_on = "2026-02-20";
    perform(PutUnit{unit, "Unit"});
    perform(PutBoard{{"sensor card"}});
  }

  void main_board_washed() {
    open("logger-main-front-washed.jpg");
    belongs_to_main_board("after wash");
    scale({160, 110}, {{156.3, 152.3}, {1394.7, 230.0}, {1372.6, 1062.7}, {113.9, 1044.6}},
          Side::front);
    perform(SetDry{true});
    const Intake& in = desk_.intake();
    for (const Intake::PhotoRow& row : in.open_board()->photos)
      if (row.work == front_) perform(CompareWith{row.photo.sha256});
  }

  // What was changed last is the first of the list that the window begins with.
  void again_to_the_front() {
    perform(OpenWork{front_});
    perform(SetPeek{"back", Answer3::yes});
  }

  Desk desk_;
  std::string unit_, board_, front_;
};

}  // namespace verdigrid::test
