// verdigrid layout import|check|draw|tie|place: the reference layout of a board type.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <set>
#include <sstream>

#include "base/error.h"
#include "base/files.h"
#include "cli/command.h"
#include "cli/layout_parts.h"
#include "cli/nested.h"
#include "cli/values.h"
#include "layout/export.h"
#include "layout/import.h"
#include "layout/layout_json.h"

namespace verdigrid {

namespace {

namespace fs = std::filesystem;

void say_remarks(const std::vector<std::string>& remarks, Session& session) {
  for (const std::string& remark : remarks) session.messages << remark << '\n';
}

size_t net_count(const Layout& layout) {
  std::set<std::string> nets;
  for (const Part& part : layout.parts)
    for (const Joint& joint : part.joints)
      if (!joint.net.empty()) nets.insert(joint.net);
  return nets.size();
}

// "video.layout.json: 189 parts (3 on the back), 90 nets, 2 zones, 51 holes; 312.0 x 106.7 mm, grid
// 8 x 4".
std::string summary_of(const std::string& name, const Layout& layout) {
  const auto back = std::count_if(layout.parts.begin(), layout.parts.end(),
                                  [](const Part& part) { return part.side == Side::back; });
  std::string line = fmt::format("{}: {} parts ({} on the back), {} nets, {} zones, {} holes", name,
                                 layout.parts.size(), back, net_count(layout), layout.zones.size(),
                                 layout.holes.size());
  if (layout.outline.empty()) return line + "; no outline";
  const cv::Rect2d box = bounding_box(layout.outline.outer);
  line +=
      fmt::format("; {:.1f} x {:.1f} {}", box.width, box.height, layout.has_mm ? "mm" : "board px");
  if (layout.grid) line += fmt::format(", grid {} x {}", layout.grid->columns, layout.grid->rows);
  return line;
}

int run_import(const LayoutArguments& a, Session& session) {
  a.out.check(".json");
  std::vector<Imported> all;
  for (const fs::path& file : a.files) all.push_back(imported_file(file, a.import));
  Layout layout = board_layout(all, a.import);
  if (!a.board_type.empty()) layout.board_type = a.board_type;
  if (!a.revision.empty()) layout.revision = a.revision;
  save_layout(a.out.path, layout);
  say_remarks(layout.source.remarks, session);
  session.out << summary_of(a.out.path.filename().string(), layout) << '\n';
  return 0;
}

int run_check(const LayoutArguments& a, Session& session) {
  for (const fs::path& file : a.files) {
    const Layout layout = board_layout({imported_file(file, a.import)}, a.import);
    say_remarks(layout.source.remarks, session);
    session.out << summary_of(file.filename().string(), layout) << '\n';
  }
  return 0;
}

int run_draw(const LayoutArguments& a, Session& session) {
  const std::string ending = a.out.path.extension().string();
  if (ending != ".svg" && ending != ".csv")
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: its name must end in .svg (drawing) or .csv (centroid table); "
                            "choose another.",
                            a.out.path.string()));
  a.out.check(ending.c_str());
  const Layout layout = board_layout({imported_file(a.files.front(), a.import)}, a.import);
  write_file(a.out.path, ending == ".svg" ? drawing_svg(layout, a.drawing) : centroid_csv(layout));
  session.messages << "Written to " << a.out.path.string() << ".\n";
  return 0;
}

void add_import_options(CLI::App& app, LayoutArguments& into) {
  app.add_option_function<std::string>(
         "--y",
         [&into](const std::string& s) {
           into.import.y_axis = s == "up" ? YAxis::up : YAxis::down;
         },
         "Which way y runs in a centroid table: up or down (default: what the table shows)")
      ->check(CLI::IsMember({"up", "down"}))
      ->type_name("WAY");
  app.add_option_function<std::string>(
         "--unit",
         [&into](const std::string& s) {
           into.import.unit = s == "mm"    ? LengthUnit::mm
                              : s == "mil" ? LengthUnit::mil
                                           : LengthUnit::inch;
         },
         "Unit of a centroid table that names none: mm, mil or inch")
      ->check(CLI::IsMember({"mm", "mil", "inch"}))
      ->type_name("UNIT");
  app.add_option_function<std::string>(
         "--board-mm",
         [&into](const std::string& text) { into.import.board_mm = size_from("--board-mm", text); },
         "Width x height of the board, where no file has its outline")
      ->type_name("WxH");
}

void set_up_import(CLI::App& app, LayoutArguments& into) {
  app.add_option("FILES", into.files,
                 "Centroid table, KiCad board, IPC-D-356 netlist, Gerber profile or layout file; "
                 "several of one board and one origin are put together")
      ->required()
      ->type_name("");
  add_import_options(app, into);
  app.add_option("--board-type", into.board_type, "What boards of this type are called");
  app.add_option("--revision", into.revision, "Revision printed on the board");
  add_new_file_argument(app, into.out, "Layout file to write, ending in .layout.json");
}

void set_up_check(CLI::App& app, LayoutArguments& into) {
  app.add_option("FILES", into.files, "Files to read and judge")->required()->type_name("");
  add_import_options(app, into);
}

void set_up_draw(CLI::App& app, LayoutArguments& into) {
  app.add_option("FILE", into.files, "Layout file, or any file that import reads")
      ->required()
      ->expected(1)
      ->type_name("");
  add_import_options(app, into);
  app.add_option_function<std::string>(
         "--side",
         [&into](const std::string& s) {
           into.drawing.view = s == "back" ? DrawingView::back : DrawingView::front;
         },
         "Side to draw, as it reads: front (default) or back")
      ->check(CLI::IsMember({"front", "back"}))
      ->type_name("SIDE");
  app.add_flag("--both", into.drawing.draws_other_side, "Parts of the other side too, dashed");
  add_new_file_argument(app, into.out, "Drawing (.svg) or centroid table (.csv) to write");
}

constexpr Nested<LayoutArguments> k_table[] = {
    {"import", "Make a layout file from what board designs come in", set_up_import, run_import},
    {"check", "Say what a layout or design file holds, and what is wrong with it", set_up_check,
     run_check},
    {"draw", "Draw a layout for paper, or write its centroid table", set_up_draw, run_draw},
    {"tie", "Tie a layout to the reference photo of its board type", set_up_layout_tie,
     run_layout_tie},
    {"place", "Place a layout on a photo of another unit, by its reference photo",
     set_up_layout_place, run_layout_place},
};

}  // namespace

CommandRun layout_command(CLI::App& arguments) {
  return nested_command<LayoutArguments>(arguments, k_table);
}

}  // namespace verdigrid
