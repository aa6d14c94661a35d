#include "measure/zone_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstring>
#include <map>
#include <numeric>
#include <opencv2/core/utility.hpp>
#include <optional>

#include "base/error.h"
#include "layout/layout.h"
#include "measure/label_blocks.h"
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

bool any_label(const std::uint8_t* first, const std::uint8_t* end) {
  constexpr std::ptrdiff_t k_word = 8;
  for (std::uint64_t word = 0; end - first >= k_word; first += k_word) {
    std::memcpy(&word, first, k_word);
    if (word != 0) return true;
  }
  return std::any_of(first, end, [](std::uint8_t c) { return c != 0; });
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
        blocks_(input.labels, lattice_.step()),
        outline_rows_(shapes_.photo_polygon(outline_), r.photo_size_px),
        scale_(r),
        square_terms_{options, options.label_error.square, r.has_scale()} {
    table_.has_mm = r.has_scale();
    table_.grid = grid_over(bounding_box(outline_.outer), table_.has_mm);
    if (has_layout())
      regions_ = layout_regions(layout, r, shapes_, outline_rows_, blocks_, options.reach);
    hidden_.emplace(hidden_picture(), lattice_);
  }

  ZoneTable table(const Work& work) {
    const std::vector<const PolygonRows*> regions = all_regions();
    const SumsResult sums = label_sums({input_.labels, input_.finding_of_px, blocks_, lattice_,
                                        outline_rows_, table_.grid, regions},
                                       work);
    add_squares_and_total(sums.squares);
    add_zones_and_parts(sums.regions);
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
  HiddenPicture hidden_picture() const;
  std::vector<const PolygonRows*> all_regions() const;
  void add_squares_and_total(const std::vector<LabelSums>& sums);
  void add_zones_and_parts(const std::vector<LabelSums>& sums);
  ZoneRow measured_zone(const ZoneRegion& region, const LabelSums& sums) const;
  PartRow measured_part(const PartRegion& region, const LabelSums& touch,
                        const LabelSums& near) const;
  bool has_label(const PolygonRows& rows) const;
  void note_reached();

  const MeasureInput& input_;
  const Rectification& r_;
  const Layout& layout_;
  const MeasureOptions& options_;
  PhotoShapes shapes_;
  Polygon outline_;
  PixelLattice lattice_;
  LabelBlocks blocks_;
  PolygonRows outline_rows_;
  ScaleError scale_;
  RowTerms square_terms_;
  LayoutRegions regions_;
  std::optional<HiddenSums> hidden_;
  ZoneTable table_;
};

bool Measuring::has_label(const PolygonRows& rows) const {
  for (int y = rows.first_row(); y < rows.end_row(); ++y) {
    if (!blocks_.any(rows.columns().first, rows.columns().end, y)) continue;
    const auto* line = input_.labels.ptr<std::uint8_t>(y);
    for (const PixelSpan& s : rows.row(y))
      if (any_label(line + s.first, line + s.end)) return true;
  }
  return false;
}

HiddenPicture Measuring::hidden_picture() const {
  std::vector<PolygonRows> seen;
  for (const Ring& ring : input_.hiding_px) seen.emplace_back(Polygon{ring, {}}, r_.photo_size_px);
  std::vector<const PolygonRows*> bodies;
  for (const PartRegion& p : regions_.parts)
    if (hides(p)) bodies.push_back(&p.body);
  for (const PolygonRows& body : seen) bodies.push_back(&body);
  return hidden_with_parts(input_.hidden, input_.hidden_scale, r_.photo_size_px, bodies);
}

// Zones, then touch and near of each part.
std::vector<const PolygonRows*> Measuring::all_regions() const {
  std::vector<const PolygonRows*> all;
  for (const ZoneRegion& z : regions_.zones) all.push_back(&z.rows);
  for (const PartRegion& p : regions_.parts) {
    all.push_back(&p.touch);
    all.push_back(&p.near);
  }
  return all;
}

void Measuring::add_squares_and_total(const std::vector<LabelSums>& sums) {
  const Polygon in_photo = shapes_.part_in_photo(outline_);
  const std::vector<HiddenArea> hidden = hidden_->by_square(outline_rows_, table_.grid);
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

void Measuring::add_zones_and_parts(const std::vector<LabelSums>& sums) {
  const size_t zones = regions_.zones.size();
  table_.zones.resize(zones);
  table_.parts.resize(regions_.parts.size());
  cv::parallel_for_(
      cv::Range(0, static_cast<int>(zones + table_.parts.size())), [&](const cv::Range& range) {
        for (auto k = static_cast<size_t>(range.start); k < static_cast<size_t>(range.end); ++k) {
          if (k < zones) {
            table_.zones[k] = measured_zone(regions_.zones[k], sums[k]);
            continue;
          }
          const size_t i = k - zones, at = zones + 2 * i;
          table_.parts[i] = measured_part(regions_.parts[i], sums[at], sums[at + 1]);
        }
      });
  note_reached();
}

ZoneRow Measuring::measured_zone(const ZoneRegion& region, const LabelSums& sums) const {
  const Zone& zone = layout_.zones[region.zone];
  const double in_photo = lattice_.area(region.rows);
  const double outside = area(zone.polygon) - area(shapes_.part_in_photo(zone.polygon));
  return zone_row({zone.name, in_photo + std::max(0.0, outside), in_photo,
                   scale_errors(scale_, sums, middle(bounding_box(zone.polygon.outer))),
                   hidden_->in(region.rows)},
                  sums, square_terms_);
}

PartRow Measuring::measured_part(const PartRegion& region, const LabelSums& touch,
                                 const LabelSums& near) const {
  const Part& part = layout_.parts[region.part];
  const double in_photo = lattice_.area(region.touch);
  const double body = part.side == r_.side ? part.body.area() : 0;
  PartRow p;
  p.row = zone_row({part.designator, std::max(body, in_photo), in_photo,
                    scale_errors(scale_, touch, part.centre), hidden_->in(region.touch)},
                   touch, square_terms_);
  p.row.findings = near.findings;
  p.kind = part.kind;
  p.side = part.side;
  p.hides = hides(region);
  p.reach = pixels(touch) > 0 ? Reach::touched : pixels(near) > 0 ? Reach::near : Reach::none;
  p.joints = region.joints_shown;
  for (const PolygonRows& joint : region.joints)
    p.joints_reached += p.reach != Reach::none && has_label(joint);
  return p;
}

// In the rows of the place where the part's middle lies.
void Measuring::note_reached() {
  std::vector<const Part*> reached;
  for (size_t k = 0; k < table_.parts.size(); ++k)
    if (table_.parts[k].reach != Reach::none)
      reached.push_back(&layout_.parts[regions_.parts[k].part]);
  std::map<std::string, ZoneRow*> square_of_name;
  for (ZoneRow& row : table_.squares) square_of_name[row.name] = &row;
  for (const Part* part : reached) {
    table_.total.parts_reached.push_back(part->designator);
    const auto square = square_at(table_.grid, part->centre);
    if (const auto row = square_of_name.find(square.value_or("")); row != square_of_name.end())
      row->second->parts_reached.push_back(part->designator);
  }
  std::vector<size_t> left_to_right(reached.size());
  std::iota(left_to_right.begin(), left_to_right.end(), size_t{0});
  const auto x = [&](size_t k) { return reached[k]->centre.x; };
  std::sort(left_to_right.begin(), left_to_right.end(),
            [&](size_t a, size_t b) { return x(a) < x(b); });
  for (size_t i = 0; i < table_.zones.size(); ++i) {
    const Polygon& polygon = layout_.zones[regions_.zones[i].zone].polygon;
    const cv::Rect2d box = bounding_box(polygon.outer);
    auto at = std::lower_bound(left_to_right.begin(), left_to_right.end(), box.x,
                               [&](size_t k, double left) { return x(k) < left; });
    std::vector<size_t> inside;
    for (; at != left_to_right.end() && x(*at) <= box.br().x; ++at)
      if (holds(box, reached[*at]->centre) && contains(polygon, reached[*at]->centre))
        inside.push_back(*at);
    std::sort(inside.begin(), inside.end());
    for (const size_t k : inside) table_.zones[i].parts_reached.push_back(reached[k]->designator);
  }
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
