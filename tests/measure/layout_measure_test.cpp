// Zones, parts, what hides the board, likely sources and the other side, on drawn labels.

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "base/error.h"
#include "layout/layout.h"
#include "measure/layout_regions.h"
#include "measure/likely_source.h"
#include "measure/other_side.h"
#include "measure/zone_table.h"
#include "tests/measure/drawn.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

constexpr double k_area_rel = 0.01;

Part chip(const std::string& designator, cv::Point2d centre, cv::Size2d body) {
  Part p;
  p.designator = designator;
  p.kind = PartKind::ic;
  p.centre = centre;
  p.body = body;
  return p;
}

Layout layout_with(std::vector<Part> parts, std::vector<Zone> zones = {}) {
  Layout layout;
  layout.board_type = "drawn";
  layout.outline = {{{0, 0}, {100, 0}, {100, 75}, {0, 75}}, {}};
  layout.parts = std::move(parts);
  layout.zones = std::move(zones);
  return layout;
}

Zone box_zone(const std::string& name, cv::Rect2d r) {
  Zone z;
  z.name = name;
  z.polygon = {{r.tl(), {r.x + r.width, r.y}, r.br(), {r.x, r.y + r.height}}, {}};
  return z;
}

const PartRow& part_row(const ZoneTable& t, const std::string& designator) {
  for (const PartRow& p : t.parts)
    if (p.row.name == designator) return p;
  throw Error(ErrorKind::internal, "no part " + designator);
}

Rectification view() { return rectification_of({.tilt_deg = 12, .k1 = -0.1}); }

ZoneTable measured(const cv::Mat& labels, const Rectification& r, const Layout& layout,
                   const MeasureOptions& options = {}) {
  return zone_table({labels, {}, {}, 1}, r, layout, options);
}

}  // namespace

TEST_CASE("overlapping zones each get their whole area and the total counts it once") {
  const Rectification r = view();
  const cv::Mat labels = labels_of(r, disc({40, 40}, 8, Residue::copper_salt));
  const double disc_mm2 = std::numbers::pi * 64;
  Zone slanted;
  slanted.name = "slanted";  // holds the disc's left half
  slanted.polygon = {{{40, 10}, {40, 70}, {10, 40}}, {}};
  const Layout layout = layout_with(
      {}, {box_zone("all of it", {20, 20, 40, 40}), slanted, box_zone("far", {70, 50, 20, 20})});
  const ZoneTable t = measured(labels, r, layout);
  REQUIRE(t.zones.size() == 3);
  CHECK_THAT(t.zones[0].area, WithinRel(1600.0, 0.002));
  CHECK_THAT(t.zones[0].affected.area.value, WithinRel(disc_mm2, k_area_rel));
  CHECK_THAT(t.zones[0].affected.percent.value, WithinRel(disc_mm2 / 16, k_area_rel));
  CHECK_THAT(t.zones[1].area, WithinRel(900.0, 0.002));
  CHECK_THAT(t.zones[1].affected.area.value, WithinRel(disc_mm2 / 2, 2 * k_area_rel));
  CHECK(t.zones[2].affected.px == 0);
  CHECK_THAT(t.total.affected.area.value, WithinRel(disc_mm2, k_area_rel));
  const ZoneTable without = zone_table({labels, {}, {}, 1}, r, {});
  CHECK(without.total.affected == t.total.affected);
  CHECK(without.zones.empty());
}

TEST_CASE("a zone is clipped by the outline, and a hole in it does not count") {
  const Rectification r = view();
  Zone zone = box_zone("edge", {90, 60, 30, 30});
  zone.polygon.holes.push_back({{92, 62}, {96, 62}, {96, 66}, {92, 66}});
  const cv::Mat labels(r.photo_size_px, CV_8UC1, cv::Scalar(1));
  const ZoneTable t = measured(labels, r, layout_with({}, {zone}));
  CHECK_THAT(t.zones[0].affected.area.value, WithinRel(150.0 - 16, k_area_rel));
  CHECK_THAT(t.zones[0].affected.percent.value, WithinAbs(100, 0.5));
}

