#include "detect/part_looks.h"

#include <catch2/catch.hpp>

#include "synthetic/shot.h"

using namespace verdigrid;
using namespace verdigrid::synthetic;

namespace {

// What the rule is for: dark moulded bodies that hide a good deal of board.
bool is_dark_body(const PlacedPart& part) {
  return part.side == Side::front &&
         (part.kind == Kind::dip || part.kind == Kind::plcc || part.kind == Kind::qfp) &&
         std::min(part.body_mm.width, part.body_mm.height) >= 5;
}

bool is_hidden(const PartLooks& looks, cv::Point2d p_px) {
  return std::any_of(looks.bodies_px.begin(), looks.bodies_px.end(), [&](const Ring& ring) {
    return contains(Polygon{ring, {}}, p_px);
  });
}

struct Count {
  int bodies = 0, hidden = 0;  // true dark bodies, and those whose middle lies in a region
  int regions = 0, on_a_part = 0;

  void add(const Shot& s, const PartLooks& looks) {
    for (const PlacedPart& part : s.truth.parts_mm)
      if (is_dark_body(part)) {
        ++bodies;
        hidden += is_hidden(looks, photo_px_of(s.truth.view, part.centre_mm));
      }
    for (const Ring& ring : looks.bodies_px) {
      ++regions;
      cv::Point2d middle;
      for (const cv::Point2d& p : ring) middle += p / static_cast<double>(ring.size());
      on_a_part += s.truth.parts.at<std::uint8_t>(cv::Point(middle)) != 0;
    }
  }
};

Shot shot_of(std::uint64_t seed, MaskColour colour) {
  BoardSpec spec = random_board(seed);
  spec.mask = colour;
  return shot(spec, random_camera(seed, {1000, 750}));
}

}  // namespace

TEST_CASE("most dark bodies are found on boards of a colour, and little else is taken for one",
          "[detect][slow]") {
  Count count;
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    constexpr MaskColour colours[] = {MaskColour::green, MaskColour::blue, MaskColour::red,
                                      MaskColour::phenolic};
    const Shot s = shot_of(seed, colours[seed % 4]);
    count.add(s, part_looks(photo_of(s), rectification_from(s.truth)));
  }
  CAPTURE(count.bodies, count.hidden, count.regions, count.on_a_part);
  REQUIRE(count.bodies >= 30);
  CHECK(count.hidden >= 0.6 * count.bodies);
  CHECK(count.on_a_part >= 0.9 * count.regions);
}

TEST_CASE("on a black board no body is told apart, and that is said", "[detect]") {
  const Shot s = shot_of(3, MaskColour::black);
  const PartLooks looks = part_looks(photo_of(s), rectification_from(s.truth));
  CHECK_FALSE(looks.is_told_apart);
  CHECK(looks.bodies_px.empty());
}

TEST_CASE("a bare green board hides nothing", "[detect]") {
  BoardSpec spec = random_board(5);
  spec.mask = MaskColour::green;
  spec.parts.clear();
  spec.deposits.clear();
  const Shot s = shot(spec, flat_camera({800, 600}));
  CHECK(part_looks(photo_of(s), rectification_from(s.truth)).bodies_px.empty());
}
