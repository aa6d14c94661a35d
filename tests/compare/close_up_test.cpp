#include "compare/close_up.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "compare/close_up_file.h"
#include "tests/compare/rendered_close_up.h"
#include "tests/compare/texture.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

const cv::Size k_photo(800, 600), k_close(720, 540);

// The close-up's view of a texture: `scale` times as fine, turned, its middle at `at_px`.
cv::Matx33d close_view(cv::Point2d at_px, double scale, double turn_deg) {
  const double a = turn_deg * CV_PI / 180, c = scale * std::cos(a), s = scale * std::sin(a);
  const cv::Point2d middle(k_close.width / 2.0, k_close.height / 2.0);
  return {c, -s, middle.x - c * at_px.x + s * at_px.y,
          s, c,  middle.y - s * at_px.x - c * at_px.y,
          0, 0,  1};
}

// Photo and close-up of one texture, drawn at twice the photo's size.
struct Pair {
  cv::Mat photo, close_up;
  cv::Matx33d truth;  // close-up from photo
};

Pair pair_of(unsigned seed, cv::Point2d at_px, double scale, double turn_deg) {
  const cv::Mat fine = texture(k_photo * 2, seed, 1500);
  Pair out;
  cv::resize(fine, out.photo, k_photo, 0, 0, cv::INTER_AREA);
  out.truth = close_view(at_px, scale, turn_deg);
  const cv::Matx33d photo_from_fine{0.5, 0, -0.25, 0, 0.5, -0.25, 0, 0, 1};
  out.close_up = viewed(fine, out.truth * photo_from_fine, k_close);
  out.close_up.convertTo(out.close_up, -1, 0.8, 20);  // another light
  return out;
}

double worst_px(const CloseUpPlace& place, const cv::Matx33d& truth) {
  double worst = 0;
  for (double y = 0; y <= k_close.height; y += 90)
    for (double x = 0; x <= k_close.width; x += 90)
      worst = std::max(worst, cv::norm(mapped(place.photo_from_close_up, cv::Point2d(x, y)) -
                                       mapped(truth.inv(), cv::Point2d(x, y))));
  return worst;
}

// A photo of a board of 400 x 300 mm that fills it: 2 px a mm.
Rectification straight_photo() {
  Rectification r;
  r.way = ScaleWay::board_size_outline;
  r.photo_size_px = k_photo;
  r.board_from_photo_px = {0.5, 0, 0.25, 0, 0.5, 0.25, 0, 0, 1};
  r.px_per_mm = Interval{2, 1.98, 2.02};
  r.length_rel_sd = 0.005;
  r.outline_px = {{{-0.5, -0.5}, {799.5, -0.5}, {799.5, 599.5}, {-0.5, 599.5}}, {}};
  r.outline_board = {{{0, 0}, {400, 0}, {400, 300}, {0, 300}}, {}};
  return r;
}

// A survey with one patch of a class, as far as close-ups read it.
Survey survey_with(const Rectification& r, cv::Rect patch, Residue residue) {
  Survey s;
  s.photo_size_px = r.photo_size_px;
  s.photo.sha256 = std::string(64, 'a');
  s.rectification = r;
  s.map.labels = cv::Mat::zeros(r.photo_size_px, CV_8UC1);
  s.findings.finding_of_px = cv::Mat::zeros(r.photo_size_px, CV_16UC1);
  s.map.labels(patch) = static_cast<int>(residue);
  s.findings.finding_of_px(patch) = 1;
  Finding f;
  f.id = 1;
  f.residue = residue;
  f.area_px = patch.area();
  f.box_px = patch;
  f.centre_px = (patch.tl() + patch.br()) / 2;
  s.findings.findings.push_back(f);
  return s;
}

// A part with much print on it stands high: the photo shows its top, `top` of the drawing and half
// of that on the photo, beside where the board has it.
Pair pair_with_tall_part(cv::Point2d at_px, cv::Point2d shift_px, cv::Size top,
                         cv::Point2d top_px) {
  const cv::Mat board = texture(k_photo * 2, 21, 700), print = texture(k_photo * 2, 22, 4000);
  const auto with_top = [&](cv::Point2d middle_px) {
    cv::Mat out = board.clone();
    const cv::Rect there(cv::Point(middle_px * 2) - cv::Point(top / 2), top);
    print(cv::Rect({300, 300}, top)).copyTo(out(there));
    return out;
  };
  Pair out;
  cv::resize(with_top(top_px + shift_px), out.photo, k_photo, 0, 0, cv::INTER_AREA);
  out.truth = close_view(at_px, 4, 25);
  const cv::Matx33d photo_from_fine{0.5, 0, -0.25, 0, 0.5, -0.25, 0, 0, 1};
  out.close_up = viewed(with_top(top_px), out.truth * photo_from_fine, k_close);
  return out;
}

}  // namespace

