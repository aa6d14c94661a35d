// The desk: the open work, what was computed from it, its undo history, its jobs and its place in
// the job book. No GL, no ImGui.
//
// Everything a person does is a DeskAction; perform() turns it into a command or a job. Panels
// read document() and derived() and push actions. tick() applies finished jobs. Belongs to one
// thread; only the jobs run elsewhere. Every change of the document is in the job book before
// perform() returns, so a kill loses nothing.
#pragma once

#include <chrono>
#include <cstdint>
#include <deque>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "compare/comparison.h"
#include "desk/actions.h"
#include "desk/document.h"
#include "desk/history.h"
#include "desk/jobs.h"
#include "desk/pyramid.h"
#include "jobbook/bench_record.h"
#include "jobbook/board_type.h"
#include "jobbook/close_up.h"
#include "jobbook/close_up_placing.h"
#include "jobbook/job_book.h"
#include "jobbook/queue.h"
#include "measure/survey.h"
#include "photo/decode.h"
#include "plan/bench_work.h"
#include "plan/worth.h"

namespace verdigrid {

// An earlier photo as its own work straightened and surveyed it.
struct EarlierPhoto {
  Document document;
  Photo photo;
  Survey survey;
  std::shared_ptr<const Layout> layout;  // in the frame of its survey; null: none
  std::shared_ptr<const Pyramid> pyramid;
};

// Two aligned photos in the px of the one before.
struct ComparedPictures {
  std::string before_name;
  std::shared_ptr<const Pyramid> before, after, classes;  // classes: ChangeClass ids
  std::shared_ptr<const Comparison> comparison;
  std::uint32_t revision = 0;
};

// Computed from the document; shared with jobs and the canvas, never changed in place.
struct Derived {
  std::shared_ptr<const Photo> photo;
  std::shared_ptr<const Pyramid> photo_pyramid;
  std::shared_ptr<const Rectification> rectification;
  std::shared_ptr<const Survey> survey;     // with the answers taken in; what every panel shows
  std::shared_ptr<const Survey> automatic;  // the machine's own
  std::shared_ptr<const LookBase> look_base;
  std::shared_ptr<const Look> look;  // places that are left, after the answers
  std::shared_ptr<const Pyramid> labels, confidence, unseen;
  size_t answers_taken = 0;              // how many answers `look` and `survey` know
  std::optional<Document> taken;         // the document that `survey` was computed for
  std::shared_ptr<const Layout> layout;  // the document's, in the board frame of `rectification`
  std::string layout_words;              // how it lies on the photo, one sentence
  std::optional<ComparedPictures> compared;     // with the earlier photo that was chosen
  std::shared_ptr<const EarlierPhoto> earlier;  // that photo, kept while it is the same
  std::vector<Learned> learned;  // of the layout's board type, most often affected first
  std::uint32_t photo_revision = 0, survey_revision = 0,
                earlier_revision = 0;  // change with every new result
};

struct SavedWork {
  std::string work, unit, photo_name, changed_at;
};

// The unit of the open photo as the job book has it.
struct Intake {
  struct PhotoRow {
    std::string id, work;  // record ids; work is empty for a photo nobody has opened
    KeptPhoto photo;
  };
  struct BoardRow {
    std::string id;
    Board board;
    std::vector<PhotoRow> photos;
  };
  struct KitRow {
    std::string id;
    KitItem item;
  };
  struct OtherBoard {
    std::string unit, board, name;  // record ids; name of the board
  };
  Unit unit;
  std::string board_id, photo_id;  // of the open photo
  std::vector<OtherBoard> others;  // boards of the other units that wait
  std::vector<BoardRow> boards;
  std::vector<KitRow> kit;

  const PhotoRow* open_photo() const;
  const BoardRow* open_board() const;
};

// Where the open photo stands in the job book, by record ids; empty: none is open.
struct OpenPlace {
  std::string work, unit;
};

// The open board's power lock as it stands today.
struct LockView {
  std::optional<PowerLock> lock;  // empty: no photo is open
  LockState state;
  std::vector<std::string> tests;  // of its board type
};

// The open board's plan and what is computed of it; figures come a moment after the plan.
struct PlanView {
  std::optional<Plan> plan;
  std::optional<Estimate> estimate;
  std::optional<Worth> worth;
};

// The open board at the bench.
struct BenchView {
  BenchLog log;
  std::vector<KeptCloseUp> close_ups;  // that lie on the open photo
  std::vector<BenchStep> steps;        // what is left; empty without a plan
};

// The whole shelf, read when it is first asked for.
struct ShelfView {
  bool is_read = false;
  std::vector<NeededPart> parts;
  std::vector<StockRow> drawer;
  std::vector<PlacedOrder> orders;
  std::vector<JobAgainst> jobs;  // logged minutes against their estimates
};

// The open unit between bench and owner; cost and alarm come a moment later.
struct OwnerView {
  std::vector<KeptQuote> quotes;  // oldest first
  std::vector<HandOver> hand_overs;
  std::vector<Visit> visits;
  std::optional<JobCost> cost;
  std::string no_cost;  // why there is none, as a sentence
  std::string alarm;    // what the owner must be told
};

struct KeptLayout {
  std::string board_type, name;  // id and name of a board type that has a layout
};

struct Message {
  std::string sentence;
  bool is_error = false;
};

struct DeskOptions {
  std::filesystem::path job_book;  // folder; made when it is not there
  JobBookOptions book;
  DecodeOptions decode;
  std::shared_ptr<const Detector> detector;  // empty: the first method
  std::function<void()> wake;                // see JobRunner
};

class Desk {
 public:
  explicit Desk(DeskOptions options);

