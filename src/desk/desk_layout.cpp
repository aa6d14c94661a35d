// The desk's layout: start, import, edit, keep for the board type.

#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "base/files.h"
#include "base/sha256.h"
#include "compare/place_layout.h"
#include "desk/desk.h"
#include "desk/layout_way.h"
#include "layout/import.h"
#include "layout/layout_json.h"
#include "photo/recognise.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

constexpr std::uintmax_t k_largest_file = std::uintmax_t(1) << 30;

std::span<const std::byte> bytes_of(const std::string& text) {
  return std::as_bytes(std::span(text.data(), text.size()));
}

template <class List, class Is>
auto found(List& list, Is is, const std::string& what) {
  const auto at = std::find_if(list.begin(), list.end(), is);
  if (at == list.end())
    throw Error(ErrorKind::bad_input,
                what + " is not in the layout any more; choose one of the list.");
  return at;
}

// `edited` made by appending the changed one: it goes back to where the old one stood.
template <class List>
void put_last_at(List& list, std::ptrdiff_t at) {
  std::rotate(list.begin() + at, list.end() - 1, list.end());
}

}  // namespace

const Layout* Desk::layout_to_edit() {
  if (!document_) return nullptr;
  if (document_->layout && derived_.layout) return derived_.layout.get();
  say(document_->layout ? "The layout does not lie on this photo yet: " + derived_.layout_words
                        : "There is no layout yet: start one or open one.");
  return nullptr;
}

void Desk::change_layout(Layout layout, const std::string& label, const std::string& joins) {
  require(derived_.rectification != nullptr, "a layout is edited on a straightened photo");
  if (layout.source.origin == LayoutOrigin::hand && !derived_.rectification->outline_is_frame)
    layout = tied_layout(layout, *derived_.rectification, document_->photo_name,
                         document_->photo_sha256);
  check_layout(layout);
  Document d = *document_;
  const std::string text = layout_json(layout);
  d.layout_sha256 = book_.add_file(bytes_of(text));
  d.layout = std::make_shared<const Layout>(std::move(layout));
  change(std::move(d), label, joins);
}

// The document's layout as it now stands, in the frame that the photo has.
void Desk::lay_again() {
  if (!document_->layout) {
    derived_.layout.reset();
    derived_.layout_words.clear();
  } else if (!derived_.rectification) {
    return;
  } else if (way_of_layout(*document_).empty()) {
    derived_.layout = std::make_shared<const Layout>(
        layout_in_frame(*document_->layout, *derived_.rectification, document_->photo_sha256,
                        document_->photo_name));
    derived_.layout_words = "Drawn on this photo.";
  } else if (derived_.layout) {
    derived_.layout = document_->layout;
  }
}

void Desk::use_layout(Layout layout, const std::string& label) {
  check_layout(layout);
  Document d = *document_;
  d.layout_sha256 = book_.add_file(bytes_of(layout_json(layout)));
  d.layout = std::make_shared<const Layout>(std::move(layout));
  change(std::move(d), label);
}

void Desk::run(const StartLayout& a) {
  if (!derived_.rectification || !derived_.survey)
    return say("The board is not straightened yet: start the layout in a moment.");
  const Rectification& r = *derived_.rectification;
  if (r.outline_is_frame)
    return say("The board's outline is not known: set its corners under Straighten first.");
  Layout layout = layout_over(r.outline_board, r.has_scale());
  layout.board_type = a.board_type;
  change_layout(std::move(layout), "Start a layout");
}

void Desk::run(const ImportLayout& a) {
  if (!document_) return;
  jobs_.start("import", "Reading the layout",
              [this, paths = a.paths, photos = options_.job_book / "photos",
               work_id = open_.work](const Work& work) -> Apply {
                std::vector<Imported> all;
                std::vector<std::pair<std::string, size_t>> pictures;
                for (const fs::path& path : paths) {
                  work.check();
                  const Bytes bytes = read_file(path, k_largest_file);
                  // Reference photos may be given with the layout.
                  if (is_picture_file(bytes))
                    pictures.emplace_back(PhotoStore(photos).add(bytes), bytes.size());
                  else
                    all.push_back(imported_file(path));
                }
                if (all.empty())
                  throw Error(ErrorKind::bad_input,
                              "None of these files is a layout: choose a layout file, a centroid "
                              "table, a KiCad board, an IPC-D-356 netlist or a Gerber profile.");
                Layout layout = all.size() == 1 && all[0].format == LayoutFormat::layout_file
                                    ? all[0].layout
                                    : board_layout(all);
                if (layout.board_type.empty()) layout.board_type = paths[0].stem().string();
                return [this, layout = std::move(layout), pictures, work_id] {
                  for (const auto& [sha256, size] : pictures) book_.register_file(sha256, size);
                  if (work_id != open_.work) return;
                  for (const std::string& remark : layout.source.remarks) say(remark);
                  use_layout(layout, "Open a layout");
                };
              });
}

void Desk::run(const UseKeptLayout& a) {
  const BoardType type = board_type_from(book_.get(a.board_type).body);
  if (type.layout.is_null()) return say("No layout is kept for this board type.");
  use_layout(layout_from_json(type.layout.dump(), type.name), "Use the kept layout");
}

void Desk::run(const RemoveLayout&) {
  if (!document_ || !document_->layout) return;
  Document d = *document_;
  d.layout.reset();
  d.layout_sha256.clear();
  change(std::move(d), "Take the layout away");
}

