#include "jobbook/tags.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "jobbook/entities.h"
#include "photo/encode.h"
#include "tests/jobbook/scratch.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

// A tag as it lies on a desk: three markers on white paper, turned and a little smaller.
Photo tag_photo(const TagCode& code, double turn_deg, int marker_px = 96) {
  const int cell = marker_px / k_tag_marker_cells, step = marker_px * 28 / 22;
  cv::Mat paper(marker_px * 2, step * 3 + marker_px, CV_8UC3, cv::Scalar::all(235));
  const int ids[] = {code.number / 1000, code.number % 1000, code.check};
  for (int i = 0; i < 3; ++i) {
    const std::vector<bool> black = tag_marker_cells(ids[i]);
    for (int y = 0; y < k_tag_marker_cells; ++y)
      for (int x = 0; x < k_tag_marker_cells; ++x)
        if (black[static_cast<size_t>(y * k_tag_marker_cells + x)])
          paper(cv::Rect(marker_px / 2 + i * step + x * cell, marker_px / 2 + y * cell, cell,
                         cell)) = cv::Scalar::all(25);
  }
  cv::Mat desk(900, 1200, CV_8UC3, cv::Scalar(70, 95, 120));
  cv::Mat m = cv::getRotationMatrix2D(cv::Point2d(paper.cols / 2.0, paper.rows / 2.0), turn_deg, 1);
  m.at<double>(0, 2) += 600 - paper.cols / 2.0;
  m.at<double>(1, 2) += 450 - paper.rows / 2.0;
  cv::warpAffine(paper, desk, m, desk.size(), cv::INTER_AREA, cv::BORDER_TRANSPARENT);
  cv::GaussianBlur(desk, desk, {}, 1.0);
  return {desk, {}};
}

void write(const fs::path& file, const cv::Mat& bgr) { write_file(file, jpeg_bytes(bgr)); }

}  // namespace

TEST_CASE("a tag is read at any turn, and nothing is read where none is") {
  const TagCode code{123456, 789};
  for (const double turn : {0.0, 17.0, 90.0, 180.0, 263.0}) {
    CAPTURE(turn);
    const TagReading r = read_tag(tag_photo(code, turn));
    CHECK(r.sight == TagSight::clear);
    CHECK(r.code == code);
  }
  CHECK(read_tag({cv::Mat(600, 800, CV_8UC3, cv::Scalar(40, 90, 40)), {}}).sight == TagSight::none);
}

TEST_CASE("a tag that is cut off or doubled is unclear, never guessed") {
  Photo half = tag_photo({123456, 789}, 0);
  half.bgr = half.bgr.clone();
  half.bgr(cv::Rect(0, 0, 540, 900)) = cv::Scalar(70, 95, 120);
  CHECK(read_tag(half).sight == TagSight::unclear);
  Photo two = tag_photo({123456, 789}, 0);
  cv::Mat both;
  cv::vconcat(two.bgr, tag_photo({654321, 12}, 0).bgr, both);
  CHECK(read_tag({both, {}}).sight == TagSight::unclear);
}

TEST_CASE("tags keep their number, and one of another job book is foreign") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const std::string unit = book.put("received", {"", "unit", {}, to_body(Unit{})});
  const std::string board = book.put("board", {"", "board", unit, to_body(Board{"main"})});
  const TagCode front = tag_for(book, {unit, board, Side::front}),
                back = tag_for(book, {unit, board, Side::back});
  CHECK(tag_for(book, {unit, board, Side::front}) == front);
  CHECK(front.number != back.number);
  REQUIRE(meaning_of(book, back));
  CHECK(meaning_of(book, back)->side == Side::back);
  CHECK(meaning_of(book, back)->board == board);
  CHECK_FALSE(meaning_of(book, {back.number, (back.check + 1) % 1000}));
  CHECK_FALSE(meaning_of(book, {999999, back.check}));
  CHECK_THROWS_AS(tag_for(book, {"unit-other", board, Side::front}), Error);
}

TEST_CASE(
    "a photographed tag files the pictures after it, unclear ones wait, and a second run files "
    "nothing twice") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const std::string unit = book.put("received", {"", "unit", {}, to_body(Unit{})});
  const std::string board = book.put("board", {"", "board", unit, to_body(Board{"main"})});
  const TagCode back = tag_for(book, {unit, board, Side::back});
  const fs::path in = s.folder / "in";
  fs::create_directory(in);
  write(in / "a.jpg", cv::Mat(300, 400, CV_8UC3, cv::Scalar(10, 20, 30)));
  write(in / "b.jpg", tag_photo(back, 5).bgr);
  write(in / "c.jpg", cv::Mat(300, 400, CV_8UC3, cv::Scalar(40, 120, 40)));
  write(in / "d.jpg", tag_photo({back.number, (back.check + 1) % 1000}, 5).bgr);
  write(in / "e.jpg", cv::Mat(300, 400, CV_8UC3, cv::Scalar(90, 20, 140)));
  std::ofstream(in / "f.jpg") << "no photo";

  const auto fates = [](const std::vector<InboxRow>& rows) {
    std::map<std::string, InboxRow::Fate> by_name;
    for (const InboxRow& r : rows) by_name[r.file] = r.fate;
    return by_name;
  };
  auto first = fates(file_inbox(book, in));
  CHECK(first["a.jpg"] == InboxRow::waits);
  CHECK(first["b.jpg"] == InboxRow::tag);
  CHECK(first["c.jpg"] == InboxRow::filed);
  CHECK(first["d.jpg"] == InboxRow::waits);
  CHECK(first["e.jpg"] == InboxRow::waits);
  CHECK(first["f.jpg"] == InboxRow::refused);
  REQUIRE(book.children(board, "photo").size() == 1);
  CHECK(kept_photo_from(book.children(board, "photo")[0].body).side == Side::back);
  CHECK(fates(file_inbox(book, in))["c.jpg"] == InboxRow::known);
  CHECK(book.children(board, "photo").size() == 1);
  CHECK_THROWS_AS(file_inbox(book, s.folder / "none"), Error);
}
