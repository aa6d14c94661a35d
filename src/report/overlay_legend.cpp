#include "report/overlay_legend.h"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <string>
#include <vector>

#include "report/figures.h"
#include "report/signs.h"

namespace verdigrid {

namespace {

constexpr Ink k_text{0.1, 0.1, 0.1, 1};
constexpr Ink k_quiet{0.35, 0.35, 0.35, 1};
constexpr Ink k_rule{0.8, 0.8, 0.8, 1};
constexpr double k_margin_em = 2.2;
constexpr double k_row_em = 2.1;
constexpr double k_foot_em = 4.4;

// One line of the legend: a sign, its name, what it means, and its figure.
struct Entry {
  std::function<void(Canvas&, const cv::Rect2d&)> draw_sign;  // in a box 5.4 x 1.5 em
  std::string name, meaning, figure;
};

int finding_count(const Survey& survey, Residue residue) {
  return static_cast<int>(
      std::count_if(survey.findings.findings.begin(), survey.findings.findings.end(),
                    [residue](const Finding& f) { return f.residue == residue; }));
}

std::string counted(int n) { return n == 1 ? "1 finding" : fmt::format("{} findings", n); }

// A finding can be unsure as a whole while each of its pixels looks like one of the classes.
std::string residue_figure(const Survey& survey, Residue residue) {
  const Amount& amount = survey.zones.total.by_class[static_cast<size_t>(residue)];
  const std::string count = counted(finding_count(survey, residue));
  if (amount.px == 0) return count + ", area under the other classes";
  return fmt::format("{}, {} of the {}", count, amount_figure(amount, survey.zones.has_mm),
                     survey.rectification.outline_is_frame ? "photo" : "board");
}

Entry residue_entry(const Survey& survey, Residue residue, double em) {
  return {[residue, em](Canvas& canvas, const cv::Rect2d& box) {
            draw_sample(canvas, residue, {box.x, box.y, 3.4 * em, box.height}, em);
            draw_letter(canvas, residue, {box.x + 4.6 * em, box.y + box.height / 2}, em);
          },
          std::string(name(residue)), std::string(description(residue)),
          residue_figure(survey, residue)};
}

Entry places_entry(const Survey& survey, double em) {
  return {[em](Canvas& canvas, const cv::Rect2d& box) {
            canvas.fill(cv::Rect2d(box.x, box.y, 3.4 * em, box.height), {0.36, 0.40, 0.38, 1});
            draw_brackets(canvas,
                          {box.x + 0.5 * em, box.y + 0.3 * em, 2.4 * em, box.height - 0.6 * em},
                          0.8 * em);
            draw_rank(canvas, 1, {box.x + 4.6 * em, box.y + box.height / 2}, 0.85 * em);
          },
          "place", "worth a look, 1 is the worst; the crops are in places.jpg",
          std::to_string(survey.findings.places.size())};
}

Entry unseen_entry(const Survey& survey, double em) {
  return {[em](Canvas& canvas, const cv::Rect2d& box) {
            const cv::Rect2d sample(box.x, box.y, 3.4 * em, box.height);
            canvas.fill(sample, {0.36, 0.40, 0.38, 1});
            canvas.fill(sample, k_unseen_veil);
            canvas.hatch(sample, Hatching::pluses, k_unseen_ink, 0.9 * em);
          },
          "unseen", "glare, blur or outside the frame: this photo says nothing there",
          percent_figure(survey.zones.total.unseen.total_percent)};
}

std::vector<Entry> entries_of(const Survey& survey, double em) {
  std::vector<Entry> entries;
  for (const Residue residue : k_residues)
    if (finding_count(survey, residue) > 0) entries.push_back(residue_entry(survey, residue, em));
  if (!survey.findings.places.empty()) entries.push_back(places_entry(survey, em));
  if (survey.zones.total.unseen.total_percent > 0) entries.push_back(unseen_entry(survey, em));
  return entries;
}

void draw_entry(Canvas& canvas, const Entry& entry, double top, double em) {
  const double left = k_margin_em * em, right = canvas.size_px().width - left;
  entry.draw_sign(canvas, {left, top + 0.3 * em, 5.4 * em, 1.5 * em});
  const double text_top = top + 0.42 * em;
  const TextStyle bold{em, Weight::bold, k_text}, quiet{em, Weight::regular, k_quiet};
  canvas.text(entry.name, {left + 6.4 * em, text_top}, bold);
  const double figure_width = canvas.text_size(entry.figure, bold).width;
  canvas.text(entry.figure, {right, text_top}, bold, Anchor::right);
  TextStyle meaning = quiet;
  meaning.width_px = right - figure_width - 2 * em - (left + 16.5 * em);
  if (meaning.width_px > 10 * em) canvas.text(entry.meaning, {left + 16.5 * em, text_top}, meaning);
}

}  // namespace

void draw_overlay_heading(Canvas& canvas, const Survey& survey, double em) {
  const double left = k_margin_em * em, width = canvas.size_px().width - 2 * left;
  TextStyle title{1.35 * em, Weight::bold, k_text, width};
  canvas.text(survey.photo.name, {left, 0.5 * em}, title);
  TextStyle line{em, Weight::regular, k_quiet, width};
  canvas.text(
      fmt::format("{} side · {} · {} · verdigrid {}", name(survey.rectification.side),
                  scale_figure(survey.rectification), survey.detector_id, survey.program_version),
      {left, 2.4 * em}, line);
}

double overlay_legend_height(const Survey& survey, double, double em) {
  const double rows = std::max<double>(1, static_cast<double>(entries_of(survey, em).size()));
  return (rows * k_row_em + (survey.nothing_found() ? k_row_em : 0) + k_foot_em) * em;
}

void draw_overlay_legend(Canvas& canvas, const Survey& survey, double top, double shown_scale,
                         double em) {
  const double left = k_margin_em * em, width = canvas.size_px().width - 2 * left;
  double y = top;
  if (survey.nothing_found()) {
    canvas.text(nothing_found_sentence(survey), {left, y + 0.4 * em},
                {1.1 * em, Weight::bold, k_text, width});
    y += k_row_em * em;
  }
  for (const Entry& entry : entries_of(survey, em)) {
    draw_entry(canvas, entry, y, em);
    y += k_row_em * em;
  }
  y += 0.6 * em;
  canvas.line({{left, y}, {left + width, y}}, k_rule, 1);
  double text_left = left;
  if (survey.rectification.px_per_mm) {
    draw_scale_bar(canvas, survey.rectification.px_per_mm->value * shown_scale, 0.2 * width,
                   {left, y + 2.6 * em}, em);
    text_left += 0.2 * width + 2 * em;
  }
  TextStyle foot{0.92 * em, Weight::regular, k_quiet, left + width - text_left, 2};
  std::string words =
      "Likely residue, flagged by colour and texture. Looks never prove what a residue is made of; "
      "what is not flagged is not cleared.";
  if (survey.rectification.px_per_mm) words += " Scale bar and areas hold on the board's surface.";
  canvas.text(words, {text_left, y + 0.7 * em}, foot);
}

void draw_brackets(Canvas& canvas, const cv::Rect2d& box, double em) {
  const double arm = std::min({1.1 * em, box.width / 3, box.height / 3});
  const double l = box.x, t = box.y, r = box.x + box.width, u = box.y + box.height;
  const std::vector<Ring> corners{{{l, t + arm}, {l, t}, {l + arm, t}},
                                  {{r - arm, t}, {r, t}, {r, t + arm}},
                                  {{r, u - arm}, {r, u}, {r - arm, u}},
                                  {{l + arm, u}, {l, u}, {l, u - arm}}};
  const double width = std::max(1.5, 0.14 * em);
  for (const Ring& corner : corners) canvas.line(corner, {0.08, 0.08, 0.08, 0.9}, 2.2 * width);
  for (const Ring& corner : corners) canvas.line(corner, {1, 1, 1, 1}, width);
}

}  // namespace verdigrid
