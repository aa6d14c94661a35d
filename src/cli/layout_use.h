// A layout on the command line: read it, and lay it on a photo by its reference photo or by its
// size.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "cli/photo_arguments.h"
#include "compare/place_layout.h"

namespace CLI {
class App;
}

namespace verdigrid {

struct LayoutUse {
  std::filesystem::path layout;     // empty: none
  std::filesystem::path reference;  // the photo that it is tied to; empty: not used
  std::vector<std::string> pairs;   // "AX,AY,BX,BY" each: placed by hand
};

// --layout, --reference and --pair.
void add_layout_use(CLI::App& arguments, LayoutUse& into);

// Places the layout on the photo by its reference photo. Throws Error: bad_input when the layout is
// tied to no photo of that side or to another photo, wrong_use for a pair that cannot be read.
PlacedLayout placed_layout(const LayoutUse& use, const Layout& layout,
                           const PhotoArguments& arguments, const Photo& photo, const Work& work);

// The rectification of the photo in the layout's board frame: by the reference photo when one is
// given, else by the photo's own arguments and the layout's size. Throws Error: no_result when it
// does not fit, bad_input when it has no outline and no reference photo is given.
Rectification rectification_with(const LayoutUse& use, const Layout& layout,
                                 const PhotoArguments& arguments, const Photo& photo,
                                 const Work& work);

}  // namespace verdigrid
