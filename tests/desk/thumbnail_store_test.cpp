#include "desk/thumbnail_store.h"

#include <catch2/catch.hpp>
#include <thread>

#include "base/files.h"
#include "photo/encode.h"
#include "tests/process.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

fs::path plain_photo(const fs::path& folder, int i) {
  const fs::path file = folder / (std::to_string(i) + ".jpg");
  write_file(file, jpeg_bytes(cv::Mat(300, 400, CV_8UC3, cv::Scalar(10 * i, 100, 200 - i))));
  return file;
}

void finish(ThumbnailStore& store) {
  while (store.is_busy()) {
    store.tick();
    std::this_thread::yield();
  }
}

}  // namespace

TEST_CASE("a thumbnail is made once, away from who asks for it") {
  const test::TemporaryFolder folder;
  const fs::path file = plain_photo(folder.path(), 3);
  ThumbnailStore store;
  CHECK(store.picture(file) == nullptr);
  finish(store);
  const cv::Mat* picture = store.picture(file);
  REQUIRE(picture);
  CHECK(picture->size() == cv::Size(128, 96));
  CHECK(std::abs(picture->at<cv::Vec3b>(40, 40)[0] - 30) <= 4);  // JPEG
  fs::remove(file);
  CHECK(store.picture(file) == picture);
  CHECK_FALSE(store.is_busy());
}

TEST_CASE("what is no photo has no thumbnail and is not tried again") {
  const test::TemporaryFolder folder;
  write_file(folder.path() / "text.jpg", "no picture");
  ThumbnailStore store;
  for (const char* name : {"text.jpg", "missing.jpg"}) {
    store.picture(folder.path() / name);
    finish(store);
    CHECK(store.picture(folder.path() / name) == nullptr);
    CHECK_FALSE(store.is_busy());
  }
}

TEST_CASE("only so many are kept: the ones that nobody asked for lately go first") {
  const test::TemporaryFolder folder;
  ThumbnailStore store({}, {}, 4);
  const fs::path first = plain_photo(folder.path(), 0);
  for (int i = 0; i < 12; ++i) {
    const fs::path file = plain_photo(folder.path(), i);
    store.picture(file);
    finish(store);
    store.picture(first);
    for (int frame = 0; frame < 3; ++frame) store.tick(), store.picture(first);
    CHECK(store.size() <= 5);
  }
  CHECK(store.picture(first) != nullptr);
}
