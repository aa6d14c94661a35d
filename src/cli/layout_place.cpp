// verdigrid layout tie and place: a layout and the photos of its board type.

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/error.h"
#include "base/files.h"
#include "base/sha256.h"
#include "cli/layout_parts.h"
#include "cli/progress_bar.h"
#include "cli/values.h"
#include "compare/place_layout.h"
#include "layout/layout_json.h"
#include "photo/decode.h"
#include "rectify/rectification_file.h"

namespace verdigrid {

namespace {

namespace fs = std::filesystem;

constexpr std::uintmax_t k_largest_photo = std::uintmax_t(1) << 30;

std::string sha256_of(const fs::path& path) { return sha256_hex(read_file(path, k_largest_photo)); }

// A layout in mm knows the board's size: it stands in when no other way to a scale was given.
void fill_board_size(const Layout& layout, RectifyOptions& options) {
  if (!layout.has_mm || layout.outline.empty() || options.board_mm || options.card ||
      options.distance_mm)
    return;
  options.board_mm = bounding_box(layout.outline.outer).size();
}

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

Rectification reference_rectification(const Layout& layout, const LayoutArguments& a) {
  auto reference = reference_of(layout, a.photo.rectify.side);
  if (!reference)
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: it is tied to no photo of the {}; tie it first: verdigrid layout "
                            "tie.",
                            a.layout.filename().string(), name(a.photo.rectify.side)));
  for (const ReferencePhoto& photo : layout.reference_photos)
    if (photo.side == a.photo.rectify.side && photo.sha256 != sha256_of(a.reference))
      throw Error(ErrorKind::bad_input,
                  fmt::format("{}: it is not the photo that the layout is tied to ({}); use that "
                              "one, or tie the layout to this one.",
                              a.reference.filename().string(), photo.file));
  return *reference;
}

PlacedLayout placed(const LayoutArguments& a, Session& session) {
  const Layout layout = load_layout(a.layout);
  const Rectification reference = reference_rectification(layout, a);
  ProgressBar bar(session, "Placing " + a.layout.filename().string());
  const Work work = bar.work();
  const Photo first = load_photo(a.reference, a.photo.decode);
  work.report(0.15);
  const Photo second = load_photo(a.photo.path, a.photo.decode);
  work.report(0.3);
  work.check();
  std::vector<PointPair> pairs;
  for (const std::string& text : a.pairs) pairs.push_back(pair_from(text));
  const BoardPhoto from{first.bgr, reference.outline_px};
  const OutlineAnswer outline = find_outline(second, {}, work.part(0.3, 0.4));
  const BoardPhoto to{second.bgr, outline.outline ? outline.outline->px : Polygon{}};
  if (pairs.empty()) return place_layout(layout, from, reference, to, {}, work.part(0.4, 1));
  return place_layout_by_hand(layout, from, reference, to, pairs, {}, work.part(0.4, 1));
}

}  // namespace

void set_up_layout_tie(CLI::App& app, LayoutArguments& into) {
  app.add_option("LAYOUT", into.layout, "Layout file of this board type")
      ->required()
      ->type_name("");
  add_photo_argument(app, into.photo);
  add_scale_arguments(app, into.photo);
  add_new_file_argument(app, into.out, "Layout file to write, ending in .layout.json");
}

int run_layout_tie(const LayoutArguments& a, Session& session) {
  a.out.check(".json");
  const Layout layout = load_layout(a.layout);
  PhotoArguments photo_arguments = a.photo;
  fill_board_size(layout, photo_arguments.rectify);
  photo_arguments.rectify.check();
  const Photo photo = load_photo(a.photo.path, a.photo.decode);
  const Rectification r = rectification_by(photo_arguments, photo, {});
  if (layout.has_mm && !r.has_scale())
    throw Error(
        ErrorKind::wrong_use,
        "The layout is in mm and the photo has no scale; give one, for example --board-mm.");
  save_layout(a.out.path,
              tied_layout(layout, r, a.photo.path.filename().string(), sha256_of(a.photo.path)));
  for (const std::string& remark : r.remarks) session.messages << remark << '\n';
  session.messages << "Written to " << a.out.path.string() << "; place it on photos of other units "
                   << "with verdigrid layout place.\n";
  return 0;
}

void set_up_layout_place(CLI::App& app, LayoutArguments& into) {
  app.add_option("LAYOUT", into.layout, "Layout file, tied to a reference photo")
      ->required()
      ->type_name("");
  app.add_option("REFERENCE", into.reference, "The photo that the layout is tied to")
      ->required()
      ->type_name("");
  add_photo_argument(app, into.photo);
  app.add_option_function<std::string>(
         "--side",
         [&into](const std::string& s) {
           into.photo.rectify.side = s == "back" ? Side::back : Side::front;
         },
         "Side of the board that both photos show: front (default) or back")
      ->check(CLI::IsMember({"front", "back"}))
      ->type_name("SIDE");
  app.add_option(
         "--pair", into.pairs,
         "The same place in the reference photo and in the photo, px; three or four of them "
         "place by hand")
      ->type_name("AX,AY,BX,BY");
  add_new_file_argument(app, into.out, "Rectification file to write, ending in .json");
}

int run_layout_place(const LayoutArguments& a, Session& session) {
  a.out.check(".json");
  const PlacedLayout p = placed(a, session);
  if (!p.rectification) {
    for (const std::string& remark : p.remarks) session.messages << remark << '\n';
    throw Error(ErrorKind::no_result,
                fmt::format("{}: the layout was not placed ({}).", a.photo.path.filename().string(),
                            name(p.registration.match)));
  }
  save_rectification(a.out.path, *p.rectification);
  for (const std::string& remark : p.remarks) session.messages << remark << '\n';
  const char* unit = p.rectification->has_scale() ? "mm" : "board px";
  session.out << fmt::format(
      "{}: placed; {:.2f} {} rms (95 %: {:.2f} to {:.2f}), worst place {:.2f} {}, {:.0f} % of the "
      "board agrees\n",
      a.photo.path.filename().string(), p.rms_board.value, unit, p.rms_board.low, p.rms_board.high,
      p.worst_board, unit, 100 * p.registration.agreement.share);
  session.messages << "Written to " << a.out.path.string()
                   << "; use it with verdigrid survey --rectification.\n";
  return 0;
}

}  // namespace verdigrid
