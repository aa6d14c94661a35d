#include "report/card.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/colour.h"
#include "base/error.h"
#include "report/page.h"

namespace verdigrid {

namespace {

constexpr Ink k_black{0, 0, 0, 1}, k_white{1, 1, 1, 1}, k_text{0.12, 0.12, 0.12, 1},
    k_quiet{0.38, 0.38, 0.38, 1}, k_hair{0.55, 0.55, 0.55, 1};

Ink ink_of(const Lab& lab) {
  const Rgb c = srgb_from_lab(lab);
  return {std::clamp(c.r, 0.0, 1.0), std::clamp(c.g, 0.0, 1.0), std::clamp(c.b, 0.0, 1.0), 1};
}

void draw_marker(Page& page, const CardMarker& marker, cv::Point2d at) {
  const cv::Rect2d square = marker.square_mm + at;
  page.fill(square, k_black);  // one piece, so that its edge is one edge; white cells lie on it
  const std::vector<bool> black = marker_cells(marker.id);
  const double cell = square.width / k_marker_cells;
  for (int y = 0; y < k_marker_cells; ++y)
    for (int x = 0; x < k_marker_cells; ++x)
      if (!black[static_cast<size_t>(y * k_marker_cells + x)])
        page.fill({square.x + x * cell, square.y + y * cell, cell, cell}, k_white);
}

void draw_bar(Page& page, const CardLayout& card, cv::Point2d at) {
  const cv::Point2d start = card.bar_start_mm + at;
  constexpr double k_block_mm = 10;
  const double row = card.bar_height_mm / 2;
  const int blocks = static_cast<int>(card.bar_mm / k_block_mm);
  for (int i = 0; i < blocks; ++i)  // two rows in opposite phase: both ends are black somewhere
    page.fill({start.x + i * k_block_mm, start.y + (i % 2 ? row : 0), k_block_mm, row}, k_black);
  const double under = start.y + card.bar_height_mm;
  for (int mm = 0; mm <= static_cast<int>(card.bar_mm); ++mm) {
    const double x = start.x + mm, length = mm % 10 == 0 ? 3 : mm % 5 == 0 ? 2.2 : 1.4;
    page.line({{x, under}, {x, under + length}}, k_black, mm % 10 == 0 ? 0.2 : 0.12);
    if (mm % 10 == 0)
      page.text(fmt::format("{}", mm), {x, under + 3.3},
                {2.4, Weight::regular, k_text, 0, Anchor::centre});
  }
}

void draw_patches(Page& page, const CardLayout& card, cv::Point2d at) {
  // Greys in even steps of lightness, then hues 60 degrees apart that sRGB and printers can show.
  constexpr std::array<double, 6> k_lightness{95, 80, 65, 50, 35, 20};
  constexpr std::array<Lab, 6> k_hues{Lab{48, 60, 40},   Lab{82, 5, 75},   Lab{55, -45, 35},
                                      Lab{65, -28, -25}, Lab{40, 15, -50}, Lab{52, 60, -20}};
  const double width = card.bar_mm / 12, height = 12;
  const cv::Point2d start = at + cv::Point2d(card.bar_start_mm.x, 38.5);
  for (size_t i = 0; i < 12; ++i) {
    const Ink ink = i < 6 ? ink_of({k_lightness[i], 0, 0}) : ink_of(k_hues[i - 6]);
    page.fill({start.x + static_cast<double>(i) * width, start.y, width, height}, ink);
  }
  page.outline({start.x, start.y, card.bar_mm, height}, k_hair, 0.15);
  page.text(
      "These patches compare photos taken with this card.\nPrinted at home they are no colour "
      "reference.",
      {start.x, start.y + height + 1.6}, {2.3, Weight::regular, k_quiet, card.bar_mm});
}

void draw_card(Page& page, cv::Point2d at) {
  const CardLayout card = card_layout();
  const cv::Rect2d edge(at.x, at.y, card.size_mm.width, card.size_mm.height);
  page.dashed({edge.tl(), {edge.br().x, edge.y}, edge.br(), {edge.x, edge.br().y}, edge.tl()},
              k_hair, 0.2, 2);
  for (const CardMarker& marker : card.markers) draw_marker(page, marker, at);
  const double middle = at.x + card.size_mm.width / 2;
  page.text("SCALE CARD", {at.x + card.bar_start_mm.x, at.y + 7.2}, {4.4, Weight::bold, k_text});
  page.text("bar 100 mm · measured ________ mm", {middle + card.bar_mm / 2, at.y + 8.4},
            {2.9, Weight::regular, k_text, 0, Anchor::right});
  page.text("millimetres", {at.x + card.bar_start_mm.x, at.y + 15.8},
            {2.4, Weight::regular, k_quiet});
  draw_bar(page, card, at);
  draw_patches(page, card, at);
}

// Side view: the card at the height of the board’s surface, and below it.
void draw_height_figure(Page& page, cv::Point2d at) {
  const Ink board{0.16, 0.42, 0.30, 1}, block{0.80, 0.80, 0.80, 1};
  const auto scene = [&](cv::Point2d p, double card_drop, const char* below) {
    page.line({{p.x, p.y + 16}, {p.x + 74, p.y + 16}}, k_text, 0.35);
    for (const double leg : {4.0, 40.0}) page.fill({p.x + leg, p.y + 8, 3, 8}, block);
    page.fill({p.x + 1, p.y + 6.4, 46, 1.6}, board);
    for (const double part : {8.0, 20.0, 33.0}) page.fill({p.x + part, p.y + 3.4, 7, 3}, k_quiet);
    const double card_y = p.y + 6.4 + card_drop;
    if (card_drop < 9) page.fill({p.x + 56, card_y + 0.8, 13, p.y + 16 - card_y - 0.8}, block);
    page.fill({p.x + 52, card_y, 21, 0.8}, k_black);
    page.text(below, {p.x + 37, p.y + 17.6}, {3.3, Weight::regular, k_text, 0, Anchor::centre});
  };
  scene(at, 0, "best: card level with the board’s surface");
  scene(at + cv::Point2d(94, 0), 8.8, "else: measure h and say it");
  const double top = at.y + 6.4, low = at.y + 15.2, x = at.x + 94 + 49.6;
  page.line({{x, top}, {x, low}}, k_text, 0.25);
  page.line({{x - 1, top + 1.6}, {x, top}, {x + 1, top + 1.6}}, k_text, 0.25);
  page.line({{x - 1, low - 1.6}, {x, low}, {x + 1, low - 1.6}}, k_text, 0.25);
  page.dashed({{x - 2, top}, {x + 22, top}}, k_hair, 0.2, 1);
  page.text("h", {x + 1.4, at.y + 8.6}, {3, Weight::bold, k_text});
}

double step(Page& page, int number, const char* head, const std::string& body, cv::Point2d at,
            double width) {
  page.text(fmt::format("{}", number), {at.x, at.y - 0.6}, {6.4, Weight::bold, k_hair});
  const double left = at.x + 11;
  const double head_height = page.text(head, {left, at.y}, {4.1, Weight::bold, k_text, width - 11});
  const double body_height =
      page.text(body, {left, at.y + head_height + 0.8}, {3.7, Weight::regular, k_text, width - 11});
  return head_height + body_height + 6.5;
}

}  // namespace

const char* name(Paper paper) { return paper == Paper::a4 ? "a4" : "letter"; }

cv::Size2d paper_size_mm(Paper paper) {
  return paper == Paper::a4 ? cv::Size2d(210, 297) : cv::Size2d(215.9, 279.4);
}

cv::Point2d card_place_mm(Paper paper) {
  constexpr double k_top_mm = 41;
  return {(paper_size_mm(paper).width - card_layout().size_mm.width) / 2, k_top_mm};
}

Bytes card_pdf(Paper paper) {
  Page page(paper_size_mm(paper), "Scale card");
  const cv::Point2d card = card_place_mm(paper);
  const double left = card.x, width = card_layout().size_mm.width;
  page.text("Scale card for board photos", {left, 15}, {7, Weight::bold, k_text});
  page.text("Print at 100 % (“actual size”), not “fit to page”. Cut along the dashed line.",
            {left, 26.5}, {3.8, Weight::regular, k_text});
  page.line({{left, 35.5}, {left + width, 35.5}}, k_hair, 0.25);
  draw_card(page, card);

  double y = card.y + card_layout().size_mm.height + 11;
  y +=
      step(page, 1, "Measure the bar",
           "Lay a steel rule along the bar and write its length on the card. A print at 97 % makes "
           "every area 6 % wrong. When it is not 100.0 mm, give the length with the photo:\n"
           "--card-bar-mm 98.6",
           {left, y}, width);
  y += step(page, 2, "Make it flat",
            "Glue the card to stiff board. It must not curl or shine; print on matt paper.",
            {left, y}, width);
  y += step(
      page, 3, "Lay it beside the board, all four markers in view",
      "Level with the board’s surface, near its middle, not on its parts. Where that cannot be, "
      "say how much higher the board’s surface lies than the card: --card-height-mm 10. Ten "
      "millimetres at 400 mm camera distance are 5 % of area.",
      {left, y}, width);
  draw_height_figure(page, {left + 11, y});
  y += 28;
  step(page, 4, "Better than any card",
       "A board edge that was measured: --board-mm 200x150 ranks above the card and needs no "
       "printing.",
       {left, y}, width);
  const CardLayout layout = card_layout();
  page.text(
      fmt::format("Card {:g} × {:g} mm, bar {:g} mm, ArUco markers 4x4 number 0 to 3 of {:g} mm, "
                  "on {} paper.",
                  layout.size_mm.width, layout.size_mm.height, layout.bar_mm, layout.marker_mm,
                  paper == Paper::a4 ? "A4" : "US letter"),
      {left, paper_size_mm(paper).height - 16}, {2.8, Weight::regular, k_quiet});
  return page.pdf();
}

}  // namespace verdigrid
