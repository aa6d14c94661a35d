#include "desk/desk.h"

#include <fmt/format.h>

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "base/files.h"
#include "base/sha256.h"
#include "report/bench_sheet.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

constexpr size_t k_messages_kept = 20;

// Undo by whole documents: they are small, and what comes back is what was there.
class ChangeDocument : public Command<Document> {
 public:
  ChangeDocument(Document before, Document after, std::string label, std::string joins)
      : before_(std::move(before)),
        after_(std::move(after)),
        label_(std::move(label)),
        joins_(std::move(joins)) {}
  void apply(Document& d) override { d = after_; }
  void revert(Document& d) override { d = before_; }
  std::string label() const override { return label_; }
  size_t bytes() const override {
    return sizeof *this + to_json(before_).dump().size() + to_json(after_).dump().size();
  }
  bool absorb(const Command& next) override {
    const auto* n = dynamic_cast<const ChangeDocument*>(&next);
    if (!n || joins_.empty() || n->joins_ != joins_) return false;
    after_ = n->after_;
    return true;
  }

 private:
  Document before_, after_;
  std::string label_, joins_;
};

JobBook opened(const DeskOptions& o) {
  std::error_code code;
  if (fs::exists(o.job_book / "job-book.sqlite", code)) return JobBook::open(o.job_book, o.book);
  return JobBook::create(o.job_book, o.book);
}

cv::Mat hidden_full_size(const PhotoCheck& check, cv::Size photo_px) {
  cv::Mat seen, full;
  cv::Mat(check.hidden != 0).convertTo(seen, CV_8UC1);
  cv::resize(seen, full, photo_px, 0, 0, cv::INTER_NEAREST);
  return full;
}

}  // namespace

Desk::Desk(DeskOptions options)
    : options_(std::move(options)), book_(opened(options_)), jobs_(options_.wake) {
  if (!options_.detector) options_.detector = first_method();
  if (is_network_folder(options_.job_book))
    say(
        fmt::format("The job book {} lies on a network folder, where two programs at once can "
                    "damage it. Keep it on a local disk.",
                    options_.job_book.string()));
}

void Desk::perform(const DeskAction& action) {
  try {
    std::visit([this](const auto& a) { run(a); }, action);
  } catch (const Error& e) {
    say(e.what(), true);
  }
}

void Desk::tick() {
  jobs_.take_results([this](const std::string&, const Error& e) {
    if (e.kind() != ErrorKind::interrupted) say(e.what(), true);
  });
}

void Desk::say(std::string sentence, bool is_error) {
  messages_.push_back({std::move(sentence), is_error});
  if (messages_.size() > k_messages_kept) messages_.pop_front();
}

std::vector<SavedWork> Desk::recent_work(int at_most) const {
  Statement s(
      book_.database(),
      "SELECT record.id, coalesce(record.unit, ''), json_extract(record.body, '$.photo_name'), "
      "max(change.at) FROM record JOIN change ON change.record = record.id "
      "WHERE record.kind = 'work' GROUP BY record.id ORDER BY max(change.id) DESC LIMIT ?1");
  s.bind(1, static_cast<std::int64_t>(at_most));
  std::vector<SavedWork> rows;
  while (s.step()) rows.push_back({s.text(0), s.text(1), s.text(2), s.text(3)});
  return rows;
}

void Desk::run(const OpenPhotoFile& a) {
  const std::string file = a.path.filename().string();
  const fs::path photos = options_.job_book / "photos";
  jobs_.start(
      "open", "Opening " + file,
      [this, path = a.path, file, photos, decode = options_.decode](const Work& work) -> Apply {
        const Bytes bytes = read_file(path, decode.file_limit_bytes);
        auto photo = std::make_shared<const Photo>(decode_photo(bytes, file, decode));
        work.check();
        work.report(0.6);
        PhotoStore(photos).add(bytes);
        auto pyramid = std::make_shared<const Pyramid>(pyramid_of(photo->bgr, Reduce::mean, work));
        return [this, photo, pyramid, size = bytes.size()] {
          book_.register_file(photo->meta.sha256, size);
          Document d;
          d.photo_name = photo->meta.name;
          d.photo_sha256 = photo->meta.sha256;
          Unit unit;
          unit.name = photo->meta.name;
          const std::string unit_id =
              book_.put("received with a photo", {"", "unit", {}, to_body(unit)});
          const std::string board =
              book_.put("board", {"", "board", unit_id, to_body(Board{"board 1"})});
          BoardPhoto kept{photo->meta.sha256, photo->meta.name};
          kept.captured_at = photo->meta.captured_at.value_or("");
          kept.width_px = photo->size_px().width;
          kept.height_px = photo->size_px().height;
          const std::string photo_id = book_.put("photo", {"", "photo", board, to_body(kept)});
          work_id_ = book_.put("opened", {"", "work", photo_id, to_json(d)});
          unit_id_ = unit_id;
          document_ = std::move(d);
          history_.clear();
          adopt(photo, pyramid);
        };
      });
}

