// Tags: printed codes that say which unit, board and side the photos after them show.
//
// A tag is a number from 0 to 999999 and a check of three digits, as three ArUco markers
// (dictionary 6x6_1000; see card_layout.h for the source) side by side: thousands, rest, check.
// What they mean stands in the job book that printed them. May be called from any thread.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "photo/photo.h"

namespace verdigrid {

struct TagCode {
  int number = 0;  // 0..999999
  int check = 0;   // 0..999
  bool operator==(const TagCode&) const = default;
};

inline constexpr int k_tag_marker_cells = 8;  // per side, border included

// Black (true) and white cells of one of a tag's three markers, row by row. `id` 0..999.
std::vector<bool> tag_marker_cells(int id);

enum class TagSight { none, clear, unclear };
struct TagReading {
  TagSight sight = TagSight::none;
  TagCode code;  // when clear
};

// Unclear: markers of a tag are in view, but not exactly three of one size in one row.
TagReading read_tag(const Photo& photo);

}  // namespace verdigrid
