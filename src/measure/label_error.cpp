#include "measure/label_error.h"

#include <array>

namespace verdigrid {

namespace {

struct Row {
  std::string_view detector_id;
  LabelError error;
};

// An unknown detector: a factor of three each way and half a percent of the board; our own caution.
constexpr LabelError k_unknown{.log_bias = 0, .log_sd = 0.56, .missed_share = 0.005};

constexpr std::array<Row, 0> k_rows{};

}  // namespace

LabelError label_error_of(std::string_view detector_id) {
  for (const Row& row : k_rows)
    if (row.detector_id == detector_id) return row.error;
  return k_unknown;
}

}  // namespace verdigrid
