#include "desk/thumbnail_store.h"

#include "base/error.h"
#include "base/files.h"

namespace verdigrid {

namespace {

constexpr size_t k_waiting = 8;  // so that what was scrolled past long ago is not made first

}  // namespace

ThumbnailStore::ThumbnailStore(std::function<void()> wake, ThumbnailOptions options, size_t kept)
    : options_(std::move(options)), kept_(kept), jobs_(std::move(wake), 1) {}

void ThumbnailStore::tick() {
  ++now_;
  // What cannot be read has none; opening it says why.
  jobs_.take_results([this](const std::string& file, const Error&) { take_in(file, cv::Mat()); });
  forget_unused();
}

const cv::Mat* ThumbnailStore::picture(const std::filesystem::path& file) {
  const auto at = entries_.find(file);
  if (at != entries_.end()) {
    at->second.used_at = now_;
    return at->second.picture.empty() ? nullptr : &at->second.picture;
  }
  if (waiting_ >= k_waiting) return nullptr;
  ++waiting_;
  entries_[file].used_at = now_;
  jobs_.start(file.string(), file.string(), [this, file, options = options_](const Work&) -> Apply {
    const cv::Mat picture = thumbnail(read_file(file, options.decode.file_limit_bytes),
                                      file.filename().string(), options);
    return [this, file, picture] { take_in(file, picture); };
  });
  return nullptr;
}

void ThumbnailStore::take_in(const std::filesystem::path& file, const cv::Mat& picture) {
  --waiting_;
  Entry& entry = entries_[file];
  entry.picture = picture;
  entry.is_done = true;
}

void ThumbnailStore::forget_unused() {
  for (auto at = entries_.begin(); entries_.size() > kept_ && at != entries_.end();)
    at = at->second.is_done && at->second.used_at + 1 < now_ ? entries_.erase(at) : std::next(at);
}

}  // namespace verdigrid
