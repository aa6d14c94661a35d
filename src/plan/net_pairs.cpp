#include "plan/net_pairs.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "base/error.h"
#include "base/polygon_distance.h"
#include "layout/layout.h"
#include "plan/board_facts.h"

namespace verdigrid {

namespace {

// What eats copper under it along its whole length.
bool reaches_traces(Residue r) { return is_corroding(r) || r == Residue::leak_film; }

struct NetJoint {
  const Part* part = nullptr;
  const Joint* joint = nullptr;
  bool shows = false;        // on the side of the residue
  std::vector<int> reached;  // indices of residue at it
};

// Residue with its boxes, so that most of it is passed over quickly.
class Residues {
 public:
  explicit Residues(const std::vector<ResidueShape>& shapes) : shapes_(shapes) {
    for (const ResidueShape& s : shapes) {
      boxes_.emplace_back();
      for (const Polygon& p : s.regions) boxes_.back().push_back(bounding_box(p.outer));
    }
  }

  const ResidueShape& operator[](int i) const { return shapes_[static_cast<size_t>(i)]; }

  // Indices of those within `distance` of the segment, a point where both ends are one.
  std::vector<int> near(cv::Point2d a, cv::Point2d b, double distance) const {
    std::vector<int> found;
    for (size_t i = 0; i < shapes_.size(); ++i)
      if (is_near(i, a, b, distance)) found.push_back(static_cast<int>(i));
    return found;
  }

 private:
  bool is_near(size_t i, cv::Point2d a, cv::Point2d b, double distance) const {
    for (size_t k = 0; k < boxes_[i].size(); ++k) {
      const cv::Rect2d& q = boxes_[i][k];
      const Ring corners{q.tl(), {q.br().x, q.y}, q.br(), {q.x, q.br().y}};
      if (segment_to_polygon(a, b, {corners, {}}) <= distance &&
          segment_to_polygon(a, b, shapes_[i].regions[k]) <= distance)
        return true;
    }
    return false;
  }

  const std::vector<ResidueShape>& shapes_;
  std::vector<std::vector<cv::Rect2d>> boxes_;
};

struct Edge {
  const NetJoint* from;
  const NetJoint* to;
  double length;
};

// Whether a meter between the two says something about copper.
bool may_pair(const NetJoint& a, const NetJoint& b, const NetPairOptions& o) {
  if (a.part == b.part && (a.joint->pin == b.joint->pin || (a.part->kind != PartKind::connector &&
                                                            a.part->kind != PartKind::socket)))
    return false;
  return cv::norm(a.joint->centre - b.joint->centre) >= o.apart_mm;
}

// Prim's tree over the joints of one net, in pieces where no pair is allowed.
std::vector<Edge> shortest_tree(const std::vector<NetJoint>& joints, const NetPairOptions& o) {
  const size_t n = joints.size();
  std::vector<double> least(n, HUGE_VAL);
  std::vector<size_t> by(n, 0);
  std::vector<bool> is_in(n, false);
  std::vector<Edge> edges;
  for (size_t step = 0; step < n; ++step) {
    size_t next = n;
    for (size_t i = 0; i < n; ++i)
      if (!is_in[i] && (next == n || least[i] < least[next])) next = i;
    if (std::isfinite(least[next]))
      edges.push_back({&joints[by[next]], &joints[next], least[next]});
    is_in[next] = true;
    for (size_t i = 0; i < n; ++i) {
      const double d = cv::norm(joints[i].joint->centre - joints[next].joint->centre);
      if (!is_in[i] && d < least[i] && may_pair(joints[i], joints[next], o))
        least[i] = d, by[i] = next;
    }
  }
  return edges;
}

// Each reached joint with the nearest that is not reached, else with the nearest.
std::vector<Edge> plane_pairs(const std::vector<NetJoint>& joints, const NetPairOptions& o) {
  std::vector<Edge> edges;
  for (const NetJoint& a : joints) {
    if (a.reached.empty()) continue;
    const NetJoint* best = nullptr;
    const auto key = [&a](const NetJoint& b) {
      return std::pair(!b.reached.empty(), cv::norm(a.joint->centre - b.joint->centre));
    };
    for (const NetJoint& b : joints)
      if (may_pair(a, b, o) && (!best || key(b) < key(*best))) best = &b;
    const auto is_same = [&](const Edge& e) { return e.from == best && e.to == &a; };
    if (best && std::none_of(edges.begin(), edges.end(), is_same))
      edges.push_back({&a, best, key(*best).second});
  }
  return edges;
}

std::vector<int> ids_of(const Residues& residues, const std::vector<int>& indices) {
  std::vector<int> ids;
  for (const int i : indices) ids.push_back(residues[i].id);
  std::sort(ids.begin(), ids.end());
  ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
  return ids;
}

struct Ranked {
  std::tuple<bool, bool, size_t, double> key;
  ReachedPair pair;
};

class PairFinder {
 public:
  PairFinder(const std::vector<ResidueShape>& shapes, const NetPairOptions& options)
      : residues_(shapes), options_(options) {}

