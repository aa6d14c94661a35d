// Which survey speaks for a side: never that of a close-up or of a look under a socket.
#include "jobbook/survey_record.h"

#include <catch2/catch.hpp>

#include "jobbook/entities.h"
#include "tests/jobbook/scratch.h"
#include "tests/measure/sample_survey.h"

using namespace verdigrid;

namespace {

struct Sides {
  Scratch scratch;
  JobBook book = JobBook::create(scratch.book(), fixed_options());
  std::string board;

  Sides() {
    const std::string unit = book.put("received", {"", "unit", {}, to_body(Unit{})});
    board = book.put("board", {"", "board", unit, to_body(Board{"board 1"})});
  }
  // Returns the survey's id.
  std::string surveyed(const char* role, Side side) {
    Survey survey = sample_survey();
    KeptPhoto p;
    p.sha256 = book.add_file(bytes_of(std::string(role) + name(side)));
    p.role = role, p.side = side;
    survey.photo.sha256 = p.sha256;
    return keep_survey(book, book.put("photo", {"", "photo", board, to_body(p)}), survey);
  }
};

}  // namespace

TEST_CASE("a survey below a close-up speaks for no side in plan and report and queue") {
  Sides s;
  for (const char* role : {"close-up", "under a socket"}) s.surveyed(role, Side::back);
  CHECK(surveys_on_arrival(s.book, s.board).empty());
  CHECK_FALSE(newest_survey(s.book, s.board, Side::back));
  const auto sides = sides_seen(s.book, s.board);
  CHECK_FALSE(sides[1].is_photographed);
  CHECK_FALSE(sides[1].unseen_percent);
}

TEST_CASE("a close-up that was surveyed later does not take the place of its side") {
  Sides s;
  const std::string arrival = s.surveyed("arrival", Side::front);
  s.surveyed("close-up", Side::front);
  CHECK(newest_survey(s.book, s.board, Side::front)->survey == arrival);
  REQUIRE(surveys_on_arrival(s.book, s.board).size() == 1);
  CHECK(surveys_on_arrival(s.book, s.board)[0].survey == arrival);
  const std::string washed = s.surveyed("after wash", Side::front);
  CHECK(newest_survey(s.book, s.board, Side::front)->survey == washed);
  CHECK(surveys_on_arrival(s.book, s.board)[0].survey == arrival);
  CHECK(sides_seen(s.book, s.board)[0].unseen_percent);
  CHECK_FALSE(newest_survey(s.book, s.board, Side::back));
}