TEST_CASE("a zone of the other side is left out") {
  const Rectification r = view();
  Zone zone = box_zone("back only", {10, 10, 20, 20});
  zone.side = Side::back;
  CHECK(
      measured(cv::Mat::zeros(r.photo_size_px, CV_8UC1), r, layout_with({}, {zone})).zones.empty());
}

TEST_CASE("a part is touched, near or not reached by the distance of the residue") {
  const Rectification r = view();
  // Residue's edge at x = 44; bodies begin there, 0.3 mm and 1.2 mm further right.
  const cv::Mat labels = labels_of(r, disc({40, 40}, 4, Residue::leak_film));
  const Layout layout =
      layout_with({chip("U1", {48.5, 40}, {9.4, 6}), chip("U2", {49.3, 40}, {10, 6}),
                   chip("U3", {50.2, 40}, {10, 6})});
  const ZoneTable t = measured(labels, r, layout);
  CHECK(part_row(t, "U1").reach == Reach::touched);
  CHECK(part_row(t, "U2").reach == Reach::near);
  CHECK(part_row(t, "U3").reach == Reach::none);
  CHECK(part_row(t, "U1").row.affected.px > 0);
  CHECK(part_row(t, "U2").row.affected.px == 0);
  CHECK(t.total.parts_reached == std::vector<std::string>{"U1", "U2"});
  CHECK(severity_words(t.total) == "surface, 2 parts reached");
  CHECK(square_row(t, "D4").parts_reached == std::vector<std::string>{"U1", "U2"});
}

TEST_CASE("the creep distance is an option") {
  const Rectification r = view();
  const cv::Mat labels = labels_of(r, disc({40, 40}, 4, Residue::leak_film));
  const Layout layout = layout_with({chip("U3", {50.2, 40}, {10, 6})});
  MeasureOptions options;
  options.reach.creep_mm = 1.5;
  CHECK(part_row(measured(labels, r, layout, options), "U3").reach == Reach::near);
  options.reach.creep_mm = -1;
  CHECK_THROWS_WITH(measured(labels, r, layout, options), Contains("creep_mm"));
}

TEST_CASE("joints reached are counted, on this side only") {
  const Rectification r = view();
  const cv::Mat labels = labels_of(r, disc({40, 40}, 4, Residue::attacked_joint));
  Part header = chip("J1", {40, 60}, {20, 2});
  for (int i = 0; i < 6; ++i)
    header.joints.push_back({std::to_string(i + 1), {37.0 + 2.54 * i, 40}, 1.5, true});
  Part behind = header;  // on the back: its through-hole joints show, its body does not
  behind.designator = "J2";
  behind.side = Side::back;
  Part flat = behind;  // on the back, soldered flat: nothing of it shows
  flat.designator = "J3";
  for (Joint& j : flat.joints) j.is_through = false;
  const ZoneTable t = measured(labels, r, layout_with({header, behind, flat}));
  // Lands reach to x - 1.25 with the creep distance: 37, 39.54, 42.08 and 44.62 lie within 44.
  for (const char* name : {"J1", "J2"}) {
    CAPTURE(name);
    const PartRow& p = part_row(t, name);
    CHECK(p.reach == Reach::touched);
    CHECK(p.joints == 6);
    CHECK(p.joints_reached == 4);
  }
  CHECK(part_row(t, "J3").reach == Reach::none);
  CHECK(part_row(t, "J3").joints == 0);
  CHECK(part_row(t, "J1").hides);
  CHECK_FALSE(part_row(t, "J2").hides);
}

