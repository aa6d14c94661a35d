#include "layout/package_table.h"

#include <catch2/catch.hpp>
#include <set>

#include "layout/frame.h"

using namespace verdigrid;
using Catch::Matchers::WithinAbs;

namespace {

struct Limits {
  const char* name;
  double width_min, width_max, height_min, height_max;
  const char* standard;
};

// Limits as the standards print them (body, mm), typed from memory of the registered outlines:
// MS-012 E1 and D; MS-013; MO-153; MS-001 E1 and D (from inches); MS-011; MS-018 D1; MS-026 (basic
// size, +-0.1); TO-236 AB; TO-261 AA; TO-252 AA; EIA-535BAAC; IEC 60115-8 annex of styles.
constexpr Limits k_limits[] = {
    {"0402", 0.95, 1.05, 0.45, 0.55, "IEC 60115-8 RR1005M"},
    {"0603", 1.5, 1.7, 0.75, 0.95, "IEC 60115-8 RR1608M"},
    {"0805", 1.8, 2.2, 1.10, 1.40, "IEC 60115-8 RR2012M"},
    {"1206", 3.0, 3.4, 1.45, 1.75, "IEC 60115-8 RR3216M"},
    {"tantalum-A", 3.0, 3.4, 1.4, 1.8, "EIA-535BAAC 3216-18"},
    {"tantalum-B", 3.3, 3.7, 2.6, 3.0, "EIA-535BAAC 3528-21"},
    {"tantalum-C", 5.7, 6.3, 2.9, 3.5, "EIA-535BAAC 6032-28"},
    {"tantalum-D", 7.0, 7.6, 4.0, 4.6, "EIA-535BAAC 7343-31"},
    {"soic-8", 3.80, 4.00, 4.80, 5.00, "MS-012 AA"},
    {"soic-14", 3.80, 4.00, 8.55, 8.75, "MS-012 AB"},
    {"soic-16", 3.80, 4.00, 9.80, 10.00, "MS-012 AC"},
    {"soic-16-wide", 7.40, 7.60, 10.10, 10.50, "MS-013 AA"},
    {"soic-20-wide", 7.40, 7.60, 12.60, 13.00, "MS-013 AC"},
    {"soic-24-wide", 7.40, 7.60, 15.20, 15.60, "MS-013 AD"},
    {"soic-28-wide", 7.40, 7.60, 17.70, 18.10, "MS-013 AE"},
    {"tssop-14", 4.30, 4.50, 4.90, 5.10, "MO-153 AB-1"},
    {"tssop-20", 4.30, 4.50, 6.40, 6.60, "MO-153 AC"},
    {"dip-8", 6.10, 7.11, 9.02, 10.16, "MS-001 BA"},
    {"dip-14", 6.10, 7.11, 18.67, 19.69, "MS-001 AA"},
    {"dip-16", 6.10, 7.11, 18.67, 19.69, "MS-001 BB"},
    {"dip-18", 6.10, 7.11, 22.35, 23.37, "MS-001 AC"},
    {"dip-20", 6.10, 7.11, 24.89, 26.92, "MS-001 AD"},
    {"dip-24-600", 12.32, 14.73, 29.21, 32.77, "MS-011 AA"},
    {"dip-28-600", 12.32, 14.73, 35.05, 39.75, "MS-011 AB"},
    {"dip-40-600", 12.32, 14.73, 50.29, 53.21, "MS-011 AC"},
    {"plcc-20", 8.890, 9.042, 8.890, 9.042, "MS-018 AA"},
    {"plcc-28", 11.430, 11.582, 11.430, 11.582, "MS-018 AB"},
    {"plcc-44", 16.510, 16.662, 16.510, 16.662, "MS-018 AC"},
    {"plcc-68", 24.130, 24.333, 24.130, 24.333, "MS-018 AE"},
    {"plcc-84", 29.210, 29.413, 29.210, 29.413, "MS-018 AF"},
    {"lqfp-48", 6.9, 7.1, 6.9, 7.1, "MS-026 BBC"},
    {"lqfp-64", 9.9, 10.1, 9.9, 10.1, "MS-026 BCD"},
    {"lqfp-100", 13.9, 14.1, 13.9, 14.1, "MS-026 BED"},
    {"pqfp-100", 13.9, 14.1, 19.9, 20.1, "MS-022 GC-1"},
    {"sot-23", 1.20, 1.40, 2.80, 3.04, "TO-236 AB"},
    {"sot-223", 3.30, 3.70, 6.30, 6.70, "TO-261 AA"},
    {"to-252", 5.97, 6.22, 6.35, 6.73, "TO-252 AA"},
};

}  // namespace

TEST_CASE("nominal bodies lie inside the limits of the standards they cite") {
  for (const Limits& limits : k_limits) {
    INFO(limits.name << " " << limits.standard);
    const Package* p = package_named(limits.name);
    REQUIRE(p);
    CHECK(p->body_mm.width >= limits.width_min);
    CHECK(p->body_mm.width <= limits.width_max);
    CHECK(p->body_mm.height >= limits.height_min);
    CHECK(p->body_mm.height <= limits.height_max);
  }
}

