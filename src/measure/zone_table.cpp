#include "measure/zone_table.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "layout/layout.h"
#include "measure/label_sums.h"
#include "measure/layout_regions.h"
#include "measure/photo_outline.h"
#include "measure/zone_row.h"

namespace verdigrid {

namespace {

void check_sizes(const MeasureInput& input, const Rectification& r) {
  require(input.labels.type() == CV_8UC1 && !input.labels.empty(), "labels are 8-bit ids");
  require(input.finding_of_px.empty() || (input.finding_of_px.type() == CV_16UC1 &&
                                          input.finding_of_px.size() == input.labels.size()),
          "the findings picture has the labels' size");
  if (input.labels.size() == r.photo_size_px) return;
  throw Error(ErrorKind::bad_input,
              fmt::format("The rectification was made for a photo of {}x{} px, these labels have "
                          "{}x{} px. Straighten and scale this photo anew.",
                          r.photo_size_px.width, r.photo_size_px.height, input.labels.cols,
                          input.labels.rows));
}

LabelSums all_of(const std::vector<LabelSums>& sums) {
  LabelSums all;
  for (const LabelSums& s : sums) all.add(s);
  return all;
}

long pixels(const LabelSums& sums) {
  long n = 0;
  for (const long px : sums.px) n += px;
  return n;
}

cv::Point2d middle(const cv::Rect2d& box) { return (box.tl() + box.br()) / 2; }

bool has_label(const cv::Mat& labels, const PolygonRows& rows) {
  for (int y = rows.first_row(); y < rows.end_row(); ++y) {
    const auto* row = labels.ptr<std::uint8_t>(y);
    for (const PixelSpan& s : rows.row(y))
      if (std::any_of(row + s.first, row + s.end, [](std::uint8_t c) { return c != 0; }))
        return true;
  }
  return false;
}

// One measurement: what its steps share.
class Measuring {
 public:
  Measuring(const MeasureInput& input, const Rectification& r, const Layout& layout,
            const MeasureOptions& options)
      : input_(input),
        r_(r),
        layout_(layout),
        options_(options),
        shapes_(r),
        outline_(measured_outline(r)),
        lattice_(r),
        outline_rows_(shapes_.photo_polygon(outline_), r.photo_size_px),
        scale_(r),
        square_terms_{options, options.label_error.square, r.has_scale()} {
    table_.has_mm = r.has_scale();
    table_.grid = grid_over(bounding_box(outline_.outer), table_.has_mm);
    if (has_layout()) regions_ = layout_regions(layout, r, shapes_, outline_rows_, options.reach);
    hidden_ = hidden_with_parts(input.hidden, input.hidden_scale, r.photo_size_px, unpeeked());
  }

  ZoneTable table(const Work& work) {
    const std::vector<PolygonRows> regions = all_regions();
    const SumsResult sums = label_sums(
        {input_.labels, input_.finding_of_px, lattice_, outline_rows_, table_.grid, regions}, work);
    add_squares_and_total(sums.squares);
    for (size_t i = 0; i < regions_.zones.size(); ++i) add_zone(regions_.zones[i], sums.regions[i]);
    for (size_t i = 0; i < regions_.parts.size(); ++i) {
      const size_t at = regions_.zones.size() + 2 * i;
      add_part(regions_.parts[i], sums.regions[at], sums.regions[at + 1]);
    }
    return std::move(table_);
  }

 private:
  bool has_layout() const { return !layout_.zones.empty() || !layout_.parts.empty(); }
  bool is_peeked(const Part& part) const {
    return std::find(options_.peeked.begin(), options_.peeked.end(), part.designator) !=
           options_.peeked.end();
  }
  bool hides(const PartRegion& region) const {
    const Part& part = layout_.parts[region.part];
    return !region.body.empty() && part.kind != PartKind::hole && part.kind != PartKind::mark &&
           !is_peeked(part);
  }
  std::vector<PolygonRows> unpeeked() const;
  std::vector<PolygonRows> all_regions() const;
  void add_squares_and_total(const std::vector<LabelSums>& sums);
  void add_zone(const ZoneRegion& region, const LabelSums& sums);
  void add_part(const PartRegion& region, const LabelSums& touch, const LabelSums& near);
  void note_reached(const Part& part);

