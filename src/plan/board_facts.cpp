#include "plan/board_facts.h"

#include <algorithm>

#include "layout/layout.h"

namespace verdigrid {

namespace {

constexpr double k_source_share = 0.5;  // of all candidates: likelier than all others together

bool is_corroded(const ZoneRow& row) {
  return std::any_of(std::begin(k_corroding), std::end(k_corroding),
                     [&row](Residue r) { return row.by_class[static_cast<size_t>(r)].px > 0; });
}

FindingFact finding_fact(const Survey& s, const Finding& f) {
  FindingFact fact{f.id, f.residue, f.confidence, 0, 0, {}};
  if (s.zones.has_mm && s.rectification.px_per_mm) {
    const double scale = s.rectification.px_per_mm->value;
    fact.area_mm2 = static_cast<double>(f.area_px) / (scale * scale);
    fact.length_mm = std::max(f.box_px.width, f.box_px.height) / scale;
  }
  for (const ZoneRow& square : s.zones.squares)
    if (std::binary_search(square.findings.begin(), square.findings.end(), f.id))
      fact.squares.push_back(square.name);
  return fact;
}

bool is_likely_source(const Survey& s, const std::string& designator) {
  return std::any_of(s.sources.begin(), s.sources.end(), [&](const LikelySource& source) {
    return !source.candidates.empty() && source.candidates.front().designator == designator &&
           source.candidates.front().share >= k_source_share;
  });
}

void add_layout_words(PartFact& fact, const Layout& layout) {
  for (const Part& p : layout.parts) {
    if (p.designator != fact.designator) continue;
    fact.value = p.value, fact.rating = p.rating, fact.package = p.package;
    fact.revision = layout.revision;
    if (layout.has_mm) fact.centre = p.centre;
    fact.joints = std::max(fact.joints, static_cast<int>(p.joints.size()));
    fact.is_through =
        std::any_of(p.joints.begin(), p.joints.end(), [](const Joint& j) { return j.is_through; });
    return;
  }
}

PartFact part_fact(const Survey& s, const PartRow& row, const Layout* layout) {
  PartFact fact;
  fact.designator = row.row.name;
  fact.kind = row.kind;
  fact.reach = row.reach;
  fact.joints = row.joints;
  fact.joints_reached = row.joints_reached;
  fact.is_corroded = is_corroded(row.row);
  fact.is_likely_source = is_likely_source(s, row.row.name);
  fact.findings = row.row.findings;
  if (layout) add_layout_words(fact, *layout);
  return fact;
}

Polygon on_board(const Rectification& r, const Polygon& region_px) {
  const auto ring = [&r](const Ring& ring_px) {
    Ring board;
    for (const BoardPixel& p : board_pixels(r, ring_px)) board.push_back(p.p_board);
    return board;
  };
  Polygon out{ring(region_px.outer), {}};
  for (const Ring& hole : region_px.holes) out.holes.push_back(ring(hole));
  return out;
}

std::vector<ReachedPair> pairs_near(const Survey& s, const Layout& layout,
                                    double least_confidence) {
  std::vector<ResidueShape> shapes;
  for (const Finding& f : s.findings.findings) {
    if (f.confidence < least_confidence) continue;
    ResidueShape shape{f.id, f.residue, {}};
    for (const Polygon& region : f.regions_px)
      shape.regions.push_back(on_board(s.rectification, region));
    shapes.push_back(std::move(shape));
  }
  NetPairOptions options;
  options.joint_mm = s.options.measure.reach.creep_mm;
  options.land_mm = s.options.measure.reach.land_mm;
  return net_pairs(layout, s.rectification.side, shapes, options);
}

}  // namespace

SideFacts side_facts(const Survey& s, const Layout* layout, double least_confidence) {
  SideFacts facts;
  facts.photo = s.photo.name;
  facts.photo_sha256 = s.photo.sha256;
  facts.detector = s.detector_id;
  facts.side = s.rectification.side;
  facts.has_mm = s.zones.has_mm;
  facts.has_layout = s.layout.has_value();
  facts.unseen_percent = s.zones.total.unseen.total_percent;
  facts.severity = s.zones.total.severity;
  for (const Finding& f : s.findings.findings)
    if (f.confidence >= least_confidence) facts.findings.push_back(finding_fact(s, f));
  for (const PartRow& row : s.zones.parts)
    if (row.side == facts.side || row.joints > 0) facts.parts.push_back(part_fact(s, row, layout));
  if (layout && facts.has_mm) facts.pairs = pairs_near(s, *layout, least_confidence);
  facts.areas = work_areas(s.zones, facts.findings);
  for (const OtherSideLook& look : s.other_side)
    if (!look.square.empty() &&
        std::find(facts.other_side_squares.begin(), facts.other_side_squares.end(), look.square) ==
            facts.other_side_squares.end())
      facts.other_side_squares.push_back(look.square);
  return facts;
}

}  // namespace verdigrid
