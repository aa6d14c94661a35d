// The desk's intake: unit, kit, boards and photos in the job book, the queue, tags and the inbox.

#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "base/files.h"
#include "desk/change_book.h"
#include "desk/desk.h"
#include "jobbook/lock_record.h"
#include "jobbook/photo_store.h"
#include "jobbook/tags.h"
#include "report/tag_sheet.h"

namespace verdigrid {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

// What a person made of `before`, done to what the job book holds now: a field that nobody touched
// here stays as another program wrote it.
json with_change(json now, const json& before, const json& after) {
  if (!now.is_object() || !before.is_object() || !after.is_object()) return after;
  for (const auto& [key, value] : after.items())
    if (!before.contains(key) || before[key] != value)
      now[key] = with_change(now.value(key, json()), before.value(key, json()), value);
  for (const auto& [key, value] : before.items())
    if (!after.contains(key)) now.erase(key);
  return now;
}

template <class T>
std::vector<Edit> change_of(const JobBook& book, const std::string& id, const T& before,
                            const T& after) {
  const Record now = book.get(id);
  return {{id, now.kind, {}, with_change(now.body, to_body(before), to_body(after))}};
}

// Everything below `id` written again below `parent`, children after their parents; and the old
// ones removed, children first.
void add_moved(const JobBook& book, const std::string& id, const std::string& parent,
               std::vector<Edit>& added, std::vector<Edit>& removed, std::string& followed) {
  const Record old = book.get(id);
  const std::string fresh = book.new_id(old.kind);
  if (followed == id) followed = fresh;
  added.push_back({fresh, old.kind, parent, old.body});
  for (const Record& child : book.children(id))
    add_moved(book, child.id, fresh, added, removed, followed);
  removed.push_back({id, old.kind, old.parent, std::nullopt});
}

}  // namespace

const Intake::BoardRow* Intake::open_board() const {
  for (const BoardRow& b : boards)
    if (b.id == board_id) return &b;
  return nullptr;
}

const Intake::PhotoRow* Intake::open_photo() const {
  if (const BoardRow* b = open_board())
    for (const PhotoRow& p : b->photos)
      if (p.id == photo_id) return &p;
  return nullptr;
}

void Desk::refresh_intake() {
  intake_ = {};
  queue_ = queue_of(book_);
  refresh_shelf();
  if (open_.work.empty()) {
    refresh_plan();
    refresh_bench();
    refresh_owner();
    return refresh_lock();
  }
  intake_.photo_id = book_.get(open_.work).parent.value_or("");
  intake_.board_id = book_.get(intake_.photo_id).parent.value_or("");
  intake_.unit = unit_from(book_.get(open_.unit).body);
  for (const Record& k : book_.of_unit(open_.unit, "kit"))
    intake_.kit.push_back({k.id, kit_item_from(k.body)});
  for (const Record& b : book_.of_unit(open_.unit, "board")) {
    Intake::BoardRow board{b.id, board_from(b.body), {}};
    for (const Record& p : book_.children(b.id, "photo")) {
      const auto works = book_.children(p.id, "work");
      board.photos.push_back({p.id, works.empty() ? "" : works.back().id, kept_photo_from(p.body)});
    }
    intake_.boards.push_back(std::move(board));
  }
  for (const QueueRow& q : queue_)
    if (q.unit != open_.unit)
      for (const Record& b : book_.of_unit(q.unit, "board"))
        intake_.others.push_back({q.unit, b.id, board_from(b.body).name});
  refresh_plan();
  refresh_bench();
  refresh_lock();
  refresh_owner();
}

std::filesystem::path Desk::photo_path(const std::string& sha256) const {
  return PhotoStore(options_.job_book / "photos").path_of(sha256);
}

void Desk::change_book(std::vector<Edit> edits, std::string label, OpenPlace after) {
  change_book_by([&edits] { return edits; }, std::move(label), std::move(after));
}

void Desk::change_book_by(const std::function<std::vector<Edit>()>& make, std::string label,
                          OpenPlace after) {
  require(document_.has_value(), "intake is edited for an open photo");
  if (after.work.empty()) after = open_;
  auto change = std::make_unique<ChangeBook>(book_, label, open_, std::move(after));
  if (change->do_first(make)) history_.add(std::move(change));
  refresh_intake();
  refresh_recent();
}

void Desk::keep_in_step(const Document& before) {
  std::vector<Edit> edits;
  if (before.scale.side != document_->scale.side)
    if (const Intake::PhotoRow* row = intake_.open_photo()) {
      KeptPhoto photo = row->photo;
      photo.side = document_->scale.side;
      edits.push_back({row->id, "photo", {}, to_body(photo)});
    }
  if (before.battery_in != document_->battery_in) {
    Unit unit = intake_.unit;
    unit.battery.fitted = document_->battery_in;
    edits.push_back({open_.unit, "unit", {}, to_body(unit)});
  }
  if (edits.empty()) return;
  book_.change("kept in step with the photo", edits);
  refresh_intake();
}

void Desk::run(const PutUnit& a) {
  if (!document_) return;
  change_book_by([&] { return change_of(book_, open_.unit, intake_.unit, a.unit); }, a.label);
}

void Desk::run(const PutKitItem& a) {
  if (!document_) return;
  const bool is_new = a.id.empty();
  change_book({{is_new ? book_.new_id("kit") : a.id, "kit", open_.unit, to_body(a.item)}},
              (is_new ? "Add to the kit: " : "Change in the kit: ") + a.item.name);
}