  std::vector<int> at_joint(const Joint& joint) const {
    const double land = joint.diameter > 0 ? joint.diameter : options_.land_mm;
    return residues_.near(joint.centre, joint.centre, land / 2 + options_.joint_mm);
  }

  void add_net(const std::string& net, const std::vector<NetJoint>& joints) {
    const bool is_plane = joints.size() > static_cast<size_t>(options_.plane_joints);
    for (const Edge& e :
         is_plane ? plane_pairs(joints, options_) : shortest_tree(joints, options_)) {
      std::vector<int> near = e.from->reached;
      near.insert(near.end(), e.to->reached.begin(), e.to->reached.end());
      const bool at_joint = !near.empty();
      if (!is_plane && (e.from->shows || e.to->shows))
        for (const int i :
             residues_.near(e.from->joint->centre, e.to->joint->centre, options_.line_mm))
          if (reaches_traces(residues_[i].residue)) near.push_back(i);
      if (near.empty()) continue;
      const bool corrodes = std::any_of(
          near.begin(), near.end(), [this](int i) { return is_corroding(residues_[i].residue); });
      const bool starts_there = !e.from->reached.empty() || e.to->reached.empty();
      ranked_.push_back(
          {{!at_joint, !corrodes, joints.size(), e.length},
           {{net, pin(starts_there ? *e.from : *e.to), pin(starts_there ? *e.to : *e.from)},
            ids_of(residues_, near),
            at_joint}});
    }
  }

  std::vector<ReachedPair> pairs() {
    std::stable_sort(ranked_.begin(), ranked_.end(),
                     [](const Ranked& a, const Ranked& b) { return a.key < b.key; });
    std::vector<ReachedPair> list;
    for (Ranked& r : ranked_) list.push_back(std::move(r.pair));
    return list;
  }

 private:
  static PinName pin(const NetJoint& j) { return {j.part->designator, j.joint->pin}; }

  Residues residues_;
  const NetPairOptions& options_;
  std::vector<Ranked> ranked_;
};

std::string words(const PinName& p) {
  return p.pin.empty() ? p.designator : fmt::format("{} pin {}", p.designator, p.pin);
}

}  // namespace

void NetPairOptions::check() const {
  if (!(joint_mm >= 0 && land_mm >= 0 && line_mm >= 0 && apart_mm >= 0))
    throw Error(ErrorKind::wrong_use,
                "The options joint_mm, land_mm, line_mm and apart_mm must be 0 or more.");
  if (plane_joints < 2)
    throw Error(ErrorKind::wrong_use, "The option plane_joints must be 2 or more.");
}

std::string words(const NetPair& pair) {
  return fmt::format("net {}: {} to {}", pair.net, words(pair.from), words(pair.to));
}

std::vector<ReachedPair> net_pairs(const Layout& layout, Side side,
                                   const std::vector<ResidueShape>& residue,
                                   const NetPairOptions& options) {
  options.check();
  if (!layout.has_mm || residue.empty()) return {};
  PairFinder finder(residue, options);
  std::map<std::string, std::vector<NetJoint>> nets;
  for (const Part& part : layout.parts)
    for (const Joint& joint : part.joints) {
      if (joint.net.empty()) continue;
      NetJoint j{&part, &joint, joint.is_through || part.side == side, {}};
      if (j.shows) j.reached = finder.at_joint(joint);
      nets[joint.net].push_back(std::move(j));
    }
  for (const auto& [net, joints] : nets)
    if (joints.size() > 1) finder.add_net(net, joints);
  return finder.pairs();
}

}  // namespace verdigrid
