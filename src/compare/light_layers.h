// A plain and a cross-polarised photo of one side as two aligned layers. Crossed polarisers take
// away what is mirrored by wet, glossy and metal surfaces: the plain photo shows the sheen of a
// film, the other one the colour under the glare. Glare is what the plain photo shows brighter than
// the other one, brought to its light, shows anywhere near, and what leaves no colour in it at all.
//
// Both layers lie in px of the plain photo. BGR CV_8UC3. Same photos and options, same layers. May
// be called from any thread. Cost: that of an alignment and two photo checks.
#pragma once

#include <opencv2/core.hpp>
#include <string>

#include "base/work.h"
#include "compare/alignment.h"
#include "compare/look_change.h"
#include "photo/photo.h"

namespace verdigrid {

struct LightLayerOptions {
  AlignmentOptions alignment;
  LookChangeOptions look;
  double least_levels = 16;  // of 255, by which glare is brighter than the other photo there
  double reach_px = 6;       // glare is taken out so far beyond its border, 0..200
  double feather_px = 3;     // width over which the layers are mixed there, 0..100
  void check() const;        // throws Error{wrong_use} naming the field
};

struct LightLayers {
  cv::Mat cross_polarised;  // as the plain photo's camera sees it, its own light; black outside
  cv::Mat without_glare;  // plain; where that shows glare the other one, in the light of the plain
  cv::Mat from_cross;     // CV_8UC1, 255 where `without_glare` is the cross-polarised photo
  Alignment alignment;    // "before" is the plain photo
  Harmony harmony;        // of the cross-polarised photo to the plain one
  double glare_percent = 0;  // of the board in the plain photo
  double left_percent = 0;   // of the board: glare that neither photo sees through
};

// `rectification` of the plain photo. Throws as alignment_of.
LightLayers light_layers(const Photo& plain, const Rectification& rectification,
                         const Photo& cross_polarised, const LightLayerOptions& options = {},
                         const Work& work = {});

// layers.json: format "verdigrid-layers", version 1, assets/schema/layers.schema.json.
std::string layers_json(const LightLayers& layers, const Photo& plain,
                        const Photo& cross_polarised);

}  // namespace verdigrid
