// Reading the layout of a board from the open formats that board designs come in. A file is
// recognised by its content, never by its name.
//
// Every reader gives an Imported: the layout in the file's own coordinates (mm) and which way its y
// runs; board_layout brings one or several of them to the board frame. What a reader assumed or
// left out stands in layout.source.remarks as sentences. Errors: bad_input naming file, line and
// what to do. Files over 64 MiB are refused. May be called from any thread.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/files.h"
#include "layout/layout.h"

namespace verdigrid {

enum class LayoutFormat { layout_file, centroid, kicad, ipc_d_356, gerber };
const char* name(LayoutFormat format);  // "layout file", "centroid table", "KiCad board",
                                        // "IPC-D-356 netlist", "Gerber profile"

enum class YAxis { up, down };
enum class LengthUnit { mm, mil, inch };
const char* name(LengthUnit unit);

struct ImportOptions {
  std::optional<YAxis> y_axis;     // centroid tables only; empty: what the table shows, else up
  std::optional<LengthUnit> unit;  // centroid tables only; empty: what the table says, else guessed
  std::optional<cv::Size2d>
      board_mm;  // width x height of a plain board, where no file has an outline
};

struct Imported {
  Layout layout;  // in the file's own coordinates; no grid
  YAxis y_axis = YAxis::down;
  LayoutFormat format = LayoutFormat::layout_file;
};

// Any text encoding that occurs in such files as UTF-8: UTF-8 with or without byte order mark,
// UTF-16 of either order with mark or plainly without, else Windows-1252. Throws bad_input when it
// is not text.
std::string utf8_text(const Bytes& bytes, std::string_view where);

// Empty when the text is none of them.
std::optional<LayoutFormat> sniffed_format(std::string_view text);

Imported imported_centroid(std::string_view text, std::string_view where,
                           const ImportOptions& options = {});
Imported imported_kicad(std::string_view text, std::string_view where);
Imported imported_ipc_d_356(std::string_view text, std::string_view where);
Imported imported_gerber_profile(std::string_view text, std::string_view where);

// Reads, sniffs, and calls the reader of that format.
Imported imported_file(const std::filesystem::path& path, const ImportOptions& options = {});

// One layout in the board frame, from files of one board that share their origin (an outline and a
// table of parts, say). The first outline wins. Positions of parts on the back that fit the outline
// only when mirrored are mirrored, and it is said. Without an outline the frame is the box of the
// parts and a remark says so.
// With options.board_mm it is a rectangle from the files' origin, or centred about the parts where
// they do not fit that.
Layout board_layout(const std::vector<Imported>& imported, const ImportOptions& options = {});

}  // namespace verdigrid
