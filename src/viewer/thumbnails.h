// Small pictures for panels: crops of the open photo as textures, made a few a frame and kept while
// they are used. UI thread only, with the window's context current.
#pragma once

#include <imgui.h>

#include <list>
#include <map>
#include <memory>
#include <tuple>

#include "desk/pyramid.h"
#include "desk/thumbnail_store.h"
#include "gl/texture.h"
#include "viewer/state.h"

namespace verdigrid {

class Thumbnails {
 public:
  // Another revision forgets every picture.
  void begin_frame(std::shared_ptr<const Pyramid> photo, std::uint32_t revision);
  // The crop, widened to a square with the photo's edge repeated; null while it is not made yet.
  ImTextureID picture(cv::Rect crop_px);
  bool wants_frame() const { return wants_frame_; }

 private:
  using Key = std::tuple<int, int, int, int>;
  struct Entry {
    Texture texture;
    std::uint64_t used_in_frame = 0;
  };
  void forget_unused();

  std::shared_ptr<const Pyramid> photo_;
  std::uint32_t revision_ = 0;
  std::uint64_t frame_ = 0;
  int made_ = 0;
  bool wants_frame_ = false;
  std::map<Key, Entry> entries_;
};

// Small pictures of photo files as textures, made by a ThumbnailStore's jobs; those that were not
// asked for lately go first. UI thread only, with the window's context current.
class FileThumbnails {
 public:
  explicit FileThumbnails(std::function<void()> wake) : store_(std::move(wake)) {}

  void begin_frame();
  FilePicture picture(const std::filesystem::path& file);
  bool is_busy() const { return store_.is_busy(); }

 private:
  struct FileEntry {
    Texture texture;
    float aspect = 1;
    std::uint64_t used_in_frame = 0;
  };

  ThumbnailStore store_;
  std::map<std::filesystem::path, FileEntry> textures_;
  std::uint64_t frame_ = 0;
};

}  // namespace verdigrid
