#include "desk/layout_way.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "compare/place_layout.h"

namespace verdigrid {

namespace {

const ReferencePhoto* tie_to(const Layout& layout, const std::string& sha256) {
  for (const ReferencePhoto& photo : layout.reference_photos)
    if (photo.sha256 == sha256) return &photo;
  return nullptr;
}

// Drawn on this very photo, so that it goes where the photo's pixels go.
bool follows_photo(const Layout& layout, const std::string& photo_sha256) {
  return layout.source.origin == LayoutOrigin::hand && tie_to(layout, photo_sha256);
}

const ReferencePhoto* other_photo(const Layout& layout, Side side, const std::string& own_sha256) {
  for (const ReferencePhoto& photo : layout.reference_photos)
    if (photo.side == side && photo.sha256 != own_sha256) return &photo;
  return nullptr;
}

// Board points by way of the photo's pixels.
class Mover {
 public:
  Mover(Rectification from, const Rectification& to) : from_(std::move(from)), to_(to) {}
  cv::Point2d operator()(cv::Point2d p) const { return board_point(to_, photo_point(from_, p)); }
  double scale_at(cv::Point2d p) const {
    const cv::Point2d x = (*this)(p + cv::Point2d(1, 0)) - (*this)(p),
                      y = (*this)(p + cv::Point2d(0, 1)) - (*this)(p);
    return std::sqrt(std::abs(x.cross(y)));
  }
  void move(Ring& ring) const {
    for (cv::Point2d& p : ring) p = (*this)(p);
  }
  void move(Polygon& polygon) const {
    move(polygon.outer);
    polygon.outer = clockwise(std::move(polygon.outer));
    for (Ring& hole : polygon.holes) move(hole);
  }
  void move(Part& part) const {
    constexpr double k_degree = CV_PI / 180;
    const double scale = scale_at(part.centre), a = part.rotation_deg * k_degree;
    const cv::Point2d along =
        (*this)(part.centre + cv::Point2d(std::cos(a), -std::sin(a))) - (*this)(part.centre);
    part.rotation_deg = std::fmod(std::atan2(-along.y, along.x) / k_degree + 360, 360);
    part.body = cv::Size2d(part.body.width * scale, part.body.height * scale);
    for (Joint& joint : part.joints) joint.diameter *= scale, joint.centre = (*this)(joint.centre);
    part.centre = (*this)(part.centre);
  }

