// The photo and its layers as tiles on the graphics card. UI thread only.
#pragma once

#include <array>

#include "base/data_files.h"
#include "gl/quad_painter.h"
#include "gl/tile_cache.h"
#include "viewer/state.h"

namespace verdigrid {

class PhotoCanvas {
 public:
  explicit PhotoCanvas(const DataFiles& data);

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
  // A part of the window and how the photo plane lies in it.
  struct Frame {
    View view;
    cv::Rect2d screen;  // screen px
    cv::Size framebuffer;
    double per_screen;
  };
  // Photo and layers of the open work.
  void draw_work(const Desk& desk, const ViewerState& state, const Frame& frame);
  // Two aligned photos, as state.compare says.
  void draw_pair(const ComparedPictures& pair, const ViewerState& state, const Frame& frame);
  void draw_pairing(const Desk& desk, const ViewerState& state, cv::Size framebuffer,
                    double per_screen);
  void draw_plain(const Pyramid& photo, std::uint32_t picture, const ViewerState& state,
                  const Frame& frame);
  void draw_changes(const ComparedPictures& pair, const Frame& frame);
  void use_classes(const std::array<ImVec4, k_residue_count>& colours, float threshold);
  void draw_difference(const ComparedPictures& pair, float gain, const Frame& frame);
  std::vector<Visible> visible_tiles(const Pyramid& photo, const Frame& frame) const;
  void begin(const Frame& frame);
  const Texture* tile(const Layer& layer, const Visible& v);
  void draw_photo(const Layer& layer, const std::vector<Visible>& visible);
  void draw_overlay(const Shader& shader, const std::vector<Layer>& layers,
                    const std::vector<Visible>& visible);

  TileCache tiles_;
  QuadPainter painter_;
  Shader photo_, residue_, unseen_, difference_;
};

}  // namespace verdigrid
