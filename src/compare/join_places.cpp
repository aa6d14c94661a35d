#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "compare/alignment.h"
#include "compare/join_parts.h"

namespace verdigrid {

namespace {

constexpr int k_grid = 14;  // places each way over an overlap
// Of 70 overlaps of rendered boards with tall parts, those that were aligned wrongly had an
// agreeing share of 0.08 and less, all others 0.11 and more.
constexpr double k_sure_share = 0.2, k_doubtful_share = 0.1;

// The photo stands in for the board: its own px are the frame.
Rectification own_frame(const cv::Mat& bgr) {
  Rectification r;
  r.photo_size_px = bgr.size();
  r.outline_is_frame = true;
  const double w = bgr.cols, h = bgr.rows;
  r.outline_board.outer = {{0, 0}, {w, 0}, {w, h}, {0, h}};
  return r;
}

bool is_in(cv::Size size, cv::Point2d p, double margin) {
  return p.x >= margin && p.y >= margin && p.x <= size.width - 1 - margin &&
         p.y <= size.height - 1 - margin;
}

// Places of a lattice over `a` that `map` takes into `b`.
std::vector<PointPair> overlap(cv::Size a, cv::Size b, const PointMap& map) {
  std::vector<PointPair> out;
  const double margin = 0.01 * std::max(a.width, a.height);
  for (int j = 0; j < k_grid; ++j)
    for (int i = 0; i < k_grid; ++i) {
      const cv::Point2d p{(i + 0.5) * a.width / k_grid, (j + 0.5) * a.height / k_grid};
      const cv::Point2d q = map(p);
      if (is_in(a, p, margin) && is_in(b, q, margin)) out.push_back({p, q, 1});
    }
  return out;
}

// Four places of the overlap, far apart.
std::vector<PointPair> corners_of(const std::vector<PointPair>& places) {
  std::vector<PointPair> out;
  for (const cv::Point2d way : {cv::Point2d(-1, -1), {1, -1}, {1, 1}, {-1, 1}})
    out.push_back(*std::max_element(places.begin(), places.end(),
                                    [&](const PointPair& x, const PointPair& y) {
                                      return x.first_px.dot(way) < y.first_px.dot(way);
                                    }));
  return out;
}

struct Link {
  PlaneMap map;               // from a to b
  double agreeing_share = 0;  // as in Alignment
};

// From a to b, from a rough map; empty when the two hardly overlap.
std::optional<Link> link_between(const Photo& a, const Photo& b, const PointMap& rough,
                                 const JoinOptions& options, const Work& work) {
  const auto places = overlap(a.bgr.size(), b.bgr.size(), rough);
  if (static_cast<double>(places.size()) < options.least_overlap * k_grid * k_grid)
    return std::nullopt;
  const auto corners = corners_of(places);
  AlignmentOptions alignment;
  alignment.registration = options.registration;
  alignment.by_hand = corners;
  const Alignment found = alignment_of({a.bgr, {}}, own_frame(a.bgr), {b.bgr, {}}, alignment, work);
  if (found.match != Match::same) return std::nullopt;
  return Link{found.after_from_before, found.agreeing_share};
}

class Placing {
 public:
  Placing(const std::vector<Photo>& photos, const JoinOptions& options, const Work& work)
      : photos_(photos), options_(options), work_(work), is_placed_(photos.size(), false) {
    out_.photo_from_first.resize(photos.size());
    PlaneMap own;
    own.first = own.second = plain_lens(photos[0].bgr.size());
    out_.photo_from_first[0] = own;
    is_placed_[0] = true;
  }

  JoinPlaces places() {
    size_t placed = 1;
    while (placed < photos_.size()) {
      if (!place_one()) throw_not_placed();
      work_.report(0.8 * static_cast<double>(++placed) / static_cast<double>(photos_.size()));
    }
    add_other_overlaps();
    return std::move(out_);
  }

 private:
  struct Waiting {
    size_t base = 0, next = 0;
    Link link;
  };

  bool place_one();
  void place(size_t base, size_t next, const Link& link);
  void add_pairs(size_t a, size_t b, const PlaneMap& map);
  void add_other_overlaps();
  [[noreturn]] void throw_not_placed() const;