TEST_CASE("a close-up of unknown scale and turn is found on the photo of its side") {
  for (const auto& [scale, turn] : {std::pair(3.2, 40.0), std::pair(5.0, -130.0)}) {
    const Pair p = pair_of(11, {310, 270}, scale, turn);
    const CloseUpAnswer answer = placed_close_up(p.photo, p.close_up);
    CAPTURE(scale, turn, answer.strength, answer.next_strength);
    REQUIRE(answer.place);
    CHECK(worst_px(*answer.place, p.truth) < 2);
    CHECK_THAT(answer.place->scale, WithinRel(scale, 0.02));
    REQUIRE(answer.place->scale_range);
    CHECK(answer.place->scale_range->contains(scale));
    // Had all of it been the top of a tall part, seen 7 % larger, the board's scale would be told.
    CHECK(answer.place->scale_range->contains(scale / 1.07));
    CHECK_THAT(answer.place->turn_deg, WithinAbs(turn, 2));
    CHECK(answer.place->outline_px.size() == 4);
  }
}

TEST_CASE("a close-up is placed by the board, not by the top of a part that is seen shifted") {
  const Pair p = pair_with_tall_part({300, 280}, {11, -6}, {140, 100}, {300, 280});
  const CloseUpAnswer answer = placed_close_up(p.photo, p.close_up);
  REQUIRE(answer.place);
  CHECK(worst_px(*answer.place, p.truth) < 2);
  CHECK(answer.remarks.empty());
}

TEST_CASE("a close-up half of which is the top of a part says that it may lie beside its place") {
  // The top reaches over the frame's left half, as the close-up is turned.
  const Pair p = pair_with_tall_part({300, 280}, {11, -6}, {220, 560}, {255, 260});
  const CloseUpAnswer answer = placed_close_up(p.photo, p.close_up);
  REQUIRE(answer.place);
  REQUIRE(answer.remarks.size() == 1);
  CHECK_THAT(answer.remarks[0], Contains("several heights") && Contains("Look whether"));
}

TEST_CASE("a close-up of something else is refused with a sentence", "[slow]") {
  const Pair p = pair_of(11, {310, 270}, 4, 20), other = pair_of(12, {310, 270}, 4, 20);
  const CloseUpAnswer answer = placed_close_up(p.photo, other.close_up);
  CHECK_FALSE(answer.place);
  REQUIRE(answer.remarks.size() == 1);
  CHECK_THAT(answer.remarks[0], Contains("Nothing was placed") && Contains("by hand"));
}

TEST_CASE("one of two like places is refused rather than guessed", "[slow]") {
  Pair p = pair_of(13, {220, 300}, 4, 0);
  p.photo(cv::Rect(100, 150, 240, 300)).copyTo(p.photo(cv::Rect(500, 150, 240, 300)));
  const CloseUpAnswer answer = placed_close_up(p.photo, p.close_up);
  CAPTURE(answer.strength, answer.next_strength);
  CHECK_FALSE(answer.place);
}

TEST_CASE("three pairs by hand place a close-up and are corrected where both show enough") {
  const Pair p = pair_of(14, {420, 330}, 4, 75);
  std::vector<PointPair> pairs;
  for (const cv::Point2d c : {cv::Point2d(60, 70), cv::Point2d(650, 90), cv::Point2d(300, 480)})
    pairs.push_back({mapped(p.truth.inv(), c) + cv::Point2d(1, -1), c, 1});
  const CloseUpAnswer answer = close_up_placed_by_hand(p.photo, p.close_up, pairs);
  REQUIRE(answer.place);
  CHECK(answer.place->is_by_hand);
  CHECK(worst_px(*answer.place, p.truth) < 1);
  pairs.pop_back();
  CHECK_THROWS_AS(close_up_placed_by_hand(p.photo, p.close_up, pairs), Error);
}

