#include "cli/layout_use.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/error.h"
#include "base/files.h"
#include "base/sha256.h"
#include "cli/values.h"
#include "desk/layout_way.h"
#include "layout/layout_json.h"
#include "photo/decode.h"

namespace verdigrid {

namespace {

namespace fs = std::filesystem;

constexpr std::uintmax_t k_largest_photo = std::uintmax_t(1) << 30;

// "AX,AY,BX,BY" -> a place in the reference photo and the same place in the new one.
PointPair pair_from(const std::string& text) {
  size_t second_comma = text.find(',');
  if (second_comma != std::string::npos) second_comma = text.find(',', second_comma + 1);
  if (second_comma == std::string::npos)
    throw Error(ErrorKind::wrong_use,
                fmt::format("--pair needs AX,AY,BX,BY (px in the reference photo, px in the new "
                            "photo), not \"{}\".",
                            text));
  return {point_from("--pair", text.substr(0, second_comma)),
          point_from("--pair", text.substr(second_comma + 1)), 1};
}

Rectification reference_rectification(const LayoutUse& use, const Layout& layout, Side side) {
  const auto reference = reference_of(layout, side);
  if (!reference)
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: it is tied to no photo of the {}; tie it first: verdigrid layout "
                            "tie.",
                            use.layout.filename().string(), name(side)));
  const std::string sha256 = sha256_hex(read_file(use.reference, k_largest_photo));
  for (const ReferencePhoto& photo : layout.reference_photos)
    if (photo.side == side && photo.sha256 != sha256)
      throw Error(ErrorKind::bad_input,
                  fmt::format("{}: it is not the photo that the layout is tied to ({}); use that "
                              "one, or tie the layout to this one.",
                              use.reference.filename().string(), photo.file));
  return *reference;
}

Rectification laid_by_size(const LayoutUse& use, const Layout& layout, PhotoArguments arguments,
                           const Photo& photo, const Work& work) {
  const std::string file = use.layout.filename().string();
  if (layout.outline.empty())
    throw Error(ErrorKind::bad_input,
                file +
                    ": it has no outline, so where its parts lie on the photo is not known; "
                    "import it again with the board's outline or --board-mm.");
  if (arguments.rectification_file.empty()) fill_board_size(layout, arguments.rectify);
  Rectification r = rectification_by(arguments, photo, work);
  if (layout.has_mm != r.has_scale() || fits(layout, r, arguments.rectify.board_mm)) return r;
  const cv::Size2d own = bounding_box(layout.outline.outer).size(), board = board_size(r);
  throw Error(ErrorKind::no_result,
              fmt::format("{}: it is {:.1f} x {:.1f} {unit}, this board {:.1f} x {:.1f} {unit}; "
                          "check the board's size, turn and side, or place it by --reference.",
                          file, own.width, own.height, board.width, board.height,
                          fmt::arg("unit", layout.has_mm ? "mm" : "board px")));
}

}  // namespace

void add_layout_use(CLI::App& arguments, LayoutUse& into) {
  constexpr char k_group[] = "Layout of the board type";
  CLI::Option* layout =
      arguments
          .add_option("--layout", into.layout,
                      "Layout file: areas by zone, parts reached, places by its grid")
          ->type_name("FILE")
          ->group(k_group);
  CLI::Option* reference =
      arguments
          .add_option("--reference", into.reference,
                      "The photo that the layout is tied to; by it the layout is placed")
          ->type_name("PHOTO")
          ->needs(layout)
          ->group(k_group);
  arguments
      .add_option("--pair", into.pairs,
                  "The same place in the reference photo and in this one, px; three or four of "
                  "them place the layout by hand")
      ->type_name("AX,AY,BX,BY")
      ->needs(reference)
      ->group(k_group);
}

PlacedLayout placed_layout(const LayoutUse& use, const Layout& layout,
                           const PhotoArguments& arguments, const Photo& photo, const Work& work) {
  const Rectification reference = reference_rectification(use, layout, arguments.rectify.side);
  std::vector<PointPair> pairs;
  for (const std::string& text : use.pairs) pairs.push_back(pair_from(text));
  const Photo first = load_photo(use.reference, arguments.decode);
  work.report(0.2);
  work.check();
  const OutlineAnswer outline = find_outline(photo, {}, work.part(0.2, 0.3));
  const BoardPhoto from{first.bgr, reference.outline_px};
  const BoardPhoto to{photo.bgr, outline.outline ? outline.outline->px : Polygon{}};
  if (pairs.empty()) return place_layout(layout, from, reference, to, {}, work.part(0.3, 1));
  return place_layout_by_hand(layout, from, reference, to, pairs, {}, work.part(0.3, 1));
}

Rectification rectification_with(const LayoutUse& use, const Layout& layout,
                                 const PhotoArguments& arguments, const Photo& photo,
                                 const Work& work) {
  if (use.reference.empty()) {
    return laid_by_size(use, layout, arguments, photo, work);
  }
  PlacedLayout placed = placed_layout(use, layout, arguments, photo, work);
  if (placed.rectification) return *placed.rectification;
  std::string why;
  for (const std::string& remark : placed.remarks) why += " " + remark;
  throw Error(ErrorKind::no_result, fmt::format("{}: the layout was not placed ({}).{}",
                                                arguments.path.filename().string(),
                                                name(placed.registration.match), why));
}

}  // namespace verdigrid
