#include "report/bench_sheet.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "base/error.h"
#include "report/figures.h"
#include "report/page.h"
#include "report/place_picture.h"
#include "report/places_sheet.h"

namespace verdigrid {

namespace {

const cv::Size2d k_a4_mm{210, 297};  // ISO 216
constexpr double k_margin_mm = 14, k_gap_mm = 5, k_caption_mm = 12.5;
constexpr int k_columns = 4, k_rows = 3;
constexpr int k_crop_px = 640;
constexpr Ink k_text{0.1, 0.1, 0.1, 1}, k_quiet{0.36, 0.36, 0.36, 1}, k_line{0.55, 0.55, 0.55, 1};

double cell_mm() {
  return (k_a4_mm.width - 2 * k_margin_mm - (k_columns - 1) * k_gap_mm) / k_columns;
}

void draw_box(Page& page, cv::Point2d at, const char* label) {
  page.outline({at.x, at.y, 3, 3}, k_text, 0.3);
  page.text(label, {at.x + 4, at.y - 0.35}, {2.7, Weight::regular, k_text});
}

void draw_place(Page& page, const Photo& photo, const Survey& survey, const Place& place,
                cv::Point2d at) {
  const double side = cell_mm();
  page.picture(place_picture(photo, survey, place, k_crop_px), {at.x, at.y, side, side});
  page.outline({at.x, at.y, side, side}, k_line, 0.2);
  const Finding* f = main_finding(survey, place);
  page.text(fmt::format("{}  {}", place.rank, place_square(survey, place)),
            {at.x, at.y + side + 1.2}, {3.8, Weight::bold, k_text});
  if (f)
    page.text(fmt::format("{} {}", letter(f->residue), name(f->residue)),
              {at.x + side, at.y + side + 1.7}, {2.7, Weight::regular, k_quiet, 0, Anchor::right});
  const double y = at.y + side + 7.3;
  draw_box(page, {at.x, y}, "looked at");
  draw_box(page, {at.x + side / 2 + 1, y}, "done");
}

double draw_head(Page& page, const Survey& survey, const BenchFacts& facts) {
  const double width = k_a4_mm.width - 2 * k_margin_mm;
  double y = k_margin_mm;
  y += page.text("Bench sheet", {k_margin_mm, y}, {7, Weight::bold, k_text}) + 1;
  y += page.text(facts.power, {k_margin_mm, y}, {4, Weight::bold, k_text, width}) + 1;
  y += page.text(fmt::format("{}, {} side. {}.", survey.photo.name, name(survey.rectification.side),
                             scale_figure(survey.rectification)),
                 {k_margin_mm, y}, {3.1, Weight::regular, k_quiet, width}) +
       2;
  const std::string found =
      survey.nothing_found()
          ? nothing_found_sentence(survey)
          : fmt::format(
                "{} finding{}, {} affected; first word: {}. {} of this photo is unseen; not a "
                "clearance.",
                survey.findings.findings.size(), survey.findings.findings.size() == 1 ? "" : "s",
                amount_figure(survey.zones.total.affected, survey.zones.has_mm),
                name(survey.zones.total.severity),
                percent_figure(survey.zones.total.unseen.total_percent));
  y += page.text(found, {k_margin_mm, y}, {3.6, Weight::bold, k_text, width}) + 2;
  y += page.text(
      fmt::format("Battery still in: {}.   Not looked at yet: {}.", facts.battery,
                  facts.unseen.empty() ? "nothing is noted"
                                       : fmt::format("{}", fmt::join(facts.unseen, ", "))),
      {k_margin_mm, y}, {3.4, Weight::regular, k_text, width});
  return y + 5;
}

void draw_foot(Page& page) {
  const double y = k_a4_mm.height - k_margin_mm - 22;
  page.line({{k_margin_mm, y}, {k_a4_mm.width - k_margin_mm, y}}, k_line, 0.2);
  page.text(
      "Likely residues by their look, which never proves their chemistry: wet a pH strip before "
      "any "
      "cleaner is chosen. Unplug first; charged capacitors, picture tubes and mains parts only by "
      "qualified persons and by local codes. Gloves and eye shield; pick loose salt up dry, no "
      "blowing; "
      "no water on a fresh lithium leak. Old solder holds lead: wash your hands.",
      {k_margin_mm, y + 2}, {2.8, Weight::regular, k_quiet, k_a4_mm.width - 2 * k_margin_mm});
  page.text("Name ______________________   Date ______________", {k_margin_mm, y + 17},
            {3.2, Weight::regular, k_text});
}

}  // namespace

Bytes bench_sheet_pdf(const Photo& photo, const Survey& survey, const BenchFacts& facts) {
  require(photo.size_px() == survey.photo_size_px, "a bench sheet is made from its survey's photo");
  Page page(k_a4_mm, "Bench sheet: " + survey.photo.name);
  const double top = draw_head(page, survey, facts);
  const auto& places = survey.findings.places;
  for (size_t i = 0; i < std::min<size_t>(places.size(), k_columns * k_rows); ++i) {
    const auto column = static_cast<double>(i % k_columns),
               row = static_cast<double>(i / k_columns);
    draw_place(page, photo, survey, places[i],
               {k_margin_mm + column * (cell_mm() + k_gap_mm),
                top + row * (cell_mm() + k_caption_mm + k_gap_mm)});
  }
  draw_foot(page);
  return page.pdf();
}

}  // namespace verdigrid
