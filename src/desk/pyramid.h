// Reduced copies of a picture for the canvas, and tiles cut from them.
//
// Level 0 is the picture itself (shared, never copied); level n has half the size of level n-1,
// rounded up. Photos are reduced by area mean, label-like pictures by priority, so that a one-pixel
// finding stays visible. Tiles hold 510 px of content and an apron of 1 px, repeated at the
// picture's edge: with linear filtering and no mipmaps no seam is seen. Pure; cost: about a third
// of a decode for all levels.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "base/work.h"

namespace verdigrid {

inline constexpr int k_tile_content_px = 510;
inline constexpr int k_tile_px = 512;  // content and apron

enum class Reduce {
  mean,     // CV_8UC3 photo
  larger,   // CV_8UC1: the larger of the four (confidence, unseen)
  nonzero,  // CV_8UC1: residue ids, none gives way to any; between two the one that stands more
            // often, then the smaller id
};

struct Pyramid {
  std::vector<cv::Mat> levels;
  int level_count() const { return static_cast<int>(levels.size()); }
  cv::Size tiles(int level) const;  // columns and rows of tiles
};

// Levels down to one that fits into a single tile.
Pyramid pyramid_of(const cv::Mat& picture, Reduce how, const Work& work = {});

// The level whose pixels are shown at a scale over 0.5 up to 1 screen px (finest level: any).
int level_for(double scale, int level_count);

// 512 x 512 of the picture's type; content of tile (column, row) with its apron; beyond the picture
// the edge is repeated.
cv::Mat tile_pixels(const Pyramid& pyramid, int level, int column, int row);

// Content rectangle of a tile in level-0 photo px (pixel borders: the first pixel spans -0.5..0.5),
// cut to the picture.
cv::Rect2d tile_rect_px(const Pyramid& pyramid, int level, int column, int row);

}  // namespace verdigrid