  const Document* document() const { return document_ ? &*document_ : nullptr; }
  const Derived& derived() const { return derived_; }
  const std::deque<Message>& messages() const { return messages_; }
  std::vector<JobState> running() const { return jobs_.running(); }
  bool is_busy() const { return !jobs_.is_idle(); }
  const History<Document>& history() const { return history_; }
  const std::vector<SavedWork>& recent_work() const { return recent_; }  // newest first
  const Intake& intake() const { return intake_; }
  const std::vector<QueueRow>& queue() const { return queue_; }  // most urgent first
  const PlanView& plan() const { return plan_; }
  const LockView& lock() const { return lock_; }
  const BenchView& bench() const { return bench_; }
  const std::vector<BoardClock>& clocks() const { return clocks_; }  // of the whole job book
  const std::filesystem::path& watched_folder() const { return watched_.folder; }  // empty: none
  const std::string& signer() const { return book_.options().who; }  // k_nobody: not known
  std::int64_t now_s() const;  // seconds since 1970, by the job book's clock
  const ShelfView& shelf() const { return shelf_; }
  const OwnerView& owner() const { return owner_; }
  const std::vector<KeptLayout>& kept_layouts() const { return kept_layouts_; }
  std::string work_id() const { return open_.work; }
  std::string unit_id() const { return open_.unit; }
  JobBook& book() { return book_; }
  std::filesystem::path photo_path(const std::string& sha256) const;  // of a kept photo

  void perform(const DeskAction& action);
  void tick();  // applies finished jobs
  void say(std::string sentence, bool is_error = false);

 private:
  void run(const OpenPhotoFile& a);
  void run(const OpenWork& a);
  void run(const CloseWork&);
  void run(const SetScale& a);
  void run(const SetSetting& a);
  void run(const SetBattery& a);
  void run(const SetPeek& a);
  void run(const AddNote& a);
  void run(const ChangeNote& a);
  void run(const RemoveNote& a);
  void run(const GiveAnswer& a);
  void run(const PointAt& a);
  void run(const JudgeFinding& a);
  void run(const MergeFindings& a);
  void run(const SplitFinding& a);
  void run(const BrushResidue& a);
  void run(const DrawResidue& a);
  void run(const TakeEditBack& a);
  void run(const SaveSurvey&);
  void run(const SaveBenchSheet&);
  void run(const SaveReport& a);
  void run(const StartLayout& a);
  void run(const ImportLayout& a);
  void run(const UseKeptLayout& a);
  void run(const RemoveLayout&);
  void run(const NameLayout& a);
  void run(const AddZone& a);
  void run(const AddSquaresZone& a);
  void run(const ChangeZone& a);
  void run(const RemoveZone& a);
  void run(const AddPart& a);
  void run(const ChangePart& a);
  void run(const RemovePart& a);
  void run(const SaveLayout&);
  void run(const KeepLayoutForType&);
  void run(const PutUnit& a);
  void run(const PutKitItem& a);
  void run(const RemoveKitItem& a);
  void run(const PutBoard& a);
  void run(const PutPhoto& a);
  void run(const MovePhoto& a);
  void run(const OpenKeptPhoto& a);
  void run(const OpenUnit& a);
  void run(const FileInbox& a);
  void run(const SaveTags&);
  void run(const SaveIntakeSheet&);
  void run(const CompareWith& a);
  void run(const SetDry& a);
  void run(const SetPairs& a);
  void run(const SaveComparison&);
  void run(const MakePlan&);
  void run(const TickItem& a);
  void run(const EditItem& a);
  void run(const LogMinutes& a);
  void run(const AddItem& a);
  void run(const RemoveItem& a);
  void run(const MergeItems& a);
  void run(const SplitItem& a);
  void run(const TellKnown& a);
  void run(const BenchNext&);
  void run(const BenchPause&);
  void run(const BenchDone&);
  void run(const BenchProblem& a);
  void run(const BenchGoTo& a);
  void run(const LogBench& a);
  void run(const StopClock& a);
  void run(const SignAs& a);
  void run(const WatchFolder& a);
  void run(const AddLockEntry& a);
  void run(const ReadShelf&);
  void run(const TellPart& a);
  void run(const PlaceOrder& a);
  void run(const OrderArrived& a);
  void run(const ChangeStock& a);
  void run(const TakeFromDrawer& a);
  void run(const SaveOrder& a);
  void run(const SetHour& a);
  void run(const MakeQuote& a);
  void run(const AnswerQuote& a);
  void run(const SaveQuote&);
  void run(const HandOverUnit& a);
  void run(const SaveHandOver& a);
  void run(const LookedAgain& a);
  void run(const CameBack& a);
  void run(const LearnRates&);
  void run(const SaveActuals&);
  void run(const Undo&);
  void run(const Redo&);
  void run(const DismissMessage&) { messages_.empty() ? void() : messages_.pop_front(); }
  void run(const CancelJobs&) { jobs_.cancel_all(), to_place_.clear(); }

