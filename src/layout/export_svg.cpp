#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "layout/export.h"

namespace verdigrid {

namespace {

std::string escaped(const std::string& text) {
  std::string out;
  for (char c : text) {
    if (c == '&')
      out += "&amp;";
    else if (c == '<')
      out += "&lt;";
    else if (c == '>')
      out += "&gt;";
    else if (c == '"')
      out += "&quot;";
    else if (static_cast<unsigned char>(c) >= 0x20 || c == '\t')
      out += c;
    else
      out += ' ';  // XML 1.0 allows no other control character
  }
  return out;
}

// Draws in the coordinates of the view: the board frame, mirrored for the back.
class Drawing {
 public:
  Drawing(const Layout& layout, const DrawingOptions& options)
      : layout_(layout), options_(options) {
    box_ = layout.outline.empty() ? layout_box(layout) : bounding_box(layout.outline.outer);
    if (box_.width <= 0) box_.width = 1;
    if (box_.height <= 0) box_.height = 1;
    stroke_ = std::max(box_.width, box_.height) / 800;
  }

  std::string svg();

 private:
  bool is_back() const { return options_.view == DrawingView::back; }
  Side side() const { return is_back() ? Side::back : Side::front; }
  cv::Point2d seen(cv::Point2d p) const {
    if (is_back()) p.x = 2 * box_.x + box_.width - p.x;
    return p;
  }
  std::string path(const Ring& ring) const;
  std::string path(const Polygon& polygon) const;
  void text(cv::Point2d at, double size, const std::string& words, const char* more = "");
  void line(cv::Point2d a, cv::Point2d b, const char* more);
  void heading();
  void grid();
  void zones();
  void parts();
  void part(const Part& p);
  void notes();

