#include <fmt/format.h>
#include <imgui.h>
#include <imgui_stdlib.h>

#include <algorithm>

#include "viewer/panels.h"
#include "viewer/widgets.h"

namespace verdigrid {

namespace {

constexpr const char* k_kit_words[] = {"board", "card", "supply", "drive", "panel", "cable"};

// One line of text that becomes a change when it is left.
template <class Commit>
void field(ViewerState& state, const char* label, const char* hint, const std::string& value,
           Commit commit) {
  ReceiveDrafts& d = state.receive;
  std::string text = d.field == label ? d.text : value;
  field_label(state.theme, label);
  if (ImGui::InputTextWithHint(fmt::format("##{}", label).c_str(), hint, &text))
    d.field = label, d.text = text;
  if (!ImGui::IsItemDeactivatedAfterEdit()) return;
  d.field.clear();
  commit(text);
}

template <class Commit>
void question(const char* label, Answer3 value, Commit commit) {
  ImGui::PushID(label);
  align_to_small_frame();
  ImGui::TextUnformatted(label);
  ImGui::SameLine(ImGui::GetContentRegionMax().x * 0.45f);
  for (const Answer3 a : {Answer3::yes, Answer3::no, Answer3::unknown}) {
    if (a != Answer3::yes) ImGui::SameLine();
    if (radio(name(a), value == a) && value != a) commit(a);
  }
  ImGui::PopID();
}

void draw_battery(const Desk& desk, ViewerState& state, Actions& actions) {
  const Unit& unit = desk.intake().unit;
  const auto put = [&](auto change, const char* label) {
    Unit changed = unit;
    change(changed.battery);
    actions.push_back(PutUnit{changed, label});
  };
  question("Battery still in?", desk.document()->battery_in,
           [&](Answer3 a) { actions.push_back(SetBattery{a}); });
  if (desk.document()->battery_in == Answer3::no) return;
  question("Is it leaking?", unit.battery.leaking,
           [&](Answer3 a) { put([a](Battery& b) { b.leaking = a; }, "Battery leaking"); });
  question("Keeps data alive?", unit.battery.keeps_data,
           [&](Answer3 a) { put([a](Battery& b) { b.keeps_data = a; }, "Battery keeps data"); });
  field(
      state, "battery kind", "NiCd barrel, lithium coin ...", unit.battery.kind,
      [&](const std::string& text) { put([&](Battery& b) { b.kind = text; }, "Kind of battery"); });
  const std::string block = battery_removal_block(unit.battery);
  if (!block.empty() && desk.document()->battery_in == Answer3::yes) muted_text(state.theme, block);
}

void draw_unit(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const Unit& unit = desk.intake().unit;
  const auto text_field = [&](const char* label, const char* hint, std::string Unit::*member) {
    field(state, label, hint, unit.*member, [&](const std::string& text) {
      Unit changed = unit;
      changed.*member = text;
      actions.push_back(PutUnit{changed, fmt::format("Unit: {}", label)});
    });
  };
  const auto ask = [&](const char* label, Answer3 Unit::*member) {
    question(label, unit.*member, [&](Answer3 a) {
      Unit changed = unit;
      changed.*member = a;
      actions.push_back(PutUnit{changed, fmt::format("Unit: {}", label)});
    });
  };
  draw_battery(desk, state, actions);
  ask("Wet?", &Unit::wet);
  ask("Mains capacitors?", &Unit::mains_capacitors);
  ask("Picture tube?", &Unit::picture_tube);
  ask("Nests, droppings?", &Unit::nests);
  for (const std::string& caution : cautions(unit)) {
    ImGui::PushStyleColor(ImGuiCol_Text, t.warning);
    wrapped(caution);
    ImGui::PopStyleColor();
  }
  heading(t, "Unit");
  text_field("name", "What it is", &Unit::name);
  text_field("owner", "Who it belongs to", &Unit::owner);
  text_field("make", "", &Unit::make);
  text_field("model", "", &Unit::model);
  text_field("serial", "", &Unit::serial);
  text_field("condition", "As it arrived", &Unit::condition);
  text_field("location", "Shelf, box", &Unit::location);
  text_field("reason", "What the owner wants", &Unit::reason);
  if (button("Report of the unit")) actions.push_back(SaveReport{ReportOf::unit});
  if (ImGui::IsItemHovered())
    wrapped_tooltip(
        t,
        "Every side of every board with its newest survey, plan and power lock, as HTML "
        "and PDF beside the job book.");
  same_line_if_room("Intake sheet (PDF)");
  if (button("Intake sheet (PDF)")) actions.push_back(SaveIntakeSheet{});
  same_line_if_room("Tags (PDF)");
  if (button("Tags (PDF)")) actions.push_back(SaveTags{});
  if (ImGui::IsItemHovered())
    wrapped_tooltip(t,
                    "Print, cut out, photograph a tag and then the pictures that belong to it: the "
                    "inbox files them by it.");
}

void draw_kit(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  heading(t, "Kit");
  if (desk.intake().kit.empty())
    muted_text(t, "What came with it, so that nothing is left unlooked at:");
  for (const Intake::KitRow& row : desk.intake().kit) {
    ImGui::PushID(row.id.c_str());
    KitItem item = row.item;
    if (tick_box(fmt::format("{}: {}", item.what, item.name).c_str(), &item.looked_at))
      actions.push_back(PutKitItem{row.id, item});
    ImGui::SameLine(ImGui::GetContentRegionMax().x - ImGui::CalcTextSize("Remove").x -
                    2 * ImGui::GetStyle().FramePadding.x);
    if (ImGui::Button("Remove")) actions.push_back(RemoveKitItem{row.id});
    ImGui::PopID();
  }
  ReceiveDrafts& d = state.receive;
  ImGui::SetNextItemWidth(t.px(96));
  if (ImGui::BeginCombo("##what", k_kit_words[d.kit_word])) {
    for (size_t i = 0; i < std::size(k_kit_words); ++i)
      if (ImGui::Selectable(k_kit_words[i], i == d.kit_word)) d.kit_word = i;
    ImGui::EndCombo();
  }
  ImGui::SameLine();
  ImGui::SetNextItemWidth(-t.px(64));
  const bool entered = ImGui::InputTextWithHint("##kit name", "Its name", &d.kit_name,
                                                ImGuiInputTextFlags_EnterReturnsTrue);
  ImGui::SameLine();
  const bool pressed = button("Add", d.kit_name.empty() ? "Type its name first." : "");
  if ((entered || pressed) && !d.kit_name.empty()) {
    KitItem item;
    item.what = k_kit_words[d.kit_word];
    item.name = std::exchange(d.kit_name, {});
    actions.push_back(PutKitItem{"", item});
  }
}

void draw_photos(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const Intake& in = desk.intake();
  heading(t, "Boards and photos");
  for (const Intake::BoardRow& board : in.boards) {
    ImGui::PushID(board.id.c_str());
    muted_text(t, board.board.name);
    for (const Intake::PhotoRow& p : board.photos) {
      ImGui::PushID(p.id.c_str());
      const bool is_open = p.id == in.photo_id;
      const std::string label =
          fmt::format("{}, {}: {}", name(p.photo.side), p.photo.role, p.photo.name);
      if (ImGui::Selectable(label.c_str(), is_open) && !is_open)
        actions.push_back(OpenKeptPhoto{p.id});
      ImGui::PopID();
    }
    ImGui::PopID();
  }
}

// The photo of a unit's other side is dropped on its own: what is there already comes before what
// would be made anew.
void draw_other_boards(const Desk& desk, const std::string& photo_name, Actions& actions) {
  const auto offer = [&actions](const std::string& words, const std::string& id, MovePhoto move) {
    if (ImGui::Selectable((words + "##" + id).c_str())) actions.push_back(std::move(move));
  };
  for (const QueueRow& q : desk.queue()) {
    if (q.unit == desk.unit_id()) continue;
    for (const Intake::OtherBoard& b : desk.intake().others)
      if (b.unit == q.unit)
        offer(fmt::format("{}, {}", q.name, b.name), b.board, MovePhoto{q.unit, b.board, "", ""});
    offer(q.name + ", a new board", q.unit, MovePhoto{q.unit, "", "", "board"});
  }
  offer("a new unit", "new", MovePhoto{"", "", photo_name, "board 1"});
}

// This photo: its board, side, role; and moving it to where it belongs.
void draw_this_photo(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  const Intake& in = desk.intake();
  const Intake::PhotoRow* row = in.open_photo();
  const Intake::BoardRow* board = in.open_board();
  if (!row || !board) return;
  heading(t, "This photo shows");
  field_label(t, "side", Follows::small_frame);
  for (const Side side : {Side::front, Side::back}) {
    if (side != Side::front) ImGui::SameLine();
    if (const bool is_it = desk.document()->scale.side == side;
        radio(name(side), is_it) && !is_it) {
      ScaleChoice s = desk.document()->scale;
      s.side = side;
      actions.push_back(SetScale{s, fmt::format("Side: {}", name(side))});
    }
  }
  field_label(t, "role");
  if (ImGui::BeginCombo("##role", row->photo.role.c_str())) {
    for (const char* role : k_photo_roles)
      if (ImGui::Selectable(role, row->photo.role == role))
        actions.push_back(PutPhoto{role, row->photo.note});
    ImGui::EndCombo();
  }
  field(state, "board", "Its name on the board or by you", board->board.name,
        [&](const std::string& text) {
          Board changed = board->board;
          changed.name = text;
          actions.push_back(PutBoard{changed});
        });
  field_label(t, "belongs to");
  if (ImGui::BeginCombo("##belongs to", in.unit.name.c_str())) {
    for (const Intake::BoardRow& b : in.boards)
      if (b.id != board->id &&
          ImGui::Selectable(fmt::format("this unit, {}##{}", b.board.name, b.id).c_str()))
        actions.push_back(MovePhoto{desk.unit_id(), b.id, "", ""});
    if (ImGui::Selectable("this unit, a new board"))
      actions.push_back(
          MovePhoto{desk.unit_id(), "", "", fmt::format("board {}", in.boards.size() + 1)});
    draw_other_boards(desk, row->photo.name, actions);
    ImGui::EndCombo();
  }
}

}  // namespace

void draw_queue(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  if (desk.queue().empty()) return muted_text(t, "No unit is waiting.");
  for (const QueueRow& q : desk.queue()) {
    ImGui::PushID(q.unit.c_str());
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const float height = 2 * ImGui::GetTextLineHeight() + t.px(12), side = height - t.px(8);
    if (ImGui::Selectable("##unit", q.unit == desk.unit_id(), 0, {0, height}))
      actions.push_back(OpenUnit{q.unit});
    ImDrawList& list = *ImGui::GetWindowDrawList();
    const float right = ImGui::GetWindowPos().x + ImGui::GetContentRegionMax().x - t.px(6);
    file_picture(list, t,
                 state.picture_of_kept ? state.picture_of_kept(q.thumbnail_sha256) : FilePicture{},
                 {at.x + t.px(4), at.y + t.px(4)}, side);
    const std::string& why = q.reason.empty() ? q.received_on : q.reason;
    const float left = at.x + side + t.px(16), why_width = ImGui::CalcTextSize(why.c_str()).x;
    list.AddText({left, at.y + t.px(4)}, colour_u32(t.text),
                 cut_to(q.name, right - why_width - t.px(10) - left).c_str());
    list.AddText({left, at.y + t.px(6) + ImGui::GetTextLineHeight()},
                 colour_u32(q.money.empty() ? t.muted : t.warning),
                 cut_to(q.money.empty() ? "next: " + q.next_step : q.money, right - left).c_str());
    list.AddText({right - why_width, at.y + t.px(4)},
                 colour_u32(q.reason.empty() ? t.muted : t.warning), why.c_str());
    ImGui::PopID();
  }
}

void draw_receive_panel(const Desk& desk, ViewerState& state, Actions& actions) {
  const Theme& t = state.theme;
  title(t, desk.intake().unit.name.empty() ? "Receive" : desk.intake().unit.name.c_str());
  PanelTabs tabs(state, "receive");
  tabs.item("Photo check", [&] { draw_photo_panel(desk, state); });
  tabs.item("Unit", [&] {
    draw_unit(desk, state, actions);
    draw_kit(desk, state, actions);
  });
  tabs.item("Photos", [&] {
    draw_this_photo(desk, state, actions);
    draw_photos(desk, state, actions);
  });
  tabs.item("Queue", [&] {
    draw_queue(desk, state, actions);
    ImGui::Separator();
    if (button("File a folder of photos")) state.picker.open_for(PickFor::inbox);
    if (ImGui::IsItemHovered())
      wrapped_tooltip(t,
                      "An inbox: photos after a tag go to its board and side; what follows no tag "
                      "waits. The files stay where they are.");
  });
}

}  // namespace verdigrid
