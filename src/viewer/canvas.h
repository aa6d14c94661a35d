// The photo and its layers as tiles on the graphics card. UI thread only.
#pragma once

#include "base/data_files.h"
#include "gl/quad_painter.h"
#include "gl/tile_cache.h"
#include "viewer/state.h"

namespace verdigrid {

class Canvas {
 public:
  explicit Canvas(const DataFiles& data);

  // Draws below all ImGui windows; `framebuffer_per_screen`: framebuffer px per window px.
  void draw(const Desk& desk, const ViewerState& state, cv::Size framebuffer,
            double framebuffer_per_screen);
  bool wants_frame() const { return tiles_.wants_frame(); }
  size_t bytes() const { return tiles_.bytes(); }

 private:
  struct Layer {
    const Pyramid* pyramid;
    std::uint32_t picture;
    Filter filter;
  };
  struct Visible {
    int level, column, row;
  };
  const Texture* tile(const Layer& layer, const Visible& v);
  void draw_photo(const Layer& layer, const std::vector<Visible>& visible);
  void draw_overlay(const Shader& shader, const std::vector<Layer>& layers,
                    const std::vector<Visible>& visible);

  TileCache tiles_;
  QuadPainter painter_;
  Shader photo_, residue_, unseen_;
};

}  // namespace verdigrid
