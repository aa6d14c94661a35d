// What a person can ask the desk for. Panels push these; Desk::perform makes each a command or a
// job. Photo px and board units as everywhere.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "desk/document.h"
#include "jobbook/order_record.h"
#include "jobbook/owner_record.h"
#include "layout/edit.h"
#include "plan/bench_log.h"
#include "plan/edit_plan.h"
#include "plan/power_lock.h"

namespace verdigrid {

struct OpenPhotoFile {
  std::filesystem::path path;
};
struct OpenWork {
  std::string work;  // record id
};
struct CloseWork {};
struct SetScale {
  ScaleChoice scale;
  std::string label;
};
struct SetSetting {
  Setting setting;
};
struct SetBattery {
  Answer3 battery_in;
};
struct SetPeek {
  std::string what;
  Answer3 looked_at;  // yes: ticked off
};

struct AddNote {
  Note note;  // id is given by the document
};
struct ChangeNote {
  Note note;
};
struct RemoveNote {
  int id;
};

struct GiveAnswer {
  Answer answer;
};
// The person points at something missed (a click or a stroke): a yes of its own.
struct PointAt {
  std::vector<cv::Point2d> stroke_px;
  std::optional<Residue> residue;
};

// Review of one finding of the survey that is shown: accept, dismiss or relabel.
struct JudgeFinding {
  int id;
  EditKind kind;
  std::optional<Residue> residue;  // relabel
};
struct MergeFindings {
  int id, with_id;
};
// Along the line through two points.
struct SplitFinding {
  cv::Point2d a_px, b_px;
};
// Brush (draw) or eraser (erase) along a stroke.
struct BrushResidue {
  EditKind kind;
  std::vector<cv::Point2d> stroke_px;
  double radius_px;
  Residue residue;  // draw
};
struct DrawResidue {
  Ring outline_px;
  Residue residue;
};
struct TakeEditBack {
  size_t index;  // into Document::edits
};
// Survey, review and pictures as a folder beside the job book.
struct SaveSurvey {};
struct SaveBenchSheet {};
// The document of the open photo's survey or of its unit, as HTML and PDF beside the job book.
enum class ReportOf { survey, unit };
struct SaveReport {
  ReportOf of;
};

// A layout over the board as it lies: outline and grid, nothing else yet.
struct StartLayout {
  std::string board_type;
};
struct ImportLayout {
  std::vector<std::filesystem::path> paths;  // of one board, with a common origin
};
struct UseKeptLayout {
  std::string board_type;  // record id
};
struct RemoveLayout {};
struct NameLayout {
  std::string board_type, revision;
};
struct AddZone {
  Zone zone;
};
struct AddSquaresZone {
  std::string name;
  Square start;  // flooded from here
};
struct ChangeZone {
  std::string name;  // as it is now
  Zone zone;
  std::string joins;  // changes of the outline with the same text are one step; empty: each its own
};
struct RemoveZone {
  std::string name;
};
struct AddPart {
  Part part;
  ArrayOptions array;  // 1 x 1: the part alone
};
struct ChangePart {
  std::string designator;  // as it is now
  Part part;
};
struct RemovePart {
  std::string designator;
};
struct SaveLayout {};  // as a file beside the job book
// Keeps the layout with the board type of its name and gives the board this type.
struct KeepLayoutForType {};

// Intake: records of the job book round the open photo.
struct PutUnit {
  Unit unit;
  std::string label;
};
struct PutKitItem {
  std::string id;  // empty: a new one
  KitItem item;
};
struct RemoveKitItem {
  std::string id;
};
struct PutBoard {
  Board board;
};
struct PutPhoto {
  std::string role, note;
};
// The open photo, with what was made of it, belongs to another unit or board.
struct MovePhoto {
  std::string unit, board;  // ids; empty: a new one of this name
  std::string unit_name, board_name;
};
// A photo of the job book; work on it begins where nobody has opened it yet.
struct OpenKeptPhoto {
  std::string photo;  // record id
};
struct OpenUnit {
  std::string unit;  // the work on it that was changed last
};
struct FileInbox {
  std::filesystem::path folder;
};
struct SaveTags {};
struct SaveIntakeSheet {};

// Work items of the open board; ids as in the plan.
struct MakePlan {};
struct TickItem {
  std::string id;
  bool is_done;
};
struct EditItem {
  std::string id;
  ItemEdit edit;
};
struct LogMinutes {
  std::string id;
  double minutes;
};
struct AddItem {
  WorkItem item;
};
struct RemoveItem {
  std::string id;
};
struct MergeItems {
  std::vector<std::string> ids;
};
struct SplitItem {
  std::string id;
  double quantity;
};
struct TellKnown {
  Known known;
};

// The bench of the open board; who and when are filled in.
struct BenchNext {};
struct BenchPause {};  // or go on
struct BenchDone {};
struct BenchProblem {
  std::string word;
};
struct BenchGoTo {
  BenchPlace place;
};
// Ledger, reading, bath, drying, weight, clock or shift note.
struct LogBench {
  BenchEvent event;
};
struct StopClock {
  std::string board, id;  // record id; of the clock
};
// The name that signs from now on, kept in the settings.
struct SignAs {
  std::string who;
};
// New pictures of the folder become close-ups; empty: none is watched.
struct WatchFolder {
  std::filesystem::path folder;
};

// Evidence, override, first power or tests; who and when are filled in.
struct AddLockEntry {
  LockEntry entry;
  std::string label;
};

// Parts of all plans, the drawer, orders and logged minutes; from then on they follow every change.
struct ReadShelf {};
struct TellPart {
  std::string board, designator;  // record id; "C12"
  PartUpdate change;
  std::string label;
};
struct PlaceOrder {
  OrderOptions options;
  std::string from;
};
struct OrderArrived {
  std::string order;  // record id
};
struct ChangeStock {
  StockRow row;  // its count is added
};
struct TakeFromDrawer {
  OrderOptions options;
};
struct SaveOrder {  // as CSV beside the job book
  OrderOptions options;
};

// Between bench and owner of the open unit; who and when are filled in.
struct SetHour {  // what an hour costs, in the plans of all its boards
  double money;
  std::string currency;
};
struct MakeQuote {
  QuoteTerms terms;
};
struct AnswerQuote {
  QuoteAnswer answer;
};
struct SaveQuote {};
struct HandOverUnit {
  std::vector<std::string> watch;
};
struct SaveHandOver {
  std::vector<std::string> watch;  // where it is not handed over yet
};
struct LookedAgain {
  std::string found;
};
struct CameBack {
  std::string owner_said;
};
// The open plan's rates move towards the minutes that are logged on the shelf.
struct LearnRates {};
struct SaveActuals {};  // one's own, as CSV without names

// The open photo against an earlier one of the same board and side.
struct CompareWith {
  std::string photo_sha256;  // empty: with none
};
struct SetDry {
  bool is_dry;
};
// Places of the board in both photos, px of the one before and of the open one.
struct SetPairs {
  std::vector<PointPair> pairs;
  std::string label;
};
// Figures and pictures of the comparison as a folder beside the job book.
struct SaveComparison {};

struct Undo {};
struct Redo {};
struct DismissMessage {};
struct CancelJobs {};

using DeskAction = std::variant<
    OpenPhotoFile, OpenWork, CloseWork, SetScale, SetSetting, SetBattery, SetPeek, AddNote,
    ChangeNote, RemoveNote, GiveAnswer, PointAt, JudgeFinding, MergeFindings, SplitFinding,
    BrushResidue, DrawResidue, TakeEditBack, SaveSurvey, SaveBenchSheet, SaveReport, StartLayout,
    ImportLayout, UseKeptLayout, RemoveLayout, NameLayout, AddZone, AddSquaresZone, ChangeZone,
    RemoveZone, AddPart, ChangePart, RemovePart, SaveLayout, KeepLayoutForType, PutUnit, PutKitItem,
    RemoveKitItem, PutBoard, PutPhoto, MovePhoto, OpenKeptPhoto, OpenUnit, FileInbox, SaveTags,
    SaveIntakeSheet, CompareWith, SetDry, SetPairs, SaveComparison, MakePlan, TickItem, EditItem,
    LogMinutes, AddItem, RemoveItem, MergeItems, SplitItem, TellKnown, BenchNext, BenchPause,
    BenchDone, BenchProblem, BenchGoTo, LogBench, StopClock, SignAs, WatchFolder, AddLockEntry,
    ReadShelf, TellPart, PlaceOrder, OrderArrived, ChangeStock, TakeFromDrawer, SaveOrder, SetHour,
    MakeQuote, AnswerQuote, SaveQuote, HandOverUnit, SaveHandOver, LookedAgain, CameBack,
    LearnRates, SaveActuals, Undo, Redo, DismissMessage, CancelJobs>;

}  // namespace verdigrid
