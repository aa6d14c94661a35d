#include "jobbook/close_up.h"

#include <catch2/catch.hpp>

#include "base/files.h"
#include "jobbook/bench_record.h"
#include "jobbook/entities.h"
#include "jobbook/plan_record.h"
#include "photo/encode.h"
#include "plan/bench_work.h"
#include "tests/jobbook/planned.h"
#include "tests/plan/bench.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

struct Watched {
  Scratch scratch;
  JobBook book = JobBook::create(scratch.book(), fixed_options());
  PhotoStore store{scratch.book() / "photos"};
  std::string unit, board;
  fs::path folder = scratch.folder / "camera";
  std::vector<fs::path> seen;

  Watched() {
    fs::create_directories(folder);
    Unit u;
    u.name = "logger";
    unit = book.put("received", {"", "unit", {}, to_body(u)});
    board = book.put("board", {"", "board", unit, to_body(Board{"board 1"})});
  }
  void picture(const std::string& name, int grey) const {
    write_file(folder / name, jpeg_bytes(cv::Mat(40, 60, CV_8UC3, cv::Scalar::all(grey))));
  }
  std::vector<CloseUpRow> look(double settle_s = 0) {
    std::vector<CloseUpRow> rows;
    for (const fs::path& path : new_pictures(folder, seen, settle_s)) {
      seen.push_back(path);
      rows.push_back(keep_close_up(book, board, read_close_up(store, path)));
    }
    return rows;
  }
};

}  // namespace

TEST_CASE("a new picture is filed to the place that is worked on") {
  Watched w;
  const Plan plan = planned(w.book);
  keep_plan(w.book, w.board, plan, "plan");
  const BenchStep second = bench_steps(plan, {}).at(1);
  w.book.change("go", bench_edits(w.book, w.board,
                                  {with_place(plan, {}, second.place, {"Ada", minute(-480)}), {}}));
  w.picture("scope 1.jpg", 100);
  const auto rows = w.look();
  REQUIRE(rows.size() == 1);
  CHECK(rows[0].is_filed);
  const auto photos = w.book.children(w.board, "photo");
  REQUIRE(photos.size() == 1);
  const KeptPhoto kept = kept_photo_from(photos[0].body);
  CHECK(kept.role == "close-up");
  CHECK(kept.width_px == 60);
  const auto filed = events<CloseUp>(bench_log_of(w.book, w.board));
  REQUIRE(filed.size() == 1);
  CHECK(filed[0].place == second.place);
  CHECK(filed[0].photo_sha256 == kept.sha256);
  CHECK(w.book.faults().empty());
}

TEST_CASE("nothing is filed twice and files stay where they are") {
  Watched w;
  keep_plan(w.book, w.board, planned(w.book), "plan");
  w.picture("a.jpg", 100);
  CHECK(w.look().size() == 1);
  CHECK(w.look().empty());
  w.seen.clear();  // the program was started again
  const auto again = w.look();
  REQUIRE(again.size() == 1);
  CHECK_FALSE(again[0].is_filed);
  CHECK(w.book.children(w.board, "photo").size() == 1);
  CHECK(fs::exists(w.folder / "a.jpg"));
}

TEST_CASE("a file that is still being written waits, and one that is no picture is said") {
  Watched w;
  keep_plan(w.book, w.board, planned(w.book), "plan");
  w.picture("a.jpg", 100);
  CHECK(w.look(3600).empty());
  CHECK(w.look(0).size() == 1);
  write_file(w.folder / "b.jpg", bytes_of("no picture"));
  const auto rows = w.look();
  REQUIRE(rows.size() == 1);
  CHECK(rows[0].is_refused);
  CHECK_FALSE(rows[0].sentence.empty());
}

TEST_CASE("without work left a picture is not filed to anything") {
  Watched w;
  w.picture("a.jpg", 100);
  const auto rows = w.look();
  REQUIRE(rows.size() == 1);
  CHECK(rows[0].is_refused);
  CHECK(w.book.children(w.board, "photo").empty());
}
