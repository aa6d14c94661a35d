// The desk: the open work, what was computed from it, its undo history, its jobs and its place in
// the job book. No GL, no ImGui.
//
// Everything a person does is an DeskAction; perform() turns it into a command or a job. Panels
// read document() and derived() and push actions. tick() applies finished jobs. Belongs to one
// thread; only the jobs run elsewhere. Every change of the document is in the job book before
// perform() returns, so a kill loses nothing.
#pragma once

#include <deque>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "desk/document.h"
#include "desk/history.h"
#include "desk/jobs.h"
#include "desk/pyramid.h"
#include "jobbook/job_book.h"
#include "jobbook/queue.h"
#include "measure/survey.h"
#include "photo/decode.h"

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
struct SaveBenchSheet {};
struct Undo {};
struct Redo {};
struct DismissMessage {};
struct CancelJobs {};

using DeskAction = std::variant<OpenPhotoFile, OpenWork, CloseWork, SetScale, SetSetting,
                                SetBattery, SetPeek, AddNote, ChangeNote, RemoveNote, GiveAnswer,
                                PointAt, SaveBenchSheet, Undo, Redo, DismissMessage, CancelJobs>;

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
  size_t answers_taken = 0;  // how many answers `look` and `survey` know
  std::uint32_t photo_revision = 0, survey_revision = 0;  // change with every new result
};

struct SavedWork {
  std::string work, unit, photo_name, changed_at;
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
  std::vector<SavedWork> recent_work(int at_most) const;  // newest first
  std::string work_id() const { return work_id_; }
  std::string unit_id() const { return unit_id_; }
  JobBook& book() { return book_; }

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
  void run(const SaveBenchSheet&);
  void run(const Undo&);
  void run(const Redo&);
  void run(const DismissMessage&) { messages_.empty() ? void() : messages_.pop_front(); }
  void run(const CancelJobs&) { jobs_.cancel_all(); }

  void change(Document after, std::string label, std::string joins = {});
  void save(const std::string& what);
  void after_change(const Document& before);
  void adopt(std::shared_ptr<const Photo> photo, std::shared_ptr<const Pyramid> pyramid);
  void start_survey();
  void start_look();
  struct Shown {
    std::shared_ptr<const Survey> survey;
    std::shared_ptr<const Pyramid> labels, confidence;
  };
  static Shown shown_of(std::shared_ptr<const Survey> survey);
  void show(const Shown& shown, size_t answers_taken);

  DeskOptions options_;
  JobBook book_;
  std::optional<Document> document_;
  Derived derived_;
  History<Document> history_;
  std::deque<Message> messages_;
  std::string work_id_, unit_id_;
  std::uint32_t next_revision_ = 1;
  JobRunner jobs_;  // last: stops before what it uses goes
};

}  // namespace verdigrid
