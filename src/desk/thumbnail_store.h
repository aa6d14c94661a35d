// Thumbnails of photo files, made one after the other away from the window and kept while they are
// asked for.
//
// A picture takes at most 128 x 128 x 3 bytes and 256 of them are kept: 13 MB; a file is read and
// decoded one at a time. What cannot be read has none and is not tried again. Belongs to one
// thread.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <opencv2/core.hpp>

#include "desk/jobs.h"
#include "photo/thumbnail.h"

namespace verdigrid {

class ThumbnailStore {
 public:
  // `wake` as in JobRunner.
  explicit ThumbnailStore(std::function<void()> wake = {}, ThumbnailOptions options = {},
                          size_t kept = 256);

  // Takes finished ones in. Call it once a frame, before asking.
  void tick();
  // Null while it is being made, and for what has none. The picture stays where it is until tick().
  const cv::Mat* picture(const std::filesystem::path& file);
  bool is_busy() const { return !jobs_.is_idle(); }
  size_t size() const { return entries_.size(); }

 private:
  struct Entry {
    cv::Mat picture;  // empty: being made, or none
    std::uint64_t used_at = 0;
    bool is_done = false;
  };
  void take_in(const std::filesystem::path& file, const cv::Mat& picture);
  void forget_unused();

  ThumbnailOptions options_;
  size_t kept_;
  std::uint64_t now_ = 0;
  size_t waiting_ = 0;
  std::map<std::filesystem::path, Entry> entries_;
  JobRunner jobs_;  // last: stops before what it uses goes
};

}  // namespace verdigrid
