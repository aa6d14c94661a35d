// A layout on a new photo: the layout is tied to one reference photo of its board type, the new
// photo is registered with that one, and gets a rectification in the layout's board frame.
//
// Board units are the layout's (mm, or board px). May be called from any thread. Cost: that of
// registered().
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "compare/registration.h"
#include "layout/layout.h"
#include "rectify/rectification.h"

namespace verdigrid {

struct PlacedLayout {
  Registration registration;
  std::optional<Rectification> rectification;  // of the new photo; empty: not placed
  Interval rms_board;                          // residual of what both photos show, board units
  double worst_board = 0;                      // largest mean residual of a block, board units
  std::vector<std::string> remarks;            // sentences, those of the registration included
};

// The photo that a layout is tied to, as a rectification: what straightening it gave, or what the
// layout file says (`reference_of`).
PlacedLayout place_layout(const Layout& layout, const BoardPhoto& reference,
                          const Rectification& reference_rectification, const BoardPhoto& photo,
                          const RegistrationOptions& options = {}, const Work& work = {});

// With point pairs set by hand (reference px, new photo px): see registered_by_hand.
PlacedLayout place_layout_by_hand(const Layout& layout, const BoardPhoto& reference,
                                  const Rectification& reference_rectification,
                                  const BoardPhoto& photo, const std::vector<PointPair>& pairs,
                                  const RegistrationOptions& options = {}, const Work& work = {});

// The layout's reference photo of that side; empty when it has none.
std::optional<Rectification> reference_of(const Layout& layout, Side side);

// The layout tied to a photo by its rectification, which must be in the layout's board frame.
Layout tied_layout(const Layout& layout, const Rectification& rectification,
                   const std::string& file, const std::string& sha256);

}  // namespace verdigrid