TEST_CASE("a close-up lies in the board frame of its photo and measures finer there") {
  CloseUpPlace place;
  place.photo_size_px = k_photo;
  place.close_up_size_px = k_close;
  place.photo_from_close_up = close_view({400, 300}, 4, 90).inv();
  place.outline_px = {{310, 235}, {490, 235}, {490, 365}, {310, 365}};
  place.scale = 4;
  place.turn_deg = 90;
  const Rectification photo = straight_photo(), r = close_up_rectification(place, photo);
  CHECK(r.turn_deg == 270);
  REQUIRE(r.px_per_mm);
  CHECK_THAT(r.px_per_mm->value, WithinRel(8.0, 1e-6));
  for (const cv::Point2d c : {cv::Point2d(10, 20), cv::Point2d(700, 500)}) {
    const cv::Point2d through = board_point(photo, mapped(place.photo_from_close_up, c));
    CHECK(cv::norm(board_point(r, c) - through) < 1e-4);  // mm; the view is a least-squares fit
  }
  // 8 x 4 mm on the photo; the close-up's survey has the same place as 6 x 3 mm, another class.
  const Survey side = survey_with(photo, {392, 296, 16, 8}, Residue::unsure);
  const Survey close = survey_with(r, {348, 246, 24, 48}, Residue::copper_salt);
  const std::vector<FinerFinding> findings = finer_findings(side, close, place);
  REQUIRE(findings.size() == 1);
  CHECK(findings[0].finding == 1);
  CHECK(findings[0].finer_residue == Residue::copper_salt);
  CHECK_THAT(findings[0].area, WithinAbs(32, 1e-6));
  CHECK_THAT(findings[0].finer_area.value, WithinRel(18.0, 1e-6));
  CHECK(findings[0].finer_area.low < 18);
  CHECK_THAT(findings[0].seen_percent, WithinAbs(100, 1e-9));
  // What lies on no finding of the photo is the close-up's alone.
  const Survey apart = survey_with(r, {60, 60, 24, 48}, Residue::rust);
  const std::vector<FinerFinding> two = finer_findings(side, apart, place);
  REQUIRE(two.size() == 2);
  CHECK(two[0].finer_residue == Residue::none);
  CHECK(two[1].finding == 0);
  CHECK(two[1].finer_residue == Residue::rust);
}

TEST_CASE("a placed close-up is written and read again as it was") {
  PlacedCloseUp c;
  c.program_version = "0.1.0";
  c.photo = {"side.jpg", std::string(64, 'a'), k_photo, "", "first"};
  c.close_up = {"macro.jpg", std::string(64, 'b'), k_close, "2026-01-02T03:04:05", "first"};
  c.place.photo_size_px = k_photo;
  c.place.close_up_size_px = k_close;
  c.place.photo_from_close_up = close_view({400, 300}, 4, 30).inv();
  c.place.outline_px = {{310, 235}, {490, 235}, {490, 365}, {310, 365}};
  c.place.rms_px = {0.2, 0.1, 0.3};
  c.place.scale_range = Interval{4, 3.6, 4.1};
  c.has_mm = true;
  FinerFinding f;
  f.finding = 3;
  f.residue = Residue::unsure;
  f.finer_residue = Residue::rust;
  f.finer_area = {1.5, 1.2, 1.9};
  f.close_up_findings = {{2}, {5}};
  f.box_px = {1, 2, 3, 4};
  c.findings.push_back(f);
  const PlacedCloseUp read = close_up_from_json(close_up_json(c), "close-up.json");
  CHECK(read.place == c.place);
  CHECK(read.findings == c.findings);
  CHECK(read.close_up == c.close_up);
  c.place.scale_range.reset();  // as by hand
  CHECK(close_up_from_json(close_up_json(c), "close-up.json").place == c.place);
  std::string wrong = close_up_json(c);
  wrong.replace(wrong.find("\"rust\""), 6, "\"gold\"");
  CHECK_THROWS_WITH(close_up_from_json(wrong, "close-up.json"),
                    Contains("findings[0].finer_class") && Contains("gold"));
}

TEST_CASE("a close-up with few features is placed by patches and features together", "[slow]") {
  // A tall can on a plain board: each look by itself falls short of proof.
  const RenderedCloseUp pair = rendered_close_up(4305, {1600, 1200});
  const CloseUpAnswer answer = placed_close_up(pair.photo.bgr, pair.close_up.bgr);
  REQUIRE(answer.place);
  CHECK(error_of(answer.place->photo_from_close_up, pair).median_mm <= 1);
}

TEST_CASE("rendered close-ups are placed within a millimetre or refused", "[slow]") {
  int right = 0;
  constexpr int k_pairs = 3;
  for (int number = 301; number < 301 + k_pairs; ++number) {
    const RenderedCloseUp pair = rendered_close_up(number, {1200, 900});
    const CloseUpAnswer answer = placed_close_up(pair.photo.bgr, pair.close_up.bgr);
    CAPTURE(number, pair.scale, answer.strength, answer.next_strength);
    if (!answer.place) continue;
    const CloseUpError error = error_of(answer.place->photo_from_close_up, pair);
    CHECK(error.median_mm <= 1);
    right += error.median_mm <= 1;
  }
  CHECK(right >= k_pairs - 1);
}
