#include "measure/summary.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace verdigrid {

namespace {

constexpr size_t k_worst_squares = 5;

std::string photo_line(const Survey& s) {
  std::string line = fmt::format("Photo: {}, {}x{} px, {}", s.photo.name, s.photo_size_px.width,
                                 s.photo_size_px.height, name(s.rectification.side));
  if (s.rectification.turn_deg != 0) line += fmt::format(", turned {}°", s.rectification.turn_deg);
  return line;
}

// The verdict, and the sentence of the worst item.
std::string check_line(const Survey& s) {
  std::string line = fmt::format("Photo check: {}", name(s.check.verdict));
  for (const CheckItem& item : s.check.items)
    if (item.verdict == s.check.verdict && item.verdict != Verdict::good &&
        item.verdict != Verdict::unknown && item.id != "tilt")
      return line + ". " + item.sentence;
  return line;
}

const char* way_words(ScaleWay way) {
  switch (way) {
    case ScaleWay::board_size_outline:
      return "measured board size on the outline that was found";
    case ScaleWay::board_size_corners:
      return "measured board size on the given corners";
    case ScaleWay::scale_card:
      return "scale card in the photo";
    case ScaleWay::two_points:
      return "two points and their distance";
    case ScaleWay::layout:
      return "layout of the board type, placed by its reference photo";
    case ScaleWay::none:
      break;
  }
  return "none";
}

std::string scale_line(const Survey& s) {
  const Rectification& r = s.rectification;
  if (!r.px_per_mm)
    return "Scale: none, so areas are in percent and px only. Give --board-mm WxH, a scale card "
           "or two points and their distance to get mm²";
  std::string line =
      fmt::format("Scale: {:.2f} px per mm (95 %: {:.2f} to {:.2f}), by {}", r.px_per_mm->value,
                  r.px_per_mm->low, r.px_per_mm->high, way_words(r.way));
  if (r.tilt_deg) line += fmt::format("; tilt {:.0f}°", *r.tilt_deg);
  return line;
}

std::string board_line(const Survey& s) {
  const Grid& g = s.zones.grid;
  if (s.rectification.outline_is_frame || s.rectification.outline_board.empty())
    return fmt::format(
        "Board: no outline known, so every share is % of the photo; grid of {}x{} "
        "squares over the frame",
        g.columns, g.rows);
  return fmt::format("Board: {:.1f} x {:.1f} {}, grid A1 to {} in squares of {:.1f} x {:.1f} {}",
                     g.frame.width, g.frame.height, s.zones.has_mm ? "mm" : "px",
                     square_name(g.rows - 1, g.columns - 1), g.square_width(), g.square_height(),
                     s.zones.has_mm ? "mm" : "px");
}

// At most so many significant digits, never as a power of ten: 0.058, 3.6, 41, 3600.
std::string digits(double value, int significant) {
  if (std::abs(value) >= std::pow(10.0, significant - 1)) return fmt::format("{:.0f}", value);
  return fmt::format("{:.{}g}", value, significant);
}

std::string share(const Interval& percent) {
  return fmt::format("{} % ({} to {})", digits(percent.value, 2), digits(percent.low, 2),
                     digits(percent.high, 2));
}

std::string amount_words(const Amount& a, bool has_mm) {
  if (!has_mm) return fmt::format("{} px, {}", a.px, share(a.percent));
  return fmt::format("{} mm² ({} to {}), {} %", digits(a.area.value, 3), digits(a.area.low, 3),
                     digits(a.area.high, 3), digits(a.percent.value, 2));
}

std::string found_line(const Survey& s) {
  const size_t n = s.findings.findings.size();
  if (n == 0)
    return fmt::format(
        "Found: nothing found in what this photo shows; {:.0f} % unseen; not a "
        "clearance",
        std::ceil(s.zones.total.unseen.total_percent));  // what is unseen is never rounded away
  return fmt::format("Found: {} finding{}, together {}; severity: {}", n, n == 1 ? "" : "s",
                     amount_words(s.zones.total.affected, s.zones.has_mm),
                     severity_words(s.zones.total));
}

std::string class_line(const Survey& s) {
  std::string line;
  for (const Residue r : k_residues) {
    const auto count = std::count_if(s.findings.findings.begin(), s.findings.findings.end(),
                                     [&](const Finding& f) { return f.residue == r; });
    if (count == 0) continue;
    const Amount& amount = s.zones.total.by_class[static_cast<size_t>(r)];
    // A finding can be unsure as a whole while each of its pixels looks like one of the classes.
    line += fmt::format("{}{} {}{}", line.empty() ? "By class: " : "; ", count, name(r),
                        amount.px > 0 ? ": " + amount_words(amount, s.zones.has_mm)
                                      : " (area under the other classes)");
  }
  return line;
}

std::string squares_line(const Survey& s) {
  std::vector<ZoneRow> rows;
  for (const ZoneRow& row : s.zones.squares)
    if (row.affected.px > 0) rows.push_back(row);
  std::stable_sort(rows.begin(), rows.end(), [](const ZoneRow& a, const ZoneRow& b) {
    if (a.severity != b.severity) return a.severity > b.severity;
    return a.affected.area.value > b.affected.area.value;
  });
  std::string line;
  for (size_t i = 0; i < std::min(rows.size(), k_worst_squares); ++i)
    line += fmt::format("{}{} {} ({})", i == 0 ? "Worst squares: " : ", ", rows[i].name,
                        s.zones.has_mm ? digits(rows[i].affected.area.value, 3) + " mm²"
                                       : digits(rows[i].affected.percent.value, 2) + " %",
                        name(rows[i].severity));
  return line;
}

// What is unseen is never rounded away, here and below.
std::string under_parts_words(const Survey& s) {
  const double percent = s.zones.total.unseen.under_parts_percent;
  if (s.layout) return fmt::format(", under parts {:.0f} %", std::ceil(percent));
  const size_t n = s.part_looks.bodies_px.size();
  if (n == 0) return "";
  return fmt::format(", under {} dark part{} {:.0f} %", n, n == 1 ? "" : "s", std::ceil(percent));
}

std::string unseen_line(const Survey& s) {
  const Unseen& u = s.zones.total.unseen;
  const char* beside = s.layout                         ? ""
                       : s.part_looks.bodies_px.empty() ? "under parts and "
                                                        : "under other parts and ";
  return fmt::format(
      "Unseen in this photo: {:.0f} % (glare {:.0f} %, blur {:.0f} %, outside the photo {:.0f} "
      "%{}), besides what lies {}on the other side",
      std::ceil(u.total_percent), std::ceil(u.glare_percent), std::ceil(u.blur_percent),
      std::ceil(u.outside_photo_percent), under_parts_words(s), beside);
}

}  // namespace

std::vector<std::string> summary_lines(const Survey& s) {
  std::vector<std::string> lines{photo_line(s), check_line(s), scale_line(s), board_line(s),
                                 found_line(s)};
  if (!s.nothing_found()) {
    lines.push_back(class_line(s));
    lines.push_back(squares_line(s));
    lines.push_back(fmt::format("Places worth a look: {}, worst first", s.findings.places.size()));
  }
  if (s.review)
    lines.push_back(fmt::format("Review taken in: {} answer{} and {} change{} by hand",
                                s.review->answers, s.review->answers == 1 ? "" : "s",
                                s.review->edits, s.review->edits == 1 ? "" : "s"));
  lines.push_back(unseen_line(s));
  lines.push_back(
      "These are likely residues by their look, which never proves their chemistry; not a "
      "clearance");
  return lines;
}

}  // namespace verdigrid
