// Lays parts of an invented board out without overlap. Internal to the generators.
#pragma once

#include <map>
#include <optional>

#include "synthetic/random.h"
#include "synthetic/spec.h"

namespace verdigrid::synthetic {

class Placer {
 public:
  Placer(cv::Size2d size_mm, std::uint64_t seed) : size_(size_mm), random_(seed) {}

  // Random package of the kind somewhere free; nothing when there is no room after some tries.
  bool add(Kind kind, Side side = Side::front);
  bool add(Kind kind, const std::string& package, Side side = Side::front);
  // A row or block of like parts in step.
  void add_block(Kind kind, const std::string& package, int columns, int rows);
  bool add_at_edge(Kind kind, const std::string& package);
  bool add_near(Kind kind, const std::string& package, const PlacedPart& other);
  std::vector<PlacedPart> parts() && { return std::move(parts_); }
  const std::vector<PlacedPart>& parts() const& { return parts_; }
  Random& random() { return random_; }

 private:
  cv::Rect2d box_of(const PlacedPart& part) const;
  bool is_free(const PlacedPart& part) const;
  bool place(PlacedPart part);
  std::string next_designator(Kind kind);

  cv::Size2d size_;
  Random random_;
  std::vector<PlacedPart> parts_;
  std::vector<std::pair<cv::Rect2d, Side>> taken_;
  std::map<std::string, int> counts_;
};

}  // namespace verdigrid::synthetic