// Row spacings and pitches as the standards name them: MS-001 0.300 in, MS-011 0.600 in, pitch
// 0.100 in; MS-012 and MS-018 0.050 in (1 in = 25.4 mm exactly). IEC 60086-3: CR2032 20.0 x 3.2.
TEST_CASE("pitches and row spacings are those of the inch grid") {
  CHECK(package_named("dip-14")->span_mm == Approx(0.3 * 25.4));
  CHECK(package_named("dip-40-600")->span_mm == Approx(0.6 * 25.4));
  CHECK(package_named("dip-14")->pitch_mm == Approx(0.1 * 25.4));
  CHECK(package_named("soic-14")->pitch_mm == Approx(0.05 * 25.4));
  CHECK(package_named("plcc-68")->pitch_mm == Approx(0.05 * 25.4));
  CHECK(package_named("radial-10")->body_mm.width == 10);
}

TEST_CASE("every package names its standard, has one name and places its joints") {
  std::set<std::string> names;
  for (const Package& p : package_table()) {
    INFO(p.name);
    CHECK_FALSE(p.standard.empty());
    CHECK(names.insert(p.name).second);
    CHECK(p.body_mm.area() > 0);
    const Part part = part_of(p, {100, 100}, 0, Side::front);
    CHECK(part.joints.size() == (p.pattern == JointPattern::none ? 0u : size_t(p.pins)));
    cv::Point2d mean;
    for (const Joint& joint : part.joints) mean += joint.centre;
    if (!part.joints.empty()) {
      mean = mean * (1.0 / double(part.joints.size()));
      CHECK_THAT(cv::norm(mean - part.centre), WithinAbs(0, 1e-9));
    }
  }
  CHECK_FALSE(package_named("nothing"));
}

// JEDEC JEP95: pin 1 at the top of the left row, counted counter-clockwise from above.
TEST_CASE("pins are counted counter-clockwise from the top left") {
  const Part dip = part_of(*package_named("dip-14"), {0, 0}, 0, Side::front);
  CHECK_THAT(dip.joints[0].centre.x, WithinAbs(-3.81, 1e-9));
  CHECK_THAT(dip.joints[0].centre.y, WithinAbs(-7.62, 1e-9));
  CHECK_THAT(dip.joints[6].centre.y, WithinAbs(7.62, 1e-9));
  CHECK_THAT(dip.joints[7].centre.x, WithinAbs(3.81, 1e-9));
  CHECK_THAT(dip.joints[13].centre.y, WithinAbs(-7.62, 1e-9));
  const Part can = part_of(*package_named("radial-10"), {0, 0}, 450, Side::front);
  CHECK(can.rotation_deg == 90);
  // Pin 2 is the negative end.
  CHECK(cv::norm(*negative_end_point(can) - can.joints[1].centre) <
        cv::norm(*negative_end_point(can) - can.joints[0].centre));
}

TEST_CASE("a footprint name is understood where it is plain") {
  const auto like = [](const char* footprint) -> std::string {
    const Package* p = package_like(footprint);
    return p ? p->name : "";
  };
  CHECK(like("R_0805_2012Metric") == "0805");
  CHECK(like("C0603") == "0603");
  CHECK(like("R_0201_0603Metric") == "");
  CHECK(like("SOIC-8_3.9x4.9mm_P1.27mm") == "soic-8");
  CHECK(like("SOIC-16W_7.5x10.3mm") == "soic-16-wide");
  CHECK(like("DIP-14_W7.62mm") == "dip-14");
  CHECK(like("DIP-24_W15.24mm_Socket") == "dip-24-600");
  CHECK(like("DIL40-600") == "dip-40-600");
  CHECK(like("PLCC44") == "plcc-44");
  CHECK(like("TQFP-100_14x14mm") == "lqfp-100");
  CHECK(like("CP_Radial_D12.5mm_P5.00mm") == "radial-12.5");
  CHECK(like("CP_Elec_6.3x5.4") == "smd-can-6.3");
  CHECK(like("CP_EIA-3528-21_Kemet-B") == "tantalum-B");
  CHECK(like("SOT-23-5") == "sot-23");
  CHECK(like("SOT235") == "");
  CHECK(like("mystery") == "");
  CHECK(like("") == "");
}

TEST_CASE("own frame to board and back is the same point") {
  for (Side side : {Side::front, Side::back}) {
    Part part;
    part.centre = {3, 4};
    part.rotation_deg = 33;
    part.side = side;
    const cv::Point2d p = to_part_frame(part, from_part_frame(part, {1.5, -2.25}));
    CHECK_THAT(cv::norm(p - cv::Point2d(1.5, -2.25)), WithinAbs(0, 1e-12));
  }
  CHECK(turn_in_circle(-90) == 270);
  CHECK(turn_in_circle(720) == 0);
  CHECK(turn_in_circle(-1e-20) == 0);
}