TEST_CASE("joints that show are counted wherever the residue lies") {
  const Rectification r = view();
  std::vector<Part> parts;
  for (int i = 0; i < 12; ++i) {  // the outer ones reach beyond the board and the photo
    Part part = chip("U" + std::to_string(i), {-25.0 + 14 * i, 35}, {6, 6});
    for (int pin = 0; pin < 8; ++pin)
      part.joints.push_back(
          {std::to_string(pin + 1), part.centre + cv::Point2d(4, pin - 3.5), 0.6});
    parts.push_back(part);
  }
  const Layout layout = layout_with(parts);
  const ZoneTable none = measured(cv::Mat::zeros(r.photo_size_px, CV_8UC1), r, layout);
  const ZoneTable all = measured(cv::Mat(r.photo_size_px, CV_8UC1, 2), r, layout);
  for (size_t i = 0; i < parts.size(); ++i) {
    CAPTURE(parts[i].designator);
    CHECK(none.parts[i].joints == all.parts[i].joints);
    CHECK(none.parts[i].joints_reached == 0);
    CHECK(all.parts[i].joints_reached == all.parts[i].joints);
    CHECK(none.parts[i].reach == Reach::none);
  }
  CHECK(none.parts.front().joints == 0);
  CHECK(none.parts[5].joints == 8);
}

TEST_CASE("what lies under parts is unseen until it was peeked under") {
  const Rectification r = view();
  Part label = chip("X1", {80, 20}, {10, 10});
  label.kind = PartKind::mark;  // printed on the board: hides nothing
  const Layout layout = layout_with({chip("U1", {30, 30}, {30, 20}), label},
                                    {box_zone("under U1", {20, 25, 20, 10})});
  const cv::Mat none = cv::Mat::zeros(r.photo_size_px, CV_8UC1);
  const ZoneTable t = measured(none, r, layout);
  CHECK_THAT(t.total.unseen.under_parts_percent, WithinRel(100 * 600.0 / 7500, 0.01));
  CHECK_THAT(t.total.unseen.total_percent, WithinRel(100 * 600.0 / 7500, 0.01));
  CHECK_THAT(t.zones[0].unseen.under_parts_percent, WithinAbs(100, 2));
  CHECK(part_row(t, "U1").hides);
  MeasureOptions options;
  options.peeked = {"U1"};
  const ZoneTable after = measured(none, r, layout, options);
  CHECK(after.total.unseen.total_percent == 0);
  CHECK_FALSE(part_row(after, "U1").hides);
}

TEST_CASE("glare on a part counts once in the total") {
  const Rectification r = view();
  const cv::Mat none = cv::Mat::zeros(r.photo_size_px, CV_8UC1);
  const cv::Mat hidden(180, 240, CV_8UC1, cv::Scalar(1));
  const ZoneTable t =
      zone_table({none, {}, hidden, 0.2}, r, layout_with({chip("U1", {30, 30}, {30, 20})}), {});
  CHECK_THAT(t.total.unseen.glare_percent, WithinAbs(100, 0.5));
  CHECK_THAT(t.total.unseen.total_percent, WithinAbs(100, 0.5));
  CHECK(t.total.unseen.under_parts_percent > 5);
}

TEST_CASE("a layout in mm on a photo without scale is refused, not guessed") {
  Rectification r = view();
  r.px_per_mm.reset();
  CHECK_THROWS_WITH(measured(cv::Mat::zeros(r.photo_size_px, CV_8UC1), r,
                             layout_with({chip("U1", {30, 30}, {30, 20})})),
                    Contains("in mm") && Contains("no scale"));
}

TEST_CASE("a part outside the photo is unseen whole") {
  const Rectification r = rectification_of({.photo_px = {700, 900}});
  const ZoneTable t = measured(cv::Mat::zeros(r.photo_size_px, CV_8UC1), r,
                               layout_with({chip("U1", {3, 30}, {4, 4})}));
  CHECK(part_row(t, "U1").row.unseen.outside_photo_percent == 100);
}

