#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "base/error.h"
#include "layout/centroid_columns.h"
#include "layout/import.h"
#include "layout/layout_json.h"

namespace verdigrid {

namespace {

constexpr std::uintmax_t k_largest_file = 64u << 20;
constexpr size_t k_lines_looked_at = 200;

std::vector<std::string_view> first_lines(std::string_view text) {
  std::vector<std::string_view> lines;
  for (size_t start = 0; start < text.size() && lines.size() < k_lines_looked_at;) {
    size_t end = text.find_first_of("\r\n", start);
    if (end == std::string_view::npos) end = text.size();
    if (end > start) lines.push_back(text.substr(start, std::min<size_t>(end - start, 4096)));
    start = end + 1;
  }
  return lines;
}

bool is_test_record(std::string_view line) {
  return (line.starts_with("317") || line.starts_with("327") || line.starts_with("367")) &&
         line.size() > 40 && line.find('X', 31) != std::string_view::npos;
}

// Number format or unit of RS-274X.
bool is_gerber_heading(std::string_view line) {
  for (std::string_view word : {"%FSL", "%FST", "%FSA", "%MOMM", "%MOIN"})
    if (line.find(word) != std::string_view::npos) return true;
  return false;
}

}  // namespace

const char* name(LayoutFormat format) {
  switch (format) {
    case LayoutFormat::layout_file:
      return "layout file";
    case LayoutFormat::centroid:
      return "centroid table";
    case LayoutFormat::kicad:
      return "KiCad board";
    case LayoutFormat::ipc_d_356:
      return "IPC-D-356 netlist";
    case LayoutFormat::gerber:
      return "Gerber profile";
  }
  return "";
}

std::optional<LayoutFormat> sniffed_format(std::string_view text) {
  const size_t start = text.find_first_not_of(" \t\r\n");
  if (start == std::string_view::npos) return std::nullopt;
  const std::string_view head = text.substr(start);
  if (head.starts_with('{')) return LayoutFormat::layout_file;
  if (head.starts_with("(kicad_pcb")) return LayoutFormat::kicad;
  const std::vector<std::string_view> lines = first_lines(head);
  const auto any = [&](auto holds) { return std::any_of(lines.begin(), lines.end(), holds); };
  if (any(is_gerber_heading)) return LayoutFormat::gerber;
  if (any(is_test_record)) return LayoutFormat::ipc_d_356;
  if (any([](std::string_view l) { return centroid_header(l).is_complete(); }))
    return LayoutFormat::centroid;
  return std::nullopt;
}

Imported imported_file(const std::filesystem::path& path, const ImportOptions& options) {
  const std::string where = path.filename().string();
  const std::string text = utf8_text(read_file(path, k_largest_file), where);
  const auto format = sniffed_format(text);
  if (!format)
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: none of the formats that can be read: layout file, centroid table "
                            "with a header line, KiCad board, IPC-D-356 netlist, Gerber profile.",
                            where));
  Imported out;
  switch (*format) {
    case LayoutFormat::layout_file:
      out.layout = layout_from_json(text, where);
      break;
    case LayoutFormat::centroid:
      out = imported_centroid(text, where, options);
      break;
    case LayoutFormat::kicad:
      out = imported_kicad(text, where);
      break;
    case LayoutFormat::ipc_d_356:
      out = imported_ipc_d_356(text, where);
      break;
    case LayoutFormat::gerber:
      out = imported_gerber_profile(text, where);
      break;
  }
  return out;
}

}  // namespace verdigrid
