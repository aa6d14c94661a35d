// How a layout comes to lie on the open photo: drawn on it by hand, placed by the photo it is tied
// to, or by the board's size.
//
// May be called from any thread. Cost: place_layout()'s where that is the way.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "base/work.h"
#include "desk/document.h"
#include "jobbook/photo_store.h"
#include "photo/decode.h"
#include "photo/photo.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct LaidLayout {
  Rectification rectification;           // of the open photo
  std::shared_ptr<const Layout> layout;  // in its board frame; null: none, or it does not fit
  std::string words;                     // how it lies, or why it does not
};

// Straightens the photo as the document says, with its layout laid on it.
LaidLayout laid_out(const Photo& photo, const Document& document, const PhotoStore& photos,
                    const DecodeOptions& decode, const Work& work = {});

// The same layout in the board frame of another rectification of the photo it is tied to: what was
// drawn stays on the pixels it was drawn on. Tied to `rectification` afterwards. Unchanged when it
// is tied to no photo of this content.
Layout layout_in_frame(const Layout& layout, const Rectification& rectification,
                       const std::string& photo_sha256, const std::string& photo_name);

// Changes when another rectification is needed, and not when zones or parts were edited.
std::string way_of_layout(const Document& document);

// A layout in mm knows the board's size: it stands in when no other way to a scale was given.
void fill_board_size(const Layout& layout, RectifyOptions& options);

// Whether a layout may be laid on by its size: the size that the board was told to have (where the
// photo was straightened by it), or else that of its outline as seen, is the layout's. An outline
// as seen takes in what stands over the board's edge, so it may be larger.
bool fits(const Layout& layout, const Rectification& rectification,
          const std::optional<cv::Size2d>& told_mm);

}  // namespace verdigrid