void Desk::run(const OpenWork& a) {
  const Record record = book_.get(a.work);
  Document d = document_from(record.body);
  jobs_.start(
      "open", "Opening " + d.photo_name,
      [this, d, id = record.id, unit = record.unit.value_or(""),
       photos = options_.job_book / "photos", decode = options_.decode](const Work& work) -> Apply {
        const Bytes bytes = PhotoStore(photos).read(d.photo_sha256);
        auto photo = std::make_shared<const Photo>(decode_photo(bytes, d.photo_name, decode));
        work.check();
        auto pyramid = std::make_shared<const Pyramid>(pyramid_of(photo->bgr, Reduce::mean, work));
        return [this, d, id, unit, photo, pyramid] {
          work_id_ = id;
          unit_id_ = unit;
          document_ = d;
          history_.clear();
          adopt(photo, pyramid);
        };
      });
}

void Desk::run(const CloseWork&) {
  jobs_.cancel_all();
  document_.reset();
  derived_ = {};
  history_.clear();
  work_id_.clear();
  unit_id_.clear();
}

void Desk::adopt(std::shared_ptr<const Photo> photo, std::shared_ptr<const Pyramid> pyramid) {
  derived_ = {};
  derived_.photo = std::move(photo);
  derived_.photo_pyramid = std::move(pyramid);
  derived_.photo_revision = next_revision_++;
  start_survey();
}

void Desk::start_survey() {
  jobs_.cancel("look");
  jobs_.start("survey", "Surveying " + document_->photo_name,
              [this, photo = derived_.photo, scale = document_->scale, setting = document_->setting,
               detector = options_.detector](const Work& work) -> Apply {
                auto rectification = std::make_shared<const Rectification>(
                    rectify(*photo, rectify_options(scale), work.part(0, 0.2)));
                SurveyOptions options;
                options.detector.setting = setting;
                auto survey = std::make_shared<const Survey>(
                    survey_of(*photo, *rectification, *detector, options, work.part(0.2, 0.7)));
                auto base = std::make_shared<const LookBase>(
                    look_base(*photo, *rectification, survey->map, work.part(0.7, 0.95)));
                auto unseen = std::make_shared<const Pyramid>(
                    pyramid_of(hidden_full_size(survey->check, photo->size_px()), Reduce::larger));
                Shown shown = shown_of(survey);
                return [this, photo, rectification, survey, base, unseen, shown] {
                  if (derived_.photo != photo) return;
                  derived_.rectification = rectification;
                  derived_.automatic = survey;
                  derived_.look_base = base;
                  derived_.look.reset();
                  derived_.unseen = unseen;
                  show(shown, 0);
                  start_look();
                };
              });
}

// The answers so far, taken into the map: first the places that are left, then every area.
void Desk::start_look() {
  if (!derived_.look_base || !derived_.automatic) return;
  jobs_.start("look", "Taking in the answers",
              [this, photo = derived_.photo, survey = derived_.automatic, base = derived_.look_base,
               answers = document_->answers](const Work& work) -> Apply {
                auto look = std::make_shared<const Look>(look_after(*base, answers));
                work.check();
                auto reviewed = answers.empty()
                                    ? survey
                                    : std::make_shared<const Survey>(reviewed_survey(
                                          *photo, *survey, look_map(*base, *look), work));
                Shown shown = shown_of(reviewed);
                return [this, base, look, shown, n = answers.size()] {
                  if (derived_.look_base != base) return;
                  derived_.look = look;
                  show(shown, n);
                };
              });
}

void Desk::show(const Shown& shown, size_t answers_taken) {
  derived_.survey = shown.survey;
  derived_.labels = shown.labels;
  derived_.confidence = shown.confidence;
  derived_.answers_taken = answers_taken;
  derived_.survey_revision = next_revision_++;
}

Desk::Shown Desk::shown_of(std::shared_ptr<const Survey> survey) {
  auto labels = std::make_shared<const Pyramid>(pyramid_of(survey->map.labels, Reduce::nonzero));
  auto confidence =
      std::make_shared<const Pyramid>(pyramid_of(survey->map.confidence, Reduce::larger));
  return {std::move(survey), std::move(labels), std::move(confidence)};
}

