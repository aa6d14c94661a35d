// Which column of a centroid table means what, found by header synonyms.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "layout/import.h"

namespace verdigrid {

enum class CentroidColumn {
  designator,
  value,
  package,
  x,
  y,
  rotation,
  side,
  mirrored,  // yes or no instead of a side
  width,
  height,
  box_x0,
  box_y0,
  box_x1,
  box_y1,
  rating,
  kind,
};
inline constexpr size_t k_centroid_columns = 16;

struct CentroidHeader {
  std::array<std::optional<size_t>, k_centroid_columns> at;  // index of the field in a row
  std::optional<LengthUnit> unit;                            // as "(mm)", "_mil" say
  char separator = ',';                                      // ' ' means any white space

  std::optional<size_t> operator[](CentroidColumn column) const {
    return at[static_cast<size_t>(column)];
  }
  // Designator, x and y are the columns without which there is no table.
  bool is_complete() const;
};

// One record cut into fields; quotes as in RFC 4180.
std::vector<std::string> table_fields(std::string_view line, char separator);

// The header that this line is; a leading '#' is looked past. Not complete when it is none.
CentroidHeader centroid_header(std::string_view line);

}  // namespace verdigrid