void Desk::run(const RemoveKitItem& a) {
  if (!document_) return;
  change_book({{a.id, "kit", open_.unit, std::nullopt}}, "Remove from the kit");
}

void Desk::run(const PutBoard& a) {
  const Intake::BoardRow* board = document_ ? intake_.open_board() : nullptr;
  if (!board) return;
  change_book_by([&] { return change_of(book_, board->id, board->board, a.board); },
                 "Board " + a.board.name);
}

void Desk::run(const PutPhoto& a) {
  const Intake::PhotoRow* row = intake_.open_photo();
  if (!row) return;
  KeptPhoto photo = row->photo;
  photo.role = a.role;
  photo.note = a.note;
  change_book_by([&] { return change_of(book_, row->id, row->photo, photo); }, "Photo: " + a.role);
}

void Desk::run(const MovePhoto& a) {
  if (!document_) return;
  OpenPlace after = open_;
  std::vector<Edit> added, removed;
  after.unit = a.unit;
  if (after.unit.empty()) {
    Unit unit;
    unit.name = a.unit_name;
    after.unit = book_.new_id("unit");
    added.push_back({after.unit, "unit", {}, to_body(unit)});
  }
  std::string board = a.board;
  if (board.empty()) {
    board = book_.new_id("board");
    added.push_back({board, "board", after.unit, to_body(Board{a.board_name})});
  }
  if (board == intake_.board_id) return;
  add_moved(book_, intake_.photo_id, board, added, removed, after.work);
  // A board and a unit that were made for this photo alone go with it.
  const auto& old_board = intake_.open_board();
  if (old_board && old_board->photos.size() == 1 && book_.children(old_board->id).size() == 1) {
    removed.push_back({old_board->id, "board", open_.unit, std::nullopt});
    if (after.unit != open_.unit && intake_.boards.size() == 1 &&
        book_.children(open_.unit).size() == 1)
      removed.push_back({open_.unit, "unit", {}, std::nullopt});
  }
  added.insert(added.end(), removed.begin(), removed.end());
  change_book(std::move(added), "Move the photo to another board", after);
}

void Desk::run(const OpenUnit& a) {
  std::optional<Record> newest;
  for (const Record& w : book_.of_unit(a.unit, "work")) newest = w;
  if (newest) return run(OpenWork{newest->id});
  const auto photos = book_.of_unit(a.unit, "photo");
  if (photos.empty())
    return say("No photo of this unit is kept yet: photograph it and drop the picture here.");
  run(OpenKeptPhoto{photos.front().id});
}

void Desk::run(const OpenKeptPhoto& a) {
  const auto works = book_.children(a.photo, "work");
  if (!works.empty()) return run(OpenWork{works.back().id});
  // Filed by the command line, the inbox or a watched camera.
  const KeptPhoto photo = kept_photo_from(book_.get(a.photo).body);
  Document d;
  d.photo_name = photo.name;
  d.photo_sha256 = photo.sha256;
  d.scale.side = photo.side;
  run(OpenWork{book_.put("opened", {"", "work", a.photo, to_json(d)})});
}

void Desk::run(const FileInbox& a) {
  jobs_.start("inbox", "Filing " + a.folder.filename().string(),
              [this, folder = a.folder, book = options_.job_book, options = options_.book,
               decode = options_.decode](const Work& work) -> Apply {
                JobBook other = JobBook::open(book, options);
                const std::vector<InboxRow> rows = file_inbox(other, folder, decode, work);
                const auto count = [&](InboxRow::Fate fate) {
                  return std::count_if(rows.begin(), rows.end(),
                                       [&](const InboxRow& r) { return r.fate == fate; });
                };
                return [this,
                        sentence = fmt::format(
                            "Inbox: {} filed, {} known already, {} wait for a tag, {} refused.",
                            count(InboxRow::filed), count(InboxRow::known), count(InboxRow::waits),
                            count(InboxRow::refused)),
                        rows] {
                  refresh_intake();
                  say(sentence);
                  for (const InboxRow& r : rows)
                    if (r.fate == InboxRow::waits || r.fate == InboxRow::refused)
                      say(r.file + ": " + r.sentence);
                };
              });
}

void Desk::run(const SaveTags&) {
  const Intake::BoardRow* board = intake_.open_board();
  if (!board) return;
  std::vector<TagLabel> labels;
  for (const Side side : {Side::front, Side::back})
    labels.push_back({tag_for(book_, {open_.unit, board->id, side}), open_.unit, intake_.unit.name,
                      board->board.name, side});
  save_sheet("tags " + intake_.unit.name, tag_sheet_pdf(labels));
}

void Desk::run(const SaveIntakeSheet&) {
  if (!document_) return;
  std::vector<KitItem> kit;
  for (const Intake::KitRow& row : intake_.kit) kit.push_back(row.item);
  save_sheet("intake " + intake_.unit.name,
             intake_sheet_pdf(intake_.unit, open_.unit, kit,
                              unit_power_headline(book_, open_.unit, today())));
}

fs::path Desk::sheet_path(std::string file) {
  std::replace(file.begin(), file.end(), '/', '-');
  const fs::path path = options_.job_book / "sheets" / file;
  std::error_code code;
  fs::create_directories(path.parent_path(), code);
  return path;
}

void Desk::save_sheet(const std::string& name, const Bytes& pdf) {
  const fs::path path = sheet_path(name + ".pdf");
  write_file(path, pdf);
  say("Saved: " + path.string());
}

void Desk::save_text(const std::string& file, const std::string& text) {
  const fs::path path = sheet_path(file);
  write_file(path, text);
  say("Saved: " + path.string());
}

}  // namespace verdigrid
