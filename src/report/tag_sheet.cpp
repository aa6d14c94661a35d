#include "report/tag_sheet.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "report/page.h"

namespace verdigrid {

namespace {

const cv::Size2d k_a4_mm{210, 297};  // ISO 216
const cv::Size2d k_label_mm{90, 50};
constexpr double k_margin_mm = 14, k_marker_mm = 22, k_marker_step_mm = 28;
constexpr int k_labels_at_most = 10;
constexpr Ink k_text{0.1, 0.1, 0.1, 1}, k_quiet{0.36, 0.36, 0.36, 1}, k_line{0.55, 0.55, 0.55, 1},
    k_black{0, 0, 0, 1}, k_white{1, 1, 1, 1};

void draw_marker(Page& page, int id, cv::Point2d at) {
  const std::vector<bool> black = tag_marker_cells(id);
  const double cell = k_marker_mm / k_tag_marker_cells;
  page.fill({at.x, at.y, k_marker_mm, k_marker_mm}, k_black);
  for (int y = 0; y < k_tag_marker_cells; ++y)
    for (int x = 0; x < k_tag_marker_cells; ++x)
      if (!black[static_cast<size_t>(y * k_tag_marker_cells + x)])
        page.fill({at.x + x * cell, at.y + y * cell, cell, cell}, k_white);
}

void draw_label(Page& page, const TagLabel& l, cv::Point2d at) {
  page.dashed({at,
               {at.x + k_label_mm.width, at.y},
               {at.x + k_label_mm.width, at.y + k_label_mm.height},
               {at.x, at.y + k_label_mm.height},
               at},
              k_line, 0.2, 2);
  const int ids[] = {l.code.number / 1000, l.code.number % 1000, l.code.check};
  for (int i = 0; i < 3; ++i)
    draw_marker(page, ids[i], {at.x + 6 + i * k_marker_step_mm, at.y + 5});
  page.text(fmt::format("{}, {} side", l.board_name, name(l.side)), {at.x + 6, at.y + 30.5},
            {4.2, Weight::bold, k_text});
  page.text(l.unit_name, {at.x + 6, at.y + 36.8},
            {3.2, Weight::regular, k_text, k_label_mm.width - 12});
  page.text(fmt::format("{}   tag {:06}", l.unit_id, l.code.number), {at.x + 6, at.y + 42.8},
            {3, Weight::regular, k_quiet});
}

// Question with what is known, or a line to write on.
double draw_field(Page& page, double y, const char* label, const std::string& value) {
  constexpr double left = k_margin_mm, answer = k_margin_mm + 52, right = 210 - k_margin_mm;
  page.text(label, {left, y}, {3.1, Weight::regular, k_quiet});
  if (!value.empty())
    return y + std::max(6.2, page.text(value, {answer, y},
                                       {3.3, Weight::regular, k_text, right - answer}) +
                                 1.6);
  page.line({{answer, y + 4.4}, {right, y + 4.4}}, k_line, 0.2);
  return y + 6.6;
}

double draw_choice(Page& page, double y, const char* label, Answer3 known) {
  page.text(label, {k_margin_mm, y}, {3.3, Weight::bold, k_text});
  double x = k_margin_mm + 102;
  for (const Answer3 a : {Answer3::yes, Answer3::no, Answer3::unknown}) {
    page.outline({x, y, 3.4, 3.4}, k_text, 0.3);
    if (a == known && a != Answer3::unknown)
      page.line({{x + 0.6, y + 1.8}, {x + 1.5, y + 2.9}, {x + 3, y + 0.5}}, k_text, 0.5);
    page.text(name(a), {x + 4.6, y - 0.2}, {3.1, Weight::regular, k_text});
    x += 22;
  }
  return y + 6.4;
}

double draw_heading(Page& page, double y, const char* text) {
  page.text(text, {k_margin_mm, y + 2}, {4.2, Weight::bold, k_text});
  return y + 9.5;
}

}  // namespace

Bytes tag_sheet_pdf(const std::vector<TagLabel>& labels) {
  require(!labels.empty() && labels.size() <= k_labels_at_most,
          "a page of tags has one to ten labels");
  Page page(k_a4_mm, "Tags");
  page.text(
      "Tags: cut out, lay one beside the board and photograph it before the pictures that belong "
      "to it.",
      {k_margin_mm, 8}, {3, Weight::regular, k_quiet});
  for (size_t i = 0; i < labels.size(); ++i)
    draw_label(page, labels[i],
               {k_margin_mm + static_cast<double>(i % 2) * (k_label_mm.width + 2),
                k_margin_mm + static_cast<double>(i / 2) * (k_label_mm.height + 3)});
  return page.pdf();
}

Bytes intake_sheet_pdf(const Unit& u, const std::string& id, const std::vector<KitItem>& kit,
                       const std::string& power) {
  Page page(k_a4_mm, "Intake sheet " + id);
  double y = k_margin_mm;
  page.text("Intake sheet", {k_margin_mm, y}, {7, Weight::bold, k_text});
  page.text(id, {k_a4_mm.width - k_margin_mm, y + 2.4},
            {3.6, Weight::regular, k_quiet, 0, Anchor::right});
  page.text(power, {k_margin_mm, y + 8}, {3.8, Weight::bold, k_text});
  y = draw_heading(page, y + 13, "Asked first");
  y = draw_choice(page, y, "Is a battery fitted?", u.battery.fitted);
  y = draw_choice(page, y, "Does it leak?", u.battery.leaking);
  y = draw_choice(page, y, "Does it keep calibration, keys or settings alive?",
                  u.battery.keeps_data);
  y = draw_choice(page, y, "Is there a picture tube?", u.picture_tube);
  y = draw_choice(page, y, "Are there mains capacitors?", u.mains_capacitors);
  y = draw_choice(page, y, "Nests or droppings inside?", u.nests);
  y = draw_choice(page, y, "Is it wet?", u.wet);
  y = draw_field(page, y, "Battery: kind, volts", u.battery.kind);
  y = draw_heading(page, y, "Entry");
  const std::pair<const char*, const std::string&> fields[] = {
      {"What it is", u.name},
      {"Entry number", u.entry_number},
      {"Received on", u.received_on},
      {"Owner", u.owner},
      {"Contact", u.owner_contact},
      {"Why it came", u.reason},
      {"Owner's requirements", u.requirements},
      {"Return agreed for", u.return_on},
      {"Condition in short", u.condition},
      {"Completeness", u.completeness},
      {"Maker, model", u.make.empty() ? u.model : u.make},
      {"Serial, revision", u.serial},
      {"Missing or loose parts", u.missing_parts},
      {"Earlier repair", u.previous_repair},
      {"Smell", u.smell},
      {"Mains voltage", u.mains_voltage},
      {"Last known to work", u.last_known_to_work},
      {"Strip reading", u.strip_reading},
      {"Place, packing", u.location}};
  for (const auto& [label, value] : fields) y = draw_field(page, y, label, value);
  y = draw_heading(page, y, "Kit (boards, cards, supply, drives, panels, cables: slot, looked at)");
  for (size_t i = 0; i < std::max<size_t>(4, std::min<size_t>(kit.size(), 6)); ++i) {
    page.outline({k_margin_mm, y, 3.4, 3.4}, k_text, 0.3);
    if (i < kit.size())
      page.text(fmt::format("{} {} {}", kit[i].what, kit[i].name, kit[i].slot),
                {k_margin_mm + 6, y - 0.3}, {3.2, Weight::regular, k_text});
    else
      page.line({{k_margin_mm + 6, y + 4}, {k_a4_mm.width - k_margin_mm, y + 4}}, k_line, 0.2);
    y += 6.2;
  }
  const double foot = k_a4_mm.height - k_margin_mm - 14;
  page.text(
      "Unplug first. A battery that may keep data stays in until the data is saved or the owner "
      "signs for its loss. Picture tubes, mains and charged capacitors: qualified persons only, by "
      "local codes.",
      {k_margin_mm, foot - 6}, {2.7, Weight::regular, k_quiet, k_a4_mm.width - 2 * k_margin_mm});
  page.text(
      "Handed in by ____________________   Received by ____________________   Date ______________",
      {k_margin_mm, foot + 6}, {3.1, Weight::regular, k_text});
  return page.pdf();
}

}  // namespace verdigrid