  const MeasureInput& input_;
  const Rectification& r_;
  const Layout& layout_;
  const MeasureOptions& options_;
  PhotoShapes shapes_;
  Polygon outline_;
  PixelLattice lattice_;
  PolygonRows outline_rows_;
  ScaleError scale_;
  RowTerms square_terms_;
  LayoutRegions regions_;
  HiddenPicture hidden_;
  ZoneTable table_;
};

std::vector<PolygonRows> Measuring::unpeeked() const {
  std::vector<PolygonRows> bodies;
  for (const PartRegion& p : regions_.parts)
    if (hides(p)) bodies.push_back(p.body);
  for (const Ring& ring : input_.hiding_px)
    bodies.emplace_back(Polygon{ring, {}}, r_.photo_size_px);
  return bodies;
}

// Zones, then touch and near of each part.
std::vector<PolygonRows> Measuring::all_regions() const {
  std::vector<PolygonRows> all;
  for (const ZoneRegion& z : regions_.zones) all.push_back(z.rows);
  for (const PartRegion& p : regions_.parts) {
    all.push_back(p.touch);
    all.push_back(p.near);
  }
  return all;
}

void Measuring::add_squares_and_total(const std::vector<LabelSums>& sums) {
  const Polygon in_photo = shapes_.part_in_photo(outline_);
  const std::vector<HiddenArea> hidden =
      hidden_by_square(hidden_, lattice_, outline_rows_, table_.grid);
  RowInput board{"board", area(outline_), area(in_photo), {}, {}};
  Severity worst = Severity::none;
  for (int j = 0; j < table_.grid.rows; ++j)
    for (int i = 0; i < table_.grid.columns; ++i) {
      const auto at = static_cast<size_t>(j * table_.grid.columns + i);
      const cv::Rect2d rect = square_rect(table_.grid, j, i);
      const RowInput square{square_name(j, i), area(clipped(outline_, rect)),
                            area(clipped(in_photo, rect)),
                            scale_errors(scale_, sums[at], middle(rect)), hidden[at]};
      add(board.scale, square.scale);
      board.hidden.add(hidden[at]);
      if (square.area <= 0 && pixels(sums[at]) == 0) continue;
      table_.squares.push_back(zone_row(square, sums[at], square_terms_));
      worst = worse(worst, table_.squares.back().severity);
    }
  table_.total =
      zone_row(board, all_of(sums), {options_, options_.label_error.board, table_.has_mm});
  table_.total.severity = worst;
}

void Measuring::add_zone(const ZoneRegion& region, const LabelSums& sums) {
  const Zone& zone = layout_.zones[region.zone];
  const double in_photo = lattice_.area(region.rows);
  const double outside = area(zone.polygon) - area(shapes_.part_in_photo(zone.polygon));
  table_.zones.push_back(
      zone_row({zone.name, in_photo + std::max(0.0, outside), in_photo,
                scale_errors(scale_, sums, middle(bounding_box(zone.polygon.outer))),
                hidden_in(hidden_, lattice_, region.rows)},
               sums, square_terms_));
}

void Measuring::add_part(const PartRegion& region, const LabelSums& touch, const LabelSums& near) {
  const Part& part = layout_.parts[region.part];
  const double in_photo = lattice_.area(region.touch);
  const double body = part.side == r_.side ? part.body.area() : 0;
  PartRow p;
  p.row = zone_row(
      {part.designator, std::max(body, in_photo), in_photo,
       scale_errors(scale_, touch, part.centre), hidden_in(hidden_, lattice_, region.touch)},
      touch, square_terms_);
  p.row.findings = near.findings;
  p.kind = part.kind;
  p.side = part.side;
  p.hides = hides(region);
  p.reach = pixels(touch) > 0 ? Reach::touched : pixels(near) > 0 ? Reach::near : Reach::none;
  for (const PolygonRows& joint : region.joints) {
    p.joints += !joint.empty();
    p.joints_reached += p.reach != Reach::none && has_label(input_.labels, joint);
  }
  if (p.reach != Reach::none) note_reached(part);
  table_.parts.push_back(std::move(p));
}

// In the rows of the place where its middle lies.
void Measuring::note_reached(const Part& part) {
  const auto note = [&](ZoneRow& row) { row.parts_reached.push_back(part.designator); };
  note(table_.total);
  const auto square = square_at(table_.grid, part.centre);
  for (ZoneRow& row : table_.squares)
    if (square && row.name == *square) note(row);
  for (size_t i = 0; i < regions_.zones.size(); ++i)
    if (contains(layout_.zones[regions_.zones[i].zone].polygon, part.centre)) note(table_.zones[i]);
}

}  // namespace

const char* name(Reach reach) {
  switch (reach) {
    case Reach::none:
      return "not reached";
    case Reach::near:
      return "near";
    case Reach::touched:
      return "touched";
  }
  throw Error(ErrorKind::internal, "Internal fault: a reach has no name. Please report it.");
}

std::string severity_words(const ZoneRow& row) {
  const size_t n = row.parts_reached.size();
  if (n == 0) return name(row.severity);
  return fmt::format("{}, {} part{} reached", name(row.severity), n, n == 1 ? "" : "s");
}

void MeasureOptions::check() const {
  const auto refuse = [](const char* field) {
    throw Error(ErrorKind::wrong_use,
                std::string("The option ") + field + " must be a number of 0 or more.");
  };
  if (!(label_edge_sd_px >= 0)) refuse("label_edge_sd_px");
  if (!(label_edge_correlation_px >= 0)) refuse("label_edge_correlation_px");
  for (const LabelErrors* errors : {&label_error.board, &label_error.square})
    for (const LabelError& e : *errors)
      if (!(e.log_sd >= 0 && e.missed_share >= 0 && e.false_share >= 0)) refuse("label_error");
  reach.check();
}

ZoneTable zone_table(const MeasureInput& input, const Rectification& r, const Layout& layout,
                     const MeasureOptions& options, const Work& work) {
  options.check();
  check_sizes(input, r);
  return Measuring(input, r, layout, options).table(work);
}

ZoneTable zone_table(const MeasureInput& input, const Rectification& r,
                     const MeasureOptions& options, const Work& work) {
  return zone_table(input, r, Layout{}, options, work);
}

}  // namespace verdigrid