  const std::vector<Photo>& photos_;
  const JoinOptions& options_;
  const Work& work_;
  std::vector<bool> is_placed_;
  std::vector<std::pair<size_t, size_t>> done_;
  std::vector<Waiting> waiting_;
  JoinPlaces out_;
};

// Neighbours in the order of taking first. A link of which little agrees waits until there is no
// surer one: what is placed wrongly takes others along.
bool Placing::place_one() {
  for (size_t next = 0; next < photos_.size(); ++next) {
    if (is_placed_[next]) continue;
    std::vector<size_t> order;
    for (size_t i = 0; i < photos_.size(); ++i)
      if (is_placed_[i]) order.push_back(i);
    std::stable_sort(order.begin(), order.end(), [next](size_t x, size_t y) {
      const auto far = [next](size_t i) { return i < next ? next - i : i - next; };
      return far(x) < far(y);
    });
    for (const size_t base : order) {
      const auto been = std::pair(base, next);
      if (std::find(done_.begin(), done_.end(), been) != done_.end()) continue;
      done_.push_back(been);
      work_.check();
      const Registration r = registered({photos_[base].bgr, {}}, {photos_[next].bgr, {}},
                                        options_.registration, {work_.stop, {}});
      if (!r.is_placed()) continue;
      const auto link =
          link_between(photos_[base], photos_[next], r.warp, options_, {work_.stop, {}});
      if (!link) continue;
      if (link->agreeing_share < k_sure_share) {
        waiting_.push_back({base, next, *link});
        continue;
      }
      place(base, next, *link);
      return true;
    }
  }
  std::erase_if(waiting_, [this](const Waiting& w) { return is_placed_[w.next]; });
  const auto best =
      std::max_element(waiting_.begin(), waiting_.end(), [](const Waiting& x, const Waiting& y) {
        return x.link.agreeing_share < y.link.agreeing_share;
      });
  if (best == waiting_.end()) return false;
  const Waiting w = *best;
  place(w.base, w.next, w.link);
  return true;
}

void Placing::place(size_t base, size_t next, const Link& link) {
  add_pairs(base, next, link.map);
  // First photo to `next` through `base`, as one homography.
  PlaneMap through;
  through.first = plain_lens(photos_[0].bgr.size());
  through.second = plain_lens(photos_[next].bgr.size());
  through.second_from_first =
      link.map.second_from_first * out_.photo_from_first[base].second_from_first;
  out_.photo_from_first[next] = through;
  is_placed_[next] = true;
}

void Placing::add_pairs(size_t a, size_t b, const PlaneMap& map) {
  for (const PointPair& p : overlap(photos_[a].bgr.size(), photos_[b].bgr.size(), map))
    out_.pairs.push_back({a, b, p.first_px, p.second_px});
}

void Placing::add_other_overlaps() {
  for (size_t a = 0; a < photos_.size(); ++a)
    for (size_t b = a + 1; b < photos_.size(); ++b) {
      if (std::any_of(out_.pairs.begin(), out_.pairs.end(), [&](const JoinPair& p) {
            return (p.a == a && p.b == b) || (p.a == b && p.b == a);
          }))
        continue;
      const PlaneMap to_first = inverted(out_.photo_from_first[a]);
      const PointMap rough = [&](cv::Point2d p) { return out_.photo_from_first[b](to_first(p)); };
      const auto link = link_between(photos_[a], photos_[b], rough, options_, {work_.stop, {}});
      if (link && link->agreeing_share >= k_doubtful_share) add_pairs(a, b, link->map);
    }
}

void Placing::throw_not_placed() const {
  for (size_t i = 0; i < photos_.size(); ++i)
    if (!is_placed_[i])
      throw Error(ErrorKind::no_result,
                  fmt::format("{}: was not found on any of the other photos; take photos that "
                              "overlap by a third, of one side of one board.",
                              photos_[i].meta.name));
  throw Error(ErrorKind::internal, "Internal fault: no photo was left to place. Please report it.");
}

}  // namespace

JoinPlaces join_places(const std::vector<Photo>& photos, const JoinOptions& options,
                       const Work& work) {
  return Placing(photos, options, work).places();
}

}  // namespace verdigrid
