#include "desk/desk.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "base/files.h"
#include "desk/layout_way.h"
#include "layout/layout_json.h"

namespace verdigrid {

namespace fs = std::filesystem;
using nlohmann::json;

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

}  // namespace

Desk::Desk(DeskOptions options)
    : options_(std::move(options)), book_(opened(options_)), jobs_(options_.wake) {
  if (!options_.detector) options_.detector = first_method();
  refresh_recent();
  refresh_kept_layouts();
  refresh_intake();
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
  look_at_watched_folder();
  jobs_.take_results([this](const std::string&, const Error& e) {
    if (e.kind() != ErrorKind::interrupted) say(e.what(), true);
  });
  go_on_with_close_ups();
}

void Desk::say(std::string sentence, bool is_error) {
  messages_.push_back({std::move(sentence), is_error});
  if (messages_.size() > k_messages_kept) messages_.pop_front();
}

void Desk::refresh_recent() {
  constexpr std::int64_t k_recent = 8;
  Statement s(
      book_.database(),
      "SELECT record.id, coalesce(record.unit, ''), json_extract(record.body, '$.photo_name'), "
      "max(change.at) FROM record JOIN change ON change.record = record.id "
      "WHERE record.kind = 'work' GROUP BY record.id ORDER BY max(change.id) DESC LIMIT ?1");
  s.bind(1, k_recent);
  recent_.clear();
  while (s.step()) recent_.push_back({s.text(0), s.text(1), s.text(2), s.text(3)});
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
          if (const auto known = kept_photo_with(book_, photo->meta.sha256)) {
            say(photo->meta.name + " is in the job book already: the work on it goes on.");
            return run(OpenKeptPhoto{known->id});
          }
          Document d;
          d.photo_name = photo->meta.name;
          d.photo_sha256 = photo->meta.sha256;
          Unit unit;
          unit.name = photo->meta.name;
          const std::string unit_id =
              book_.put("received with a photo", {"", "unit", {}, to_body(unit)});
          const std::string board =
              book_.put("board", {"", "board", unit_id, to_body(Board{"board 1"})});
          KeptPhoto kept{photo->meta.sha256, photo->meta.name};
          kept.captured_at = photo->meta.captured_at.value_or("");
          kept.width_px = photo->size_px().width;
          kept.height_px = photo->size_px().height;
          const std::string photo_id = book_.put("photo", {"", "photo", board, to_body(kept)});
          open_.work = book_.put("opened", {"", "work", photo_id, to_json(d)});
          open_.unit = unit_id;
          document_ = std::move(d);
          history_.clear();
          refresh_recent();
          refresh_intake();
          adopt(photo, pyramid);
        };
      });
}

void Desk::run(const OpenWork& a) {
  const Record record = book_.get(a.work);
  Document d = document_from(record.body);
  if (!d.layout_sha256.empty()) {
    const Bytes text = book_.file(d.layout_sha256);
    d.layout = std::make_shared<const Layout>(layout_from_json(
        {reinterpret_cast<const char*>(text.data()), text.size()}, "the kept layout"));
  }
  jobs_.start(
      "open", "Opening " + d.photo_name,
      [this, d, id = record.id, unit = record.unit.value_or(""),
       photos = options_.job_book / "photos", decode = options_.decode](const Work& work) -> Apply {
        const Bytes bytes = PhotoStore(photos).read(d.photo_sha256);
        auto photo = std::make_shared<const Photo>(decode_photo(bytes, d.photo_name, decode));
        work.check();
        auto pyramid = std::make_shared<const Pyramid>(pyramid_of(photo->bgr, Reduce::mean, work));
        return [this, d, id, unit, photo, pyramid] {
          open_.work = id;
          open_.unit = unit;
          document_ = d;
          history_.clear();
          refresh_intake();
          refresh_learned();
          adopt(photo, pyramid);
          resume_close_ups();
        };
      });
}

void Desk::run(const CloseWork&) {
  jobs_.cancel_all();
  document_.reset();
  derived_ = {};
  history_.clear();
  open_.work.clear();
  open_.unit.clear();
  refresh_intake();
}

void Desk::adopt(std::shared_ptr<const Photo> photo, std::shared_ptr<const Pyramid> pyramid) {
  derived_ = {};
  derived_.photo = std::move(photo);
  derived_.photo_pyramid = std::move(pyramid);
  derived_.photo_revision = next_revision_++;
  start_survey();
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
  book_.put(what, {open_.work, "work", {}, to_json(*document_)});
  refresh_recent();
}

// What lies below the change is computed anew: all of it, or what the map and the layout give.
void Desk::after_change(const Document& before) {
  const Document& now = *document_;
  keep_in_step(before);
  if (before.layout_sha256 != now.layout_sha256) lay_again(), refresh_learned();
  if (before.compared_with_sha256 != now.compared_with_sha256 || before.is_dry != now.is_dry ||
      to_json(before).value("compare_pairs", json()) != to_json(now).value("compare_pairs", json()))
    start_comparison();
  if (!(before.scale == now.scale) || before.setting != now.setting ||
      way_of_layout(before) != way_of_layout(now))
    start_survey();
  else if (before.edits != now.edits || before.layout_sha256 != now.layout_sha256 ||
           before.peeks != now.peeks || to_json(before)["answers"] != to_json(now)["answers"])
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

void Desk::run(const Undo&) {
  if (!document_ || !history_.can_undo()) return;
  const Document before = *document_;
  const std::string label = history_.undo_label();
  history_.undo(*document_);
  refresh_intake();
  if (before == *document_) return;
  save("undo: " + label);
  after_change(before);
}

void Desk::run(const Redo&) {
  if (!document_ || !history_.can_redo()) return;
  const Document before = *document_;
  const std::string label = history_.redo_label();
  history_.redo(*document_);
  refresh_intake();
  if (before == *document_) return;
  save("redo: " + label);
  after_change(before);
}

}  // namespace verdigrid