  const Layout& layout_;
  DrawingOptions options_;
  cv::Rect2d box_;
  double stroke_ = 0.1;
  std::string out_;
};

std::string Drawing::path(const Ring& ring) const {
  std::string d;
  for (size_t i = 0; i < ring.size(); ++i) {
    const cv::Point2d p = seen(ring[i]);
    d += fmt::format("{}{:.3f} {:.3f}", i == 0 ? "M" : "L", p.x, p.y);
  }
  return d + "Z";
}

std::string Drawing::path(const Polygon& polygon) const {
  std::string d = path(polygon.outer);
  for (const Ring& hole : polygon.holes) d += path(hole);
  return d;
}

void Drawing::text(cv::Point2d at, double size, const std::string& words, const char* more) {
  const cv::Point2d p = seen(at);
  out_ += fmt::format("<text x=\"{:.3f}\" y=\"{:.3f}\" font-size=\"{:.3f}\" {}>{}</text>\n", p.x,
                      p.y + 0.35 * size, size, more, escaped(words));
}

void Drawing::line(cv::Point2d a, cv::Point2d b, const char* more) {
  const cv::Point2d p = seen(a), q = seen(b);
  out_ += fmt::format("<line x1=\"{:.3f}\" y1=\"{:.3f}\" x2=\"{:.3f}\" y2=\"{:.3f}\" {}/>\n", p.x,
                      p.y, q.x, q.y, more);
}

void Drawing::heading() {
  const double m = options_.margin, w = box_.width + 2 * m, h = box_.height + 2 * m;
  const char* unit = layout_.has_mm ? "mm" : "";
  out_ = fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" "
      "version=\"1.1\" width=\"{:.3f}{}\" height=\"{:.3f}{}\" viewBox=\"{:.3f} {:.3f} {:.3f} "
      "{:.3f}\" font-family=\"sans-serif\" text-anchor=\"middle\" stroke-width=\"{:.4f}\">\n"
      "<title>{}</title>\n",
      w, unit, h, unit, box_.x - m, box_.y - m, w, h, stroke_,
      escaped(fmt::format("{} {} ({})", layout_.board_type, layout_.revision, name(side()))));
  out_ += fmt::format(
      "<rect x=\"{:.3f}\" y=\"{:.3f}\" width=\"{:.3f}\" height=\"{:.3f}\" fill=\"white\"/>\n",
      box_.x - m, box_.y - m, w, h);
  if (!layout_.outline.empty())
    out_ += fmt::format(
        "<path class=\"outline\" d=\"{}\" fill=\"none\" stroke=\"black\" stroke-width=\"{:.4f}\" "
        "fill-rule=\"evenodd\"/>\n",
        path(layout_.outline), 3 * stroke_);
}

void Drawing::grid() {
  if (!layout_.grid) return;
  const Grid& g = *layout_.grid;
  const double x0 = g.frame.x, y0 = g.frame.y, x1 = x0 + g.frame.width, y1 = y0 + g.frame.height;
  const char* thin = "stroke=\"#999\"";
  const double size = std::min({g.square_height(), g.square_width(), options_.margin}) * 0.4;
  for (int c = 0; c <= g.columns; ++c)
    line({x0 + c * g.square_width(), y0}, {x0 + c * g.square_width(), y1}, thin);
  for (int r = 0; r <= g.rows; ++r)
    line({x0, y0 + r * g.square_height()}, {x1, y0 + r * g.square_height()}, thin);
  if (size <= 0) return;
  const double away = options_.margin * 0.5;
  for (int c = 0; c < g.columns; ++c)
    for (double y : {y0 - away, y1 + away})
      text({x0 + (c + 0.5) * g.square_width(), y}, size, std::to_string(c + 1), "class=\"column\"");
  for (int r = 0; r < g.rows; ++r)
    for (double x : {x0 - away, x1 + away})
      text({x, y0 + (r + 0.5) * g.square_height()}, size, row_letters(r), "class=\"row\"");
}

void Drawing::zones() {
  const double pitch = std::max(box_.width, box_.height) / 60;
  out_ += "<defs>\n";
  const auto pattern = [&](const char* id, const char* lines) {
    out_ += fmt::format(
        "<pattern id=\"{}\" patternUnits=\"userSpaceOnUse\" width=\"{:.3f}\" height=\"{:.3f}\" "
        "viewBox=\"0 0 8 8\"><path d=\"{}\" stroke=\"#444\" stroke-width=\"0.6\" "
        "fill=\"none\"/></pattern>\n",
        id, pitch, pitch, lines);
  };
  pattern("rising", "M0 8L8 0");
  pattern("falling", "M0 0L8 8");
  pattern("cross", "M0 8L8 0M0 0L8 8");
  pattern("level", "M0 4L8 4");
  pattern("upright", "M4 0L4 8");
  pattern("dots", "M3.4 4L4.6 4M4 3.4L4 4.6");
  out_ += "</defs>\n";
  for (const Zone& zone : layout_.zones) {
    if (zone.side && *zone.side != side()) continue;
    const std::string fill =
        zone.hatch == Hatch::none ? "none" : fmt::format("url(#{})", name(zone.hatch));
    out_ += fmt::format(
        "<path class=\"zone\" d=\"{}\" fill=\"{}\" fill-rule=\"evenodd\" stroke=\"black\" "
        "stroke-width=\"{:.4f}\" stroke-dasharray=\"{:.3f} {:.3f}\"/>\n",
        path(zone.polygon), fill, 2 * stroke_, 8 * stroke_, 4 * stroke_);
    const cv::Rect2d b = bounding_box(zone.polygon.outer);
    text({b.x + b.width / 2, b.y + b.height / 2}, std::min(b.width, b.height) / 6,
         fmt::format("{} ({})", zone.name, zone.importance),
         "class=\"zone\" font-weight=\"bold\" stroke=\"white\" paint-order=\"stroke\"");
  }
}

void Drawing::part(const Part& p) {
  const char* dash = p.side == side() ? "" : "stroke-dasharray=\"1 1\"";
  const double least = 8 * stroke_;  // a hundredth of the board: read on paper, if over the body
  double size = least;
  if (p.has_body()) {
    out_ += fmt::format("<path class=\"part\" d=\"{}\" fill=\"none\" stroke=\"black\" {}/>\n",
                        path(body_ring(p)), dash);
    size = std::clamp(std::min(p.body.width, p.body.height) * 0.45, least, 40 * stroke_);
  } else {
    line(p.centre - cv::Point2d(1, 0), p.centre + cv::Point2d(1, 0),
         "class=\"part\" stroke=\"black\"");
    line(p.centre - cv::Point2d(0, 1), p.centre + cv::Point2d(0, 1), "stroke=\"black\"");
  }
  text(p.centre, size, p.designator,
       "class=\"designator\" stroke=\"white\" paint-order=\"stroke\"");
  if (const auto minus = negative_end_point(p); minus && p.has_body())
    text(p.centre + (*minus - p.centre) * 0.75, size, "\xE2\x88\x92", "class=\"negative\"");
}

void Drawing::parts() {
  for (const Part& p : layout_.parts)
    if (p.side == side() || options_.draws_other_side) part(p);
  for (const Hole& hole : layout_.holes) {
    const cv::Point2d c = seen(hole.centre);
    out_ += fmt::format(
        "<circle class=\"hole\" cx=\"{:.3f}\" cy=\"{:.3f}\" r=\"{:.3f}\" fill=\"none\" "
        "stroke=\"#666\"/>\n",
        c.x, c.y, hole.diameter / 2);
  }
}

void Drawing::notes() {
  for (const LayoutNote& note : layout_.notes) {
    if (note.points.empty() || (note.side && *note.side != side())) continue;
    if (note.kind == LayoutNoteKind::outline)
      out_ += fmt::format("<path class=\"note\" d=\"{}\" fill=\"none\" stroke=\"black\"/>\n",
                          path(note.points));
    if (note.kind == LayoutNoteKind::arrow && note.points.size() > 1)
      line(note.points[0], note.points[1], "class=\"note\" stroke=\"black\"");
    text(note.points[0], 12 * stroke_, note.text.empty() ? "x" : note.text, "class=\"note\"");
  }
}

std::string Drawing::svg() {
  heading();
  grid();
  zones();
  parts();
  notes();
  return out_ + "</svg>\n";
}

}  // namespace

void DrawingOptions::check() const {
  if (!(margin >= 0 && margin <= 1e6))
    throw Error(ErrorKind::wrong_use, "Drawing: margin must be 0 to 1000000.");
}

std::string drawing_svg(const Layout& layout, const DrawingOptions& options) {
  options.check();
  check_layout(layout);
  return Drawing(layout, options).svg();
}

}  // namespace verdigrid
