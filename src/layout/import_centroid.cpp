#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

#include "base/error.h"
#include "layout/centroid_columns.h"
#include "layout/frame.h"
#include "layout/import.h"
#include "layout/number_text.h"
#include "layout/package_table.h"

namespace verdigrid {

namespace {

using C = CentroidColumn;

constexpr size_t k_header_lines = 200;  // a header further down is no header
constexpr double k_mil_extent = 1200;   // wider than this without a unit: mil, not mm
constexpr double k_most_skipped = 0.5;  // share of rows without numbers

std::string lower(std::string_view text) {
  std::string out;
  for (char c : text)
    if (!std::isspace(static_cast<unsigned char>(c)))
      out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

std::optional<Side> side_of(const std::string& text) {
  const std::string w = lower(text);
  for (std::string_view front : {"top", "t", "front", "f", "f.cu", "toplayer", "componentside",
                                 "component", "primary", "1", "toplayer(1)", "comp"})
    if (w == front) return Side::front;
  for (std::string_view back : {"bottom", "b", "bot", "back", "b.cu", "bottomlayer", "solderside",
                                "solder", "secondary", "2", "bottomside"})
    if (w == back) return Side::back;
  return std::nullopt;
}

std::optional<Side> side_of_mirror(const std::string& text) {
  const std::string w = lower(text);
  for (std::string_view no : {"no", "n", "0", "false", ""})
    if (w == no) return Side::front;
  for (std::string_view yes : {"yes", "y", "1", "true", "m"})
    if (w == yes) return Side::back;
  return std::nullopt;
}

// Lines of the text, where a quoted field may hold line breaks.
std::vector<std::string_view> records(std::string_view text) {
  std::vector<std::string_view> list;
  size_t start = 0;
  bool in_quotes = false;
  for (size_t i = 0; i <= text.size(); ++i) {
    const bool is_end = i == text.size();
    if (!is_end && text[i] == '"') in_quotes = !in_quotes;
    if (!is_end && (in_quotes || (text[i] != '\n' && text[i] != '\r'))) continue;
    list.push_back(text.substr(start, i - start));
    start = i + 1;
  }
  return list;
}

class Table {
 public:
  Table(std::string_view text, std::string_view where, const ImportOptions& options)
      : where_(where), options_(options), lines_(records(text)) {}

  Imported imported();

 private:
  [[noreturn]] void refuse(const std::string& sentence) const {
    throw Error(ErrorKind::bad_input, fmt::format("{}: {}", where_, sentence));
  }
  void find_header();
  void note_comment(std::string_view line);
  void read_row(std::string_view line, size_t number);
  std::string field(const std::vector<std::string>& row, CentroidColumn column) const;
  std::optional<double> length(const std::vector<std::string>& row, CentroidColumn column);
  void read_body(const std::vector<std::string>& row, Part& part);
  void settle_side(const std::vector<std::string>& row, Part& part);
  void settle_units();
  void settle_axis();
  void say(const std::string& sentence) { remarks_.push_back(sentence); }

  std::string where_;
  ImportOptions options_;
  std::vector<std::string_view> lines_;
  CentroidHeader header_;
  size_t first_row_ = 0;
  std::vector<Part> parts_;
  std::vector<std::string> remarks_;
  std::optional<LengthUnit> stated_unit_;  // by header or comment
  std::optional<YAxis> stated_axis_;
  size_t with_unit_ = 0, skipped_ = 0, unknown_side_ = 0, guessed_body_ = 0;
  bool has_boxes_ = false;
};

void Table::note_comment(std::string_view line) {
  const std::string w = lower(line);
  if (w.find("unit=mm") != std::string::npos || w.find("unit:mm") != std::string::npos ||
      w.find("units:mm") != std::string::npos || w.find("millimet") != std::string::npos)
    stated_unit_ = LengthUnit::mm;
  else if (w.find("unit=mil") != std::string::npos || w.find("units:mil") != std::string::npos)
    stated_unit_ = LengthUnit::mil;
  else if (w.find("unit=inch") != std::string::npos || w.find("unit:inch") != std::string::npos ||
           w.find("unit=in,") != std::string::npos || w.find("units:inch") != std::string::npos)
    stated_unit_ = LengthUnit::inch;
  if (w.find("ydown") != std::string::npos || w.find("top-left") != std::string::npos)
    stated_axis_ = YAxis::down;
}

void Table::find_header() {
  CentroidHeader best;
  for (size_t i = 0; i < std::min(lines_.size(), k_header_lines); ++i) {
    const CentroidHeader header = centroid_header(lines_[i]);
    if (header.is_complete()) {
      header_ = header;
      first_row_ = i + 1;
      if (header.unit) stated_unit_ = header.unit;
      return;
    }
    if (!lines_[i].empty()) note_comment(lines_[i]);
  }
  refuse(
      "no header line with a designator, an x and a y column was found; the first line must name "
      "the columns, for example Designator,Mid X,Mid Y,Layer,Rotation.");
}

std::string Table::field(const std::vector<std::string>& row, CentroidColumn column) const {
  const auto at = header_[column];
  return at && *at < row.size() ? row[*at] : std::string();
}

// In mm when the cell or the header has a unit, else as it stands (settle_units multiplies later).
std::optional<double> Table::length(const std::vector<std::string>& row, CentroidColumn column) {
  const auto m = measured(field(row, column));
  if (!m) return std::nullopt;
  if (m->unit) {
    if (column == C::x) ++with_unit_;
    return in_mm(m->value, *m->unit) /
           in_mm(1, options_.unit.value_or(stated_unit_.value_or(LengthUnit::mm)));
  }
  return m->value;
}

void Table::settle_side(const std::vector<std::string>& row, Part& part) {
  std::optional<Side> side = Side::front;
  if (header_[C::side])
    side = side_of(field(row, C::side));
  else if (header_[C::mirrored])
    side = side_of_mirror(field(row, C::mirrored));
  if (!side) ++unknown_side_;
  part.side = side.value_or(Side::front);
}

void Table::read_body(const std::vector<std::string>& row, Part& part) {
  const auto x0 = length(row, C::box_x0), x1 = length(row, C::box_x1), y0 = length(row, C::box_y0),
             y1 = length(row, C::box_y1);
  if (x0 && x1 && y0 && y1) {
    // A box in board directions: the body is that box turned back by whole quarter turns.
    has_boxes_ = true;
    const double w = std::abs(*x1 - *x0), h = std::abs(*y1 - *y0);
    if (w > 0 && h > 0) {
      const bool is_turned = std::lround(part.rotation_deg / 90) % 2 != 0;
      part.body = is_turned ? cv::Size2d(h, w) : cv::Size2d(w, h);
      part.centre = {(*x0 + *x1) / 2, (*y0 + *y1) / 2};
    }
    return;
  }
  const auto w = length(row, C::width), h = length(row, C::height);
  if (w && h && *w > 0 && *h > 0) part.body = {*w, *h};
}

void Table::read_row(std::string_view line, size_t number) {
  const std::vector<std::string> row = table_fields(line, header_.separator);
  Part part;
  part.designator = field(row, C::designator);
  const auto x = length(row, C::x), y = length(row, C::y);
  if (part.designator.empty() || !x || !y) {
    if (++skipped_ <= 5)
      say(fmt::format("Line {} was left out: it has no {}.", number,
                      part.designator.empty() ? "designator"
                      : !x                    ? "number in the x column"
                                              : "number in the y column"));
    return;
  }
  part.centre = {*x, *y};
  part.value = field(row, C::value);
  part.package = field(row, C::package);
  part.rating = field(row, C::rating);
  settle_side(row, part);
  if (const auto angle = measured(field(row, C::rotation)); angle && std::abs(angle->value) < 1e6)
    part.rotation_deg = turn_in_circle(angle->value);
  read_body(row, part);
  const auto kind = part_kind_named(field(row, C::kind));
  part.kind = kind ? *kind : likely_kind(part.designator, part.value, part.package);
  parts_.push_back(std::move(part));
}

// Brings every length to mm.
void Table::settle_units() {
  const char* how = "as the table says";
  LengthUnit unit = LengthUnit::mm;
  if (options_.unit) {
    unit = *options_.unit;
    how = "as you said";
  } else if (stated_unit_) {
    unit = *stated_unit_;
  } else if (with_unit_ == 0) {
    double low_x = parts_[0].centre.x, high_x = low_x, low_y = parts_[0].centre.y, high_y = low_y;
    for (const Part& part : parts_) {
      low_x = std::min(low_x, part.centre.x);
      high_x = std::max(high_x, part.centre.x);
      low_y = std::min(low_y, part.centre.y);
      high_y = std::max(high_y, part.centre.y);
    }
    if (std::max(high_x - low_x, high_y - low_y) > k_mil_extent) unit = LengthUnit::mil;
    how = "guessed from the size, since the table names no unit";
  }
  const double f = in_mm(1, unit);
  for (Part& part : parts_) {
    part.centre *= f;
    part.body = {part.body.width * f, part.body.height * f};
  }
  say(fmt::format("Lengths were taken as {}, {}.", name(unit), how));
}

// A table with boxes measured from the top left has them as the board frame does: y down. Without
// any sign, y runs up, as placement machines have it (common practice, no source).
void Table::settle_axis() {
  const char* sentence =
      "y was taken as pointing up, as is usual; if the picture is upside down, "
      "import it again with y down.";
  if (options_.y_axis) {
    stated_axis_ = options_.y_axis;
    sentence = "y was taken as you said.";
  } else if (stated_axis_) {
    sentence = "y was taken as pointing down, as the table says.";
  } else if (has_boxes_) {
    stated_axis_ = YAxis::down;
    sentence = "y was taken as pointing down, since the table gives boxes from the top left.";
  }
  say(sentence);
}

Imported Table::imported() {
  find_header();
  for (size_t i = first_row_; i < lines_.size(); ++i) {
    const size_t start = lines_[i].find_first_not_of(" \t");
    if (start == std::string_view::npos) continue;
    if (lines_[i][start] == '#') {
      if (parts_.empty()) note_comment(lines_[i]);
      continue;
    }
    read_row(lines_[i], i + 1);
  }
  const size_t rows = parts_.size() + skipped_;
  if (parts_.empty() || static_cast<double>(skipped_) > k_most_skipped * static_cast<double>(rows))
    refuse(
        fmt::format("{} of {} rows hold no designator with two numbers; check the separator and "
                    "the columns.",
                    skipped_, rows));
  if (skipped_ > 5) say(fmt::format("{} more lines were left out.", skipped_ - 5));
  settle_units();
  settle_axis();
  for (Part& part : parts_)
    if (!part.has_body())
      if (const Package* package = package_like(part.package)) {
        part.body = package->body_mm;
        part.shape = package->shape;
        ++guessed_body_;
      }
  if (guessed_body_ > 0)
    say(fmt::format("{} parts have the nominal body of their package.", guessed_body_));
  if (unknown_side_ > 0)
    say(fmt::format("{} parts name no side that is known and were put on the front.",
                    unknown_side_));
  Imported out;
  out.format = LayoutFormat::centroid;
  out.y_axis = stated_axis_.value_or(YAxis::up);
  out.layout.parts = std::move(parts_);
  out.layout.source = {LayoutOrigin::centroid, where_, std::move(remarks_)};
  return out;
}

}  // namespace

const char* name(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::mm:
      return "mm";
    case LengthUnit::mil:
      return "mil";
    case LengthUnit::inch:
      return "inch";
  }
  return "";
}

Imported imported_centroid(std::string_view text, std::string_view where,
                           const ImportOptions& options) {
  return Table(text, where, options).imported();
}

}  // namespace verdigrid
