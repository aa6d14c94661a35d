// verdigrid layout tie and place: a layout and the photos of its board type.

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/error.h"
#include "base/files.h"
#include "base/sha256.h"
#include "cli/layout_parts.h"
#include "cli/progress_bar.h"
#include "layout/layout_json.h"
#include "photo/decode.h"
#include "rectify/rectification_file.h"

namespace verdigrid {

namespace {

constexpr std::uintmax_t k_largest_photo = std::uintmax_t(1) << 30;

PlacedLayout placed(const LayoutArguments& a, Session& session) {
  const Layout layout = load_layout(a.use.layout);
  ProgressBar bar(session, "Placing " + a.use.layout.filename().string());
  const Work work = bar.work();
  const Photo photo = load_photo(a.photo.path, a.photo.decode);
  work.report(0.1);
  return placed_layout(a.use, layout, a.photo, photo, work.part(0.1, 1));
}

void add_layout(CLI::App& app, LayoutArguments& into, const char* help) {
  app.add_option("LAYOUT", into.use.layout, help)->required()->type_name("");
}

}  // namespace

void set_up_layout_tie(CLI::App& app, LayoutArguments& into) {
  add_layout(app, into, "Layout file of this board type");
  add_photo_argument(app, into.photo);
  add_scale_arguments(app, into.photo);
  add_new_file_argument(app, into.out, "Layout file to write, ending in .layout.json");
}

int run_layout_tie(const LayoutArguments& a, Session& session) {
  a.out.check(".json");
  const Layout layout = load_layout(a.use.layout);
  const Photo photo = load_photo(a.photo.path, a.photo.decode);
  const Rectification r = rectification_with(a.use, layout, a.photo, photo, {});
  if (layout.has_mm && !r.has_scale())
    throw Error(
        ErrorKind::wrong_use,
        "The layout is in mm and the photo has no scale; give one, for example --board-mm.");
  save_layout(a.out.path, tied_layout(layout, r, a.photo.path.filename().string(),
                                      sha256_hex(read_file(a.photo.path, k_largest_photo))));
  for (const std::string& remark : r.remarks) session.messages << remark << '\n';
  session.messages << "Written to " << a.out.path.string() << "; place it on photos of other units "
                   << "with verdigrid layout place.\n";
  return 0;
}

void set_up_layout_place(CLI::App& app, LayoutArguments& into) {
  add_layout(app, into, "Layout file, tied to a reference photo");
  app.add_option("REFERENCE", into.use.reference, "The photo that the layout is tied to")
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
         "--pair", into.use.pairs,
         "The same place in the reference photo and in the photo, px; three or four of them "
         "place by hand")
      ->type_name("AX,AY,BX,BY");
  add_new_file_argument(app, into.out, "Rectification file to write, ending in .json");
}

int run_layout_place(const LayoutArguments& a, Session& session) {
  a.out.check(".json");
  const PlacedLayout p = placed(a, session);
  for (const std::string& remark : p.remarks) session.messages << remark << '\n';
  if (!p.rectification)
    throw Error(ErrorKind::no_result,
                fmt::format("{}: the layout was not placed ({}).", a.photo.path.filename().string(),
                            name(p.registration.match)));
  save_rectification(a.out.path, *p.rectification);
  const char* unit = p.rectification->has_scale() ? "mm" : "board px";
  session.out << fmt::format(
      "{}: placed; {:.2f} {} rms, patch by patch (95 %: {:.2f} to {:.2f}); averaged over each 36th "
      "of the board at most {:.2f} {}; {:.0f} % of the board agrees\n",
      a.photo.path.filename().string(), p.rms_board.value, unit, p.rms_board.low, p.rms_board.high,
      p.worst_board, unit, 100 * p.registration.agreement.share);
  session.messages << "Written to " << a.out.path.string()
                   << "; use it with verdigrid survey --rectification.\n";
  return 0;
}

}  // namespace verdigrid