  void change(Document after, std::string label, std::string joins = {});
  void save(const std::string& what);
  void after_change(const Document& before);
  void adopt(std::shared_ptr<const Photo> photo, std::shared_ptr<const Pyramid> pyramid);
  void start_survey();
  void start_look();
  void start_comparison();
  void load_earlier(const Document& before);
  void compare_with_earlier();
  Document earlier_document() const;
  void edit(MapEdit edit, std::string label);
  const Finding* finding(int id);
  // The layout as panels see it; says so and gives null when there is none yet.
  const Layout* layout_to_edit();
  void change_layout(Layout layout, const std::string& label, const std::string& joins = {});
  void use_layout(Layout layout, const std::string& label);
  void lay_again();
  void refresh_learned();
  void refresh_kept_layouts();
  void refresh_intake();
  void refresh_plan();
  void refresh_lock();
  void refresh_bench();
  BenchSign bench_sign() const;
  template <class Change>
  void change_bench(const std::string& label, Change change);
  template <class Change>
  void change_work(const std::string& label, Change change);
  void look_at_watched_folder();
  // Pictures are read and placed one after the other, so that none cancels another.
  void go_on_with_close_ups();
  void read_next_picture();
  void place_next_close_up();
  void file_close_up(const ReadCloseUp& picture, const std::string& board);
  void keep_place(const FiledCloseUp& filed, const PlacedPicture& placed);
  // Those of the open board whose placing was cut off.
  void resume_close_ups();
  void refresh_shelf();
  void refresh_owner();
  std::string today() const;
  void make_plan(const std::vector<SideFacts>& sides);
  void put_plan(const Plan& plan, const std::string& label);
  template <class Change>
  void change_plan(const std::string& label, Change change);
  // Edits of the job book as one undoable step.
  void change_book(std::vector<Edit> edits, std::string label, OpenPlace after = {});
  // The same, made of what the job book holds at that moment (JobBook::change_by).
  void change_book_by(const std::function<std::vector<Edit>()>& make, std::string label,
                      OpenPlace after = {});
  void save_sheet(const std::string& name, const Bytes& pdf);  // as NAME.pdf
  void save_text(const std::string& file, const std::string& text);
  std::filesystem::path sheet_path(std::string file);
  // Side and battery stand in the document and in the job book's own records.
  void keep_in_step(const Document& before);
  void refresh_recent();
  struct Shown {
    std::shared_ptr<const Survey> survey;
    std::shared_ptr<const Pyramid> labels, confidence;
  };
  static Shown shown_of(std::shared_ptr<const Survey> survey);
  void show(const Shown& shown, size_t answers_taken);
  bool survey_is_current() const;
  // Whether this very thing is being written by a job of the kind; if not, it now is about to be.
  bool is_being_saved(const std::string& kind, const std::shared_ptr<const void>& what);

  DeskOptions options_;
  JobBook book_;
  std::optional<Document> document_;
  Derived derived_;
  History<Document> history_;
  std::deque<Message> messages_;
  OpenPlace open_;
  std::vector<SavedWork> recent_;
  std::vector<KeptLayout> kept_layouts_;
  Intake intake_;
  std::vector<QueueRow> queue_;
  PlanView plan_;
  LockView lock_;
  BenchView bench_;
  std::vector<BoardClock> clocks_;
  struct Watched {
    std::filesystem::path folder;
    std::vector<std::filesystem::path> seen;
    std::chrono::steady_clock::time_point looked_at;
  } watched_;
  struct NewPicture {
    std::filesystem::path path;
    std::string board;  // record id
  };
  std::deque<NewPicture> to_read_;
  std::deque<FiledCloseUp> to_place_;
  std::string placing_;  // record of the photo that is being placed
  ShelfView shelf_;
  bool shelf_is_wanted_ = false;
  OwnerView owner_;
  std::map<std::string, std::weak_ptr<const void>> being_saved_;  // of each kind of job
  std::uint32_t next_revision_ = 1;
  JobRunner jobs_;  // last: stops before what it uses goes
};

}  // namespace verdigrid
