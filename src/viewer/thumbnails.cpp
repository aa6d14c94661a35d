#include "viewer/thumbnails.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace verdigrid {

namespace {

constexpr int k_side_px = 128, k_made_per_frame = 8;
constexpr size_t k_kept = 400;  // 26 MB at most

// Cut from the level whose pixels are just finer than the picture's.
cv::Mat square_crop(const Pyramid& photo, cv::Rect crop_px) {
  const int side = std::max({1, crop_px.width, crop_px.height});
  const cv::Point middle(crop_px.x + crop_px.width / 2, crop_px.y + crop_px.height / 2);
  const int level = std::clamp(static_cast<int>(std::log2(std::max(1.0, side / double(k_side_px)))),
                               0, photo.level_count() - 1);
  const int k = 1 << level;
  const cv::Mat& picture = photo.levels[static_cast<size_t>(level)];
  const int small = std::max(1, side / k);
  const cv::Rect wanted(middle.x / k - small / 2, middle.y / k - small / 2, small, small);
  const cv::Rect inside = wanted & cv::Rect({0, 0}, picture.size());
  if (inside.empty()) return cv::Mat(1, 1, CV_8UC3, cv::Scalar::all(128));
  cv::Mat square, result;
  cv::copyMakeBorder(picture(inside), square, inside.y - wanted.y, wanted.br().y - inside.br().y,
                     inside.x - wanted.x, wanted.br().x - inside.br().x, cv::BORDER_REPLICATE);
  cv::resize(square, result, {k_side_px, k_side_px}, 0, 0,
             small > k_side_px ? cv::INTER_AREA : cv::INTER_LINEAR);
  return result;
}

}  // namespace

void Thumbnails::begin_frame(std::shared_ptr<const Pyramid> photo, std::uint32_t revision) {
  if (revision != revision_) entries_.clear();
  photo_ = std::move(photo);
  revision_ = revision;
  ++frame_;
  made_ = 0;
  wants_frame_ = false;
  forget_unused();
}

ImTextureID Thumbnails::picture(cv::Rect crop) {
  if (!photo_) return nullptr;
  const Key key{crop.x, crop.y, crop.width, crop.height};
  auto at = entries_.find(key);
  if (at == entries_.end()) {
    if (made_ >= k_made_per_frame) {
      wants_frame_ = true;
      return nullptr;
    }
    ++made_;
    at = entries_.emplace(key, Entry{Texture(square_crop(*photo_, crop), Filter::linear), 0}).first;
  }
  at->second.used_in_frame = frame_;
  // ImGui's OpenGL back end takes the texture's name as its id.
  return reinterpret_cast<ImTextureID>(static_cast<std::intptr_t>(at->second.texture.id()));
}

void FileThumbnails::begin_frame() {
  ++frame_;
  store_.tick();
  constexpr size_t k_textures = 256;  // 16 MB on the card at most
  if (textures_.size() > k_textures)
    std::erase_if(textures_, [&](const auto& e) { return e.second.used_in_frame + 1 < frame_; });
}

FilePicture FileThumbnails::picture(const std::filesystem::path& file) {
  auto at = textures_.find(file);
  if (at == textures_.end()) {
    const cv::Mat* pixels = store_.picture(file);
    if (!pixels) return {};
    const float aspect = static_cast<float>(pixels->cols) / static_cast<float>(pixels->rows);
    at = textures_.emplace(file, FileEntry{Texture(*pixels, Filter::linear), aspect, 0}).first;
  }
  at->second.used_in_frame = frame_;
  return {reinterpret_cast<ImTextureID>(static_cast<std::intptr_t>(at->second.texture.id())),
          at->second.aspect};
}

void Thumbnails::forget_unused() {
  if (entries_.size() <= k_kept) return;
  std::erase_if(entries_, [&](const auto& e) { return e.second.used_in_frame + 1 < frame_; });
}

}  // namespace verdigrid
