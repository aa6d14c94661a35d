// Tiles on the graphics card: asked for by key, made at most a few a frame, the least recently used
// thrown out at a byte limit.
//
// Knows pixels and ids only. UI thread only, with the window's context current.
#pragma once

#include <cstdint>
#include <functional>
#include <list>
#include <unordered_map>

#include "gl/texture.h"

namespace verdigrid {

struct TileKey {
  std::uint32_t picture = 0;  // changes with every revision of a picture
  std::uint16_t level = 0, column = 0, row = 0;
  bool operator==(const TileKey&) const = default;
};

struct TileKeyHash {
  size_t operator()(const TileKey& k) const {
    return (static_cast<size_t>(k.picture) * 0x9e3779b97f4a7c15u) ^
           (static_cast<size_t>(k.level) << 40) ^ (static_cast<size_t>(k.column) << 20) ^ k.row;
  }
};

class TileCache {
 public:
  explicit TileCache(size_t limit_bytes = size_t{256} << 20, int uploads_per_frame = 4)
      : limit_bytes_(limit_bytes), uploads_per_frame_(uploads_per_frame) {}

  void begin_frame();
  const Texture* find(const TileKey& key);  // null when it is not there; counts as a use
  // Makes the tile from `pixels()` when this frame may still upload; null otherwise (another frame
  // is then wanted).
  const Texture* make(const TileKey& key, Filter filter, const std::function<cv::Mat()>& pixels);
  bool wants_frame() const { return wants_frame_; }
  size_t bytes() const { return bytes_; }
  size_t tiles() const { return tiles_.size(); }
  void forget(std::uint32_t picture);

 private:
  struct Entry {
    TileKey key;
    Texture texture;
    std::uint64_t used_in_frame;
  };
  void make_room();

  size_t limit_bytes_, bytes_ = 0;
  int uploads_per_frame_, uploads_ = 0;
  bool wants_frame_ = false;
  std::uint64_t frame_ = 0;
  std::list<Entry> order_;  // most recently used first
  std::unordered_map<TileKey, std::list<Entry>::iterator, TileKeyHash> tiles_;
};

}  // namespace verdigrid
