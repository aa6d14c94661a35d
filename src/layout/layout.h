// The reference layout of one board type: outline, grid, zones, parts, holes, notes, reference
// points, and the photo it is tied to. One layout serves every unit of its type.
//
// Board frame as in rectify/rectification.h: origin at the top-left corner of the outline's
// bounding box, y down, as the front reads, the same coordinates on both sides. Lengths are mm when
// `has_mm`, else board px. Angles are degrees, counter-clockwise positive as the front reads, also
// for parts on the back. Values are plain and copyable; functions may be called from any thread.
#pragma once

#include <array>
#include <cstdint>
#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "base/side.h"
#include "layout/grid.h"
#include "layout/part_kind.h"

namespace verdigrid {

enum class Hatch { none, rising, falling, cross, level, upright, dots };
const char* name(Hatch hatch);

struct Zone {
  std::string name;    // unique in its layout, not empty
  Polygon polygon;     // board frame
  int importance = 3;  // 1 (least) to 5 (most)
  std::string note;
  Hatch hatch = Hatch::none;
  std::optional<Side> side;  // empty: both
  bool operator==(const Zone&) const = default;
};

// Which way the negative end points in the part's own frame (rotation 0, seen on its own side).
enum class NegativeEnd { unknown, left, right, up, down };
const char* name(NegativeEnd end);

enum class BodyShape { box, round };
const char* name(BodyShape shape);

// Where a part is soldered. A pad that goes through the board shows on both sides.
struct Joint {
  std::string pin;  // "1", "A12"; may be empty
  cv::Point2d centre;
  double diameter = 0;  // of a circle of the pad's area; 0: not known
  bool is_through = false;
  std::string net = {};  // joints of one net are connected by copper; empty: not known
  bool operator==(const Joint&) const = default;
};

struct Part {
  std::string designator;  // unique on its layout where known, not empty
  PartKind kind = PartKind::unknown;
  std::string package;      // as the source names it, or a name of layout/package_table.h
  cv::Point2d centre;       // of the body
  double rotation_deg = 0;  // [0, 360)
  Side side = Side::front;
  cv::Size2d body;  // at rotation 0; 0 x 0: size not known. Round: width = height = diameter
  BodyShape shape = BodyShape::box;
  std::string value;   // "100 uF"
  std::string rating;  // "16 V, 105 C"
  NegativeEnd negative_end = NegativeEnd::unknown;
  Chemistry chemistry = Chemistry::unknown;  // batteries only
  std::optional<double> frequency_hz;        // crystals only
  std::vector<Joint> joints;                 // board frame

  bool has_body() const { return body.width > 0 && body.height > 0; }
  bool operator==(const Part&) const = default;
};

// Body as a ring in the board frame, clockwise as seen: four corners, or 24 for a round body of the
// same area. Empty when the size is not known.
Ring body_ring(const Part& part);

// Middle of the body's edge at the negative end; the centre of a body without size. Empty when the
// end is not known.
std::optional<cv::Point2d> negative_end_point(const Part& part);

// A via or mounting hole: what lies on it may go through to the other side.
struct Hole {
  cv::Point2d centre;
  double diameter = 0;  // > 0
  bool is_plated = true;
  bool operator==(const Hole&) const = default;
};

enum class LayoutNoteKind { pin, outline, arrow, text };
const char* name(LayoutNoteKind kind);

// pin and text: one point; arrow: two (tail, head); outline: three or more.
struct LayoutNote {
  LayoutNoteKind kind = LayoutNoteKind::pin;
  std::string text;
  Ring points;
  std::optional<Side> side;  // empty: both
  bool operator==(const LayoutNote&) const = default;
};

// A place that is easy to point at on a photo: hole, fiducial, corner. For placing by hand.
struct ReferencePoint {
  std::string name;
  cv::Point2d centre;
  bool operator==(const ReferencePoint&) const = default;
};

// Lens of a reference photo: camera matrix and k1 k2 p1 p2 k3, as in rectify/rectification.h.
struct ReferenceLens {
  cv::Matx33d camera = cv::Matx33d::eye();
  std::array<double, 5> distortion{};
  bool operator==(const ReferenceLens&) const = default;
};

// The photo a layout is tied to, one per side at most.
struct ReferencePhoto {
  std::string file;    // file name as it was opened, without folders
  std::string sha256;  // of the file
  Side side = Side::front;
  cv::Size size_px;                                      // as decoded
  cv::Matx33d board_from_photo_px = cv::Matx33d::eye();  // of undistorted px
  std::optional<ReferenceLens> lens;                     // empty: none is known
  bool operator==(const ReferencePhoto&) const = default;
};

enum class LayoutOrigin { hand, centroid, kicad, ipc_d_356, gerber };
const char* name(LayoutOrigin origin);  // "hand", "centroid-csv", "kicad-pcb", "ipc-d-356",
                                        // "gerber-profile"

struct LayoutSource {
  LayoutOrigin origin = LayoutOrigin::hand;
  std::string file;                  // file name without folders; may be empty
  std::vector<std::string> remarks;  // what the importer assumed or left out, as sentences
  bool operator==(const LayoutSource&) const = default;
};

struct Layout {
  std::string board_type;  // "video card 12"
  std::string revision;    // may be empty
  bool has_mm = true;
  Polygon outline;  // empty: not known (then there is no grid either)
  std::optional<Grid> grid;
  std::vector<Zone> zones;
  std::vector<Part> parts;
  std::vector<Hole> holes;
  std::vector<LayoutNote> notes;
  std::vector<ReferencePoint> reference_points;
  std::vector<ReferencePhoto> reference_photos;
  LayoutSource source;
  bool operator==(const Layout&) const = default;
};

// A layout with this outline and the grid of layout/grid.h over it. The outline must have at least
// three points and a positive area (require).
Layout layout_over(const Polygon& outline, bool has_mm);

// Box that holds outline, zones, parts, holes; empty when there are none.
cv::Rect2d layout_box(const Layout& layout);

// Throws bad_input naming the field's JSON path and what is wrong with it ("parts[12].centre: not a
// finite number"), for anything the file format does not allow.
void check_layout(const Layout& layout);

}  // namespace verdigrid
