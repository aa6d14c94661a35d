// A document as a value: sections of text, tables and pictures, written the same to HTML
// (document_html.h) and to PDF (document_pdf.h).
//
// All text is UTF-8 and is shown as it is: the writers escape it.
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <variant>
#include <vector>

#include "base/files.h"

namespace verdigrid {

enum class Emphasis { plain, quiet, strong, caution };

struct Paragraph {
  std::string text;
  Emphasis tone = Emphasis::plain;
};

// Every row has as many cells as `head` (require). `is_number` columns are set to the right; one
// entry per column, or none at all.
struct Table {
  std::string caption;
  std::vector<std::string> head;
  std::vector<std::vector<std::string>> rows;
  std::vector<bool> is_number;
};

struct Picture {
  Bytes jpeg;
  cv::Size size_px;
  std::string alt;      // what it shows, for who does not see it; not empty (require)
  std::string caption;  // may be empty
};

// One picture that a switch puts over another of the same size. PDF shows `over` alone.
struct SwitchedPicture {
  Picture plain, over;
  std::string label;  // of the switch
};

// Two aligned pictures of the same size behind one slider. PDF shows them side by side.
struct Pair {
  Picture before, after;
  std::string caption;
};

// Small pictures in a row that wraps, captions below.
struct Gallery {
  std::vector<Picture> pictures;
};

struct TickList {
  std::vector<std::string> items;  // a box to tick before each
  std::vector<bool> is_ticked;     // one entry an item, or none at all
};

using Block = std::variant<Paragraph, Table, Picture, SwitchedPicture, Pair, Gallery, TickList>;

struct Section {
  std::string id;  // for links and for choosing: small letters and hyphens, unique
  std::string heading;
  std::vector<Block> blocks;
};

struct ReportDocument {
  std::string title, subtitle;
  std::vector<Section> sections;

  // Throws Error{internal} for what the comments above require.
  void check() const;
};

// `bgr` CV_8UC3 as a picture of at most `long_side_px`, JPEG without metadata.
Picture picture_of(const cv::Mat& bgr, int long_side_px, std::string alt, std::string caption = {});

}  // namespace verdigrid