TEST_CASE("the likely source is the part whose negative end is nearest, and says likely why") {
  const Rectification r = view();
  Part near = chip("C1", {30, 30}, {8, 8});
  near.kind = PartKind::aluminium_radial;
  near.negative_end = NegativeEnd::right;  // at (34, 30)
  Part far = near;
  far.designator = "C2";
  far.centre = {48, 30};  // its negative end at (52, 30), its body nearer than C1's end
  const Part chip_near = chip("U1", {40, 33}, {3, 3});
  Findings findings;
  Finding f;
  f.id = 1;
  f.residue = Residue::leak_film;
  f.centre_px = photo_point(r, {38, 30});
  findings.findings = {f};
  const auto sources = likely_sources(findings, r, layout_with({far, chip_near, near}));
  REQUIRE(sources.size() == 1);
  REQUIRE(sources[0].candidates.size() == 2);
  CHECK(sources[0].candidates[0].designator == "C1");
  CHECK_THAT(sources[0].candidates[0].distance, WithinAbs(4, 0.01));
  CHECK_THAT(sources[0].candidates[0].share, WithinAbs(0.8, 0.001));  // 10 mm are two halvings
  CHECK_THAT(sources[0].candidates[0].reason, Contains("4.0 mm from the negative end"));
  CHECK(likely_sources(findings, r, layout_with({chip_near}))[0].candidates.empty());
}

TEST_CASE("white crust points to a battery before a capacitor at the same distance") {
  const Rectification r = view();
  Part can = chip("C1", {30, 30}, {8, 8}), battery = chip("BT1", {50, 30}, {8, 8});
  can.kind = PartKind::aluminium_smd;
  battery.kind = PartKind::battery;
  Findings findings;
  Finding f;
  f.id = 1;
  f.residue = Residue::white_salt;
  f.centre_px = photo_point(r, {40, 30});
  findings.findings = {f};
  CHECK(likely_sources(findings, r, layout_with({can, battery}))[0].candidates[0].designator ==
        "BT1");
}

TEST_CASE("a finding on a via or a through-hole joint opens a look at the other side") {
  const Rectification r = view();
  const cv::Mat labels = labels_of(r, disc({68.75, 31.25}, 4, Residue::rust));
  Findings findings;
  labels.convertTo(findings.finding_of_px, CV_16U, 7.0 / 4);
  Layout layout = layout_with({chip("C12", {66, 30}, {2, 2})});
  layout.parts[0].joints = {
      {"2", {70, 31}, 1.5, true}, {"1", {90, 31}, 1.5, true}, {"3", {68, 31}, 1.5, false}};
  layout.holes = {{{68, 30}, 0.6, true}, {{20, 20}, 0.6, true}};
  const auto looks = other_side_looks(findings, r, layout, grid_over({0, 0, 100, 75}, true));
  REQUIRE(looks.size() == 2);
  CHECK(looks[0] == OtherSideLook{7, {68, 30}, "C6", "via"});
  CHECK(looks[1] == OtherSideLook{7, {70, 31}, "C6", "joint 2 of C12"});
  CHECK(other_side_looks({}, r, layout, grid_over({0, 0, 100, 75}, true)).empty());
}

TEST_CASE("a grown ring is the body with round corners") {
  const Ring body{{0, 0}, {10, 0}, {10, 6}, {0, 6}};
  const double d = 2;
  const double exact = 60 + d * 32 + std::numbers::pi * d * d;
  CHECK_THAT(std::abs(signed_area(grown(body, d))), WithinRel(exact, 0.01));
  CHECK(grown(body, 0) == body);
  for (const cv::Point2d p : grown(body, d)) {
    const cv::Point2d in(std::clamp(p.x, 0.0, 10.0), std::clamp(p.y, 0.0, 6.0));
    CHECK_THAT(cv::norm(p - in), WithinAbs(d, 1e-9));
  }
  CHECK_THAT(signed_area(circle({3, 4}, 2)), WithinRel(std::numbers::pi, 1e-9));
}
