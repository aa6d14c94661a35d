#include <fmt/format.h>

#include "layout/export.h"

namespace verdigrid {

namespace {

// RFC 4180: fields with comma, quote or line break are quoted, quotes doubled.
std::string field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string out = "\"";
  for (char c : text) out += c == '"' ? std::string("\"\"") : std::string(1, c);
  return out + "\"";
}

}  // namespace

std::string centroid_csv(const Layout& layout) {
  const char* unit = layout.has_mm ? "mm" : "board px";
  const cv::Rect2d box =
      layout.outline.empty() ? layout_box(layout) : bounding_box(layout.outline.outer);
  std::string out = fmt::format(
      "Designator,Value,Package,Kind,Mid X ({0}),Mid Y ({0}),Rotation (deg),Side,Width ({0}),"
      "Height ({0}),Shape\n",
      unit);
  for (const Part& p : layout.parts)
    out += fmt::format("{},{},{},{},{:.4f},{:.4f},{:.3f},{},{:.4f},{:.4f},{}\n",
                       field(p.designator), field(p.value), field(p.package), name(p.kind),
                       p.centre.x - box.x, box.y + box.height - p.centre.y, p.rotation_deg,
                       name(p.side), p.body.width, p.body.height, name(p.shape));
  return out;
}

}  // namespace verdigrid
