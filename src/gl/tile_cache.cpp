#include "gl/tile_cache.h"

namespace verdigrid {

void TileCache::begin_frame() {
  ++frame_;
  uploads_ = 0;
  wants_frame_ = false;
}

const Texture* TileCache::find(const TileKey& key) {
  const auto at = tiles_.find(key);
  if (at == tiles_.end()) return nullptr;
  at->second->used_in_frame = frame_;
  order_.splice(order_.begin(), order_, at->second);
  return &at->second->texture;
}

const Texture* TileCache::make(const TileKey& key, Filter filter,
                               const std::function<cv::Mat()>& pixels) {
  if (uploads_ >= uploads_per_frame_) {
    wants_frame_ = true;
    return nullptr;
  }
  ++uploads_;
  order_.push_front({key, Texture(pixels(), filter), frame_});
  tiles_[key] = order_.begin();
  bytes_ += order_.front().texture.bytes();
  make_room();
  return &order_.front().texture;
}

void TileCache::make_room() {
  while (bytes_ > limit_bytes_ && order_.size() > 1 && order_.back().used_in_frame != frame_) {
    bytes_ -= order_.back().texture.bytes();
    tiles_.erase(order_.back().key);
    order_.pop_back();
  }
}

void TileCache::forget(std::uint32_t picture) {
  for (auto at = order_.begin(); at != order_.end();) {
    if (at->key.picture != picture) {
      ++at;
      continue;
    }
    bytes_ -= at->texture.bytes();
    tiles_.erase(at->key);
    at = order_.erase(at);
  }
}

}  // namespace verdigrid
