#include "jobbook/side_pair.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "jobbook/close_up_record.h"
#include "jobbook/entities.h"
#include "tests/jobbook/scratch.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

// A board whose photos are put in as they are taken, a day apart.
struct Shelf {
  Scratch scratch;
  JobBook book = JobBook::create(scratch.book(), fixed_options());
  std::string unit, board;
  int days = 0;

  Shelf() {
    unit = book.put("received", {"", "unit", {}, to_body(Unit{"logger"})});
    board = book.put("board", {"", "board", unit, to_body(Board{"board 1"})});
  }
  std::string add(const std::string& role, Side side = Side::front) {
    KeptPhoto p;
    const std::string bytes = role + std::to_string(++days);
    p.sha256 = book.add_file(std::as_bytes(std::span(bytes)));
    p.name = role + ".jpg";
    p.role = role;
    p.side = side;
    p.captured_at = fmt::format("2026-03-{:02}T10:00:00", days);
    return book.put("photo added", {"", "photo", board, to_body(p)});
  }
};

}  // namespace

TEST_CASE("the newest photo after the wash is compared with the arrival photo of its side") {
  Shelf s;
  CHECK_THROWS_WITH(side_pair(s.book, s.board, Side::front), Contains("after arrival"));
  const std::string arrival = s.add("arrival");
  s.add("arrival", Side::back);
  s.add("after wash");
  const std::string again = s.add("after wash");
  s.add("close-up");
  const SidePair pair = side_pair(s.book, s.board, Side::front);
  CHECK(pair.before == arrival);
  CHECK(pair.after == again);
  CHECK_THROWS_AS(side_pair(s.book, s.board, Side::back), Error);
}

TEST_CASE("later looks are compared with the hand-over photo by themselves") {
  Shelf s;
  const std::string arrival = s.add("arrival");
  s.add("after wash");
  const std::string handed_over = s.add("handed over");
  // The hand-over photo itself still shows what the work did.
  CHECK(side_pair(s.book, s.board, Side::front).before == arrival);
  CHECK(side_pair(s.book, s.board, Side::front).after == handed_over);
  const std::string month = s.add("came back");
  const std::string quarter = s.add("came back");
  CHECK(side_pair(s.book, s.board, Side::front).before == handed_over);
  CHECK(side_pair(s.book, s.board, Side::front).after == quarter);
  CHECK(month != quarter);
}

TEST_CASE(
    "a placed close-up is kept once and found by the photo it lies on and speaks for no side") {
  Shelf s;
  const std::string side = s.add("arrival"), photo = s.add("arrival");
  PlacedCloseUp c;
  c.program_version = "0.1.0";
  c.photo = {"arrival.jpg", kept_photo_from(s.book.get(side).body).sha256, {800, 600}, "", "d"};
  c.close_up = {"macro.jpg", kept_photo_from(s.book.get(photo).body).sha256, {640, 480}, "", "d"};
  c.place.photo_size_px = c.photo.size_px;
  c.place.close_up_size_px = c.close_up.size_px;
  c.place.outline_px = {{10, 10}, {100, 10}, {100, 80}, {10, 80}};
  Survey survey;
  survey.detector_id = "d";
  survey.photo_size_px = c.close_up.size_px;
  survey.rectification.photo_size_px = c.close_up.size_px;
  survey.map.labels = cv::Mat::zeros(480, 640, CV_8UC1);
  survey.map.confidence = cv::Mat::zeros(480, 640, CV_8UC1);
  const std::string id = keep_placed_close_up(s.book, photo, c, survey);
  CHECK(keep_placed_close_up(s.book, photo, c, survey) == id);
  CHECK(kept_photo_from(s.book.get(photo).body).role == "close-up");
  const auto kept = close_ups_on(s.book, s.board, c.photo.sha256);
  REQUIRE(kept.size() == 1);
  CHECK(kept[0].photo == photo);
  CHECK(kept[0].close_up.place == c.place);
  CHECK(close_ups_on(s.book, s.board, c.close_up.sha256).empty());
  CHECK(s.book.children(photo, "survey").empty());
  CHECK(s.book.faults().empty());
  // Another photo's record is refused.
  CHECK_THROWS_AS(keep_placed_close_up(s.book, side, c, survey), Error);
}
