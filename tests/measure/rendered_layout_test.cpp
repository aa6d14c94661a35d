// Rendered boards with known layout: zone areas, parts reached, likely sources.

#include "tests/measure/rendered_layout.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>
#include <set>

#include "measure/likely_source.h"
#include "measure/zone_table.h"

using namespace verdigrid;

namespace {

constexpr int k_boards = 12;
constexpr double k_zone_rel = 0.02, k_zone_mm2 = 0.5;

struct Rendered {
  synthetic::BoardSpec spec;
  synthetic::Board board;
  synthetic::Shot shot;
  Layout layout;
};

Rendered rendered(std::uint64_t seed) {
  Rendered r;
  synthetic::BoardOptions options;
  options.size_mm = cv::Size2d(120, 90);
  options.mask = static_cast<synthetic::MaskColour>(seed % synthetic::k_mask_colour_count);
  r.spec = synthetic::random_board(seed, options);
  r.board = synthetic::render_board(r.spec, 12);
  synthetic::CameraOptions camera;
  camera.tilt_at_most_deg = 15;
  camera.k1_at_most = 0.1;
  r.shot = synthetic::shot(r.board, synthetic::random_camera(seed, {1280, 960}, camera));
  r.layout = layout_of(r.spec, r.board);
  return r;
}

// Quadrangles of all sizes, some overlapping.
std::vector<Zone> random_zones(std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> x(8, 112), y(8, 82), half(3, 22), slip(0.7, 1.3);
  std::vector<Zone> zones;
  for (int i = 0; i < 20; ++i) {
    const cv::Point2d c(x(random), y(random));
    const double w = half(random), h = half(random);
    Zone z;
    z.name = "zone " + std::to_string(i);
    for (const cv::Point2d corner :
         {cv::Point2d(-w, -h), cv::Point2d(w, -h), cv::Point2d(w, h), cv::Point2d(-w, h)})
      z.polygon.outer.push_back({std::clamp(c.x + corner.x * slip(random), 0.0, 120.0),
                                 std::clamp(c.y + corner.y * slip(random), 0.0, 90.0)});
    zones.push_back(z);
  }
  return zones;
}

}  // namespace

TEST_CASE("rendered boards: every zone's area within 2 % or 0.5 mm2", "[slow]") {
  int zones = 0;
  for (std::uint64_t seed = 1; seed <= k_boards; ++seed) {
    Rendered r = rendered(seed);
    r.layout.zones = random_zones(seed);
    const Rectification rectification = rectification_from(r.shot.truth);
    const ZoneTable table =
        zone_table({r.shot.truth.labels, {}, {}, 1}, rectification, r.layout, {});
    if (table.total.unseen.outside_photo_percent > 0) continue;
    for (const ZoneRow& row : table.zones) {
      const Zone& zone = r.layout.zones[static_cast<size_t>(&row - table.zones.data())];
      const double truth = residue_mm2_in(r.board, zone.polygon);
      CAPTURE(seed, row.name, truth, row.affected.area.value);
      CHECK(std::abs(row.affected.area.value - truth) <= std::max(k_zone_mm2, k_zone_rel * truth));
      ++zones;
    }
  }
  CHECK(zones >= 200);
}

// Recall: no part with residue on its body or pads is left out. Precision: what is named lies truly
// within the creep distance, measured on the true shapes of bodies and pads (the layout knows each
// pad only as a circle of its area).
TEST_CASE("rendered boards: every part that residue reaches is named, and hardly another",
          "[slow]") {
  int touched = 0, named = 0, in_reach = 0;
  const double creep_mm = MeasureOptions{}.reach.creep_mm;
  for (std::uint64_t seed = 1; seed <= k_boards; ++seed) {
    const Rendered r = rendered(seed);
    const ZoneTable table = zone_table({r.shot.truth.labels, {}, {}, 1},
                                       rectification_from(r.shot.truth), r.layout, {});
    if (table.total.unseen.outside_photo_percent > 0) continue;
    std::set<std::string> reached;
    for (const synthetic::ReachedPart& p : r.board.reached) reached.insert(p.designator);
    for (const PartRow& p : table.parts) {
      const bool is_named = p.reach != Reach::none;
      CAPTURE(seed, p.row.name);
      touched += reached.count(p.row.name) > 0;
      if (reached.count(p.row.name) > 0) CHECK(is_named);
      if (!is_named) continue;
      ++named;
      for (const synthetic::PlacedPart& placed : r.spec.parts)
        if (placed.designator == p.row.name)
          in_reach += distance_to_residue_mm(r.board, placed) <= creep_mm;
    }
  }
  WARN(touched << " parts touched, " << named << " named, of them " << in_reach
               << " within the creep distance");
  CHECK(touched > 50);
  CHECK(in_reach >= 0.95 * named);
}

TEST_CASE("rendered boards: the likely source is mostly the part it came from", "[slow]") {
  int deposits = 0, first = 0, among = 0;
  for (std::uint64_t seed = 1; seed <= k_boards; ++seed) {
    const Rendered r = rendered(seed);
    const Rectification rectification = rectification_from(r.shot.truth);
    for (const synthetic::Deposit& d : r.spec.deposits) {
      if (d.source.empty() || d.residue == Residue::rust) continue;
      Findings findings;
      Finding f;
      f.id = 1;
      f.residue = d.residue;
      // Where it ran to, not where it came from.
      const double direction = d.direction_deg * std::numbers::pi / 180;
      const cv::Point2d ran =
          0.7 * d.reach_mm * cv::Point2d(std::cos(direction), -std::sin(direction));
      f.centre_px = photo_point(rectification, d.centre_mm + ran);
      findings.findings = {f};
      const auto candidates = likely_sources(findings, rectification, r.layout)[0].candidates;
      ++deposits;
      for (size_t i = 0; i < candidates.size(); ++i)
        if (candidates[i].designator == d.source) {
          ++among;
          first += i == 0;
        }
    }
  }
  WARN(deposits << " deposits: source named first " << first << ", among three " << among);
  CHECK(deposits > 30);
  CHECK(first >= 0.7 * deposits);
  CHECK(among >= 0.9 * deposits);
}