 private:
  Rectification from_;
  const Rectification& to_;
};

std::string size_words(const Layout& layout) {
  if (layout.outline.empty()) return {};
  const cv::Rect2d box = bounding_box(layout.outline.outer);
  return fmt::format("{:.1f} x {:.1f} {}", box.width, box.height,
                     layout.has_mm ? "mm" : "board px");
}

LaidLayout placed_by_photo(const Photo& photo, const Layout& layout, const ReferencePhoto& tie,
                           const PhotoStore& photos, const DecodeOptions& decode,
                           const Work& work) {
  const Photo first = decode_photo(photos.read(tie.sha256), tie.file, decode);
  const Rectification reference = reference_of(layout, tie.side).value();
  work.check();
  work.report(0.2);
  const BoardPhoto from{first.bgr, reference.outline_px}, to{photo.bgr, {}};
  const PlacedLayout placed = place_layout(layout, from, reference, to, {}, work.part(0.2, 1));
  LaidLayout laid;
  if (placed.rectification) {
    laid.rectification = *placed.rectification;
    laid.layout = std::make_shared<const Layout>(layout);
    laid.words = fmt::format("Placed by itself from {}.", tie.file);
  } else {
    laid.words = fmt::format("It could not be placed from {} ({}).", tie.file,
                             name(placed.registration.match));
  }
  for (const std::string& remark : placed.remarks) laid.words += " " + remark;
  return laid;
}

}  // namespace

void fill_board_size(const Layout& layout, RectifyOptions& options) {
  if (!layout.has_mm || layout.outline.empty() || options.board_mm || options.card ||
      options.distance_mm)
    return;
  options.board_mm = bounding_box(layout.outline.outer).size();
}

bool fits(const Layout& layout, const Rectification& r, const std::optional<cv::Size2d>& told_mm) {
  if (layout.outline.empty() || layout.has_mm != r.has_scale()) return false;
  const bool is_told =
      told_mm && (r.way == ScaleWay::board_size_outline || r.way == ScaleWay::board_size_corners);
  const cv::Size2d board = is_told ? *told_mm : board_size(r),
                   own = bounding_box(layout.outline.outer).size();
  constexpr double k_shorter = 0.03, k_longer_told = 0.03, k_longer_seen = 0.1;
  const double longest = std::max(own.width, own.height);  // what these are shares of
  const auto agrees = [&](double length, double own_length) {
    const double longer = (length - own_length) / longest;
    return longer > -k_shorter && longer < (is_told ? k_longer_told : k_longer_seen);
  };
  return agrees(board.width, own.width) && agrees(board.height, own.height);
}

std::string way_of_layout(const Document& d) {
  if (!d.layout) return {};
  if (follows_photo(*d.layout, d.photo_sha256)) return {};
  if (const ReferencePhoto* tie = other_photo(*d.layout, d.scale.side, d.photo_sha256))
    return "from " + tie->sha256;
  return "by " + size_words(*d.layout);
}

Layout layout_in_frame(const Layout& layout, const Rectification& r, const std::string& sha256,
                       const std::string& photo_name) {
  const ReferencePhoto* tie = tie_to(layout, sha256);
  if (!tie) return layout;
  const Mover mover(reference_of(layout, tie->side).value(), r);
  Layout out = layout;
  out.has_mm = r.has_scale();
  out.outline = r.outline_board;
  out.grid = grid_over(bounding_box(out.outline.outer), out.has_mm);
  for (Zone& zone : out.zones) mover.move(zone.polygon);
  for (Part& part : out.parts) mover.move(part);
  for (Hole& hole : out.holes)
    hole.diameter *= mover.scale_at(hole.centre), hole.centre = mover(hole.centre);
  for (LayoutNote& note : out.notes) mover.move(note.points);
  for (ReferencePoint& point : out.reference_points) point.centre = mover(point.centre);
  std::erase_if(out.reference_photos, [&](const ReferencePhoto& p) { return p.sha256 == sha256; });
  return tied_layout(out, r, photo_name, sha256);
}

LaidLayout laid_out(const Photo& photo, const Document& d, const PhotoStore& photos,
                    const DecodeOptions& decode, const Work& work) {
  RectifyOptions options = rectify_options(d.scale);
  if (!d.layout) return {rectify(photo, options, work), nullptr, {}};
  const Layout& layout = *d.layout;
  if (follows_photo(layout, d.photo_sha256)) {
    const Rectification r = rectify(photo, options, work);
    return {
        r, std::make_shared<const Layout>(layout_in_frame(layout, r, d.photo_sha256, d.photo_name)),
        "Drawn on this photo."};
  }
  std::string words;
  if (const ReferencePhoto* tie = other_photo(layout, d.scale.side, d.photo_sha256)) {
    if (photos.is_intact(tie->sha256)) {
      LaidLayout laid = placed_by_photo(photo, layout, *tie, photos, decode, work.part(0, 0.6));
      if (laid.layout) return laid;
      words = laid.words + " ";
    } else {
      words = fmt::format(
          "It is tied to {}, which this job book does not hold: open it together with that photo. ",
          tie->file);
    }
  }
  fill_board_size(layout, options);
  const Rectification r = rectify(photo, options, work.part(0.6, 1));
  if (fits(layout, r, options.board_mm))
    return {r, std::make_shared<const Layout>(layout),
            words + fmt::format("Laid on by its size, {}.", size_words(layout))};
  return {r, nullptr,
          words + (layout.outline.empty()
                       ? "It has no outline, so it cannot be laid on."
                       : fmt::format("It does not fit: it is {}, this board is not. Check the "
                                     "board's size, turn and side under Straighten.",
                                     size_words(layout)))};
}

}  // namespace verdigrid