void Desk::change(Document after, std::string label, std::string joins) {
  require(document_.has_value(), "a change needs open work");
  if (after == *document_) return;
  const Document before = *document_;
  history_.run(*document_,
               std::make_unique<ChangeDocument>(before, std::move(after), label, std::move(joins)));
  save(label);
  after_change(before);
}

void Desk::save(const std::string& what) {
  book_.put(what, {work_id_, "work", {}, to_json(*document_)});
}

void Desk::after_change(const Document& before) {
  if (!(before.scale == document_->scale) || before.setting != document_->setting)
    start_survey();
  else if (to_json(before)["answers"] != to_json(*document_)["answers"])
    start_look();
}

void Desk::run(const SetScale& a) {
  Document d = *document_;
  d.scale = a.scale;
  rectify_options(d.scale).check();
  change(std::move(d), a.label, a.label);
}

void Desk::run(const SetSetting& a) {
  Document d = *document_;
  d.setting = a.setting;
  change(std::move(d), fmt::format("Setting: {}", name(a.setting)));
}

void Desk::run(const SetBattery& a) {
  Document d = *document_;
  d.battery_in = a.battery_in;
  change(std::move(d), fmt::format("Battery still in: {}", name(a.battery_in)));
}

void Desk::run(const SetPeek& a) {
  Document d = *document_;
  std::erase(d.peeks, a.what);
  if (a.looked_at == Answer3::yes) d.peeks.push_back(a.what);
  change(std::move(d), "Looked at: " + a.what);
}

void Desk::run(const AddNote& a) {
  Document d = *document_;
  d.notes.push_back(a.note);
  d.notes.back().id = d.next_note_id++;
  change(std::move(d), fmt::format("Add {}", name(a.note.kind)));
}

void Desk::run(const ChangeNote& a) {
  Document d = *document_;
  const auto at = std::find_if(d.notes.begin(), d.notes.end(),
                               [&](const Note& n) { return n.id == a.note.id; });
  if (at == d.notes.end()) return;
  *at = a.note;
  change(std::move(d), fmt::format("Change note {}", a.note.id), fmt::format("note {}", a.note.id));
}

void Desk::run(const RemoveNote& a) {
  Document d = *document_;
  std::erase_if(d.notes, [&](const Note& n) { return n.id == a.id; });
  change(std::move(d), fmt::format("Remove note {}", a.id));
}

void Desk::run(const GiveAnswer& a) {
  Document d = *document_;
  d.answers.push_back(a.answer);
  change(std::move(d), fmt::format("Answer: {}", name(a.answer.kind)));
}

void Desk::run(const PointAt& a) {
  if (!derived_.look_base)
    return say("The survey is not ready yet: point at it again in a moment.");
  Answer answer{pointed_region(*derived_.look_base, a.stroke_px), AnswerKind::yes, Asked::pointed,
                a.residue};
  if (answer.region_px.empty()) return say("Nothing lies there: point at a place on the board.");
  run(GiveAnswer{std::move(answer)});
}

void Desk::run(const SaveBenchSheet&) {
  if (!document_ || !derived_.survey)
    return say("The survey is not ready yet: ask for the bench sheet in a moment.");
  const std::string other = document_->scale.side == Side::front ? "back" : "front";
  BenchFacts facts{name(document_->battery_in), {}};
  for (const std::string& what : {other, std::string("under chips and sockets")})
    if (std::find(document_->peeks.begin(), document_->peeks.end(), what) == document_->peeks.end())
      facts.unseen.push_back(what);
  const fs::path sheet = options_.job_book / "sheets" /
                         (fs::path(document_->photo_name).stem().string() + " bench sheet.pdf");
  jobs_.start(
      "sheet", "Making the bench sheet",
      [this, photo = derived_.photo, survey = derived_.survey, facts, sheet](const Work&) -> Apply {
        const Bytes pdf = bench_sheet_pdf(*photo, *survey, facts);
        std::error_code code;
        fs::create_directories(sheet.parent_path(), code);
        write_file(sheet, pdf);
        return [this, sheet] { say("Bench sheet saved: " + sheet.string()); };
      });
}

void Desk::run(const Undo&) {
  if (!document_ || !history_.can_undo()) return;
  const Document before = *document_;
  const std::string label = history_.undo_label();
  history_.undo(*document_);
  save("undo: " + label);
  after_change(before);
}

void Desk::run(const Redo&) {
  if (!document_ || !history_.can_redo()) return;
  const Document before = *document_;
  const std::string label = history_.redo_label();
  history_.redo(*document_);
  save("redo: " + label);
  after_change(before);
}

}  // namespace verdigrid