void Desk::run(const NameLayout& a) {
  const Layout* now = layout_to_edit();
  if (!now) return;
  Layout layout = *now;
  layout.board_type = a.board_type;
  layout.revision = a.revision;
  change_layout(std::move(layout), "Name the board type", "board type");
}

void Desk::run(const AddZone& a) {
  if (const Layout* now = layout_to_edit())
    change_layout(with_zone(*now, a.zone), "Add zone " + a.zone.name);
}

void Desk::run(const AddSquaresZone& a) {
  const Layout* now = layout_to_edit();
  if (!now) return;
  const std::vector<Square> squares = flooded_squares(*now, a.start);
  if (squares.empty())
    return say("That square lies in a zone already or outside the board: choose a free one.");
  Zone zone;
  zone.name = a.name;
  zone.polygon = squares_polygon(*now->grid, squares);
  change_layout(with_zone(*now, std::move(zone)),
                fmt::format("Add zone {} of {} squares", a.name, squares.size()));
}

void Desk::run(const ChangeZone& a) {
  const Layout* now = layout_to_edit();
  if (!now) return;
  Layout layout = *now;
  const auto at = found(
      layout.zones, [&](const Zone& z) { return z.name == a.name; }, "Zone \"" + a.name + "\"");
  const auto place = at - layout.zones.begin();
  const bool is_reshaped = !(at->polygon == a.zone.polygon);
  layout.zones.erase(at);
  layout = with_zone(layout, a.zone);
  put_last_at(layout.zones, place);
  change_layout(std::move(layout), (is_reshaped ? "Reshape zone " : "Change zone ") + a.zone.name,
                is_reshaped ? a.joins : "zone " + a.name);
}

void Desk::run(const RemoveZone& a) {
  const Layout* now = layout_to_edit();
  if (!now) return;
  Layout layout = *now;
  std::erase_if(layout.zones, [&](const Zone& z) { return z.name == a.name; });
  change_layout(std::move(layout), "Remove zone " + a.name);
}

void Desk::run(const AddPart& a) {
  const Layout* now = layout_to_edit();
  if (!now) return;
  const bool is_array = a.array.columns * a.array.rows > 1;
  change_layout(is_array ? with_array(*now, a.part, a.array) : with_part(*now, a.part),
                is_array ? fmt::format("Add {} parts from {}", a.array.columns * a.array.rows,
                                       a.part.designator)
                         : "Add part " + a.part.designator);
}

void Desk::run(const ChangePart& a) {
  const Layout* now = layout_to_edit();
  if (!now) return;
  Layout layout = *now;
  const auto at = found(
      layout.parts, [&](const Part& p) { return p.designator == a.designator; },
      "Part \"" + a.designator + "\"");
  const auto place = at - layout.parts.begin();
  layout.parts.erase(at);
  layout = with_part(layout, a.part);
  put_last_at(layout.parts, place);
  change_layout(std::move(layout), "Change part " + a.part.designator, "part " + a.designator);
}

void Desk::run(const RemovePart& a) {
  const Layout* now = layout_to_edit();
  if (!now) return;
  Layout layout = *now;
  std::erase_if(layout.parts, [&](const Part& p) { return p.designator == a.designator; });
  change_layout(std::move(layout), "Remove part " + a.designator);
}

void Desk::run(const SaveLayout&) {
  const Layout* now = layout_to_edit();
  if (!now) return;
  const std::string name =
      now->board_type.empty() ? fs::path(document_->photo_name).stem().string() : now->board_type;
  std::string file = name;
  std::replace(file.begin(), file.end(), '/', '-');
  const fs::path path = options_.job_book / "layouts" / (file + ".layout.json");
  std::error_code code;
  fs::create_directories(path.parent_path(), code);
  save_layout(path, tied_layout(*now, *derived_.rectification, document_->photo_name,
                                document_->photo_sha256));
  say("Layout saved: " + path.string());
}

void Desk::run(const KeepLayoutForType&) {
  const Layout* now = layout_to_edit();
  if (!now) return;
  if (now->board_type.empty())
    return say("The layout needs the name of its board type: type it first.");
  BoardType type;
  std::string id;
  for (const Record& record : book_.of_kind("board-type"))
    if (BoardType known = board_type_from(record.body); known.name == now->board_type)
      id = record.id, type = std::move(known);
  type.name = now->board_type;
  type.revision = now->revision;
  type.layout = nlohmann::json::parse(layout_json(
      tied_layout(*now, *derived_.rectification, document_->photo_name, document_->photo_sha256)));
  id = book_.put("kept a layout", {id, "board-type", {}, to_body(type)});
  const Record photo = book_.get(book_.get(open_.work).parent.value());
  Record board = book_.get(photo.parent.value());
  Board body = board_from(board.body);
  body.type = id;
  book_.put("named the board type", {board.id, "board", {}, to_body(body)});
  refresh_learned();
  refresh_kept_layouts();
  say(fmt::format("Layout kept for the board type {}.", type.name));
}

void Desk::refresh_kept_layouts() {
  kept_layouts_.clear();
  for (const Record& record : book_.of_kind("board-type"))
    if (const BoardType type = board_type_from(record.body); !type.layout.is_null())
      kept_layouts_.push_back({record.id, type.name});
}

void Desk::refresh_learned() {
  derived_.learned.clear();
  if (!document_ || !document_->layout) return;
  for (const Record& record : book_.of_kind("board-type"))
    if (board_type_from(record.body).name == document_->layout->board_type)
      derived_.learned = learned_of(book_, record.id);
}

}  // namespace verdigrid
