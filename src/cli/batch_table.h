// The results of a batch, gathered: one line a photo, in the order of their names, the same to the
// byte however often the batch was stopped and however it was split.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "cli/batch_items.h"

namespace verdigrid {

struct Gathered {
  std::string csv;  // RFC 4180, UTF-8, units in the headers
  // The folder of each item's survey, in the order of the items; empty: in none of `results`.
  std::vector<std::filesystem::path> folders;
};

// `results`: folders that run_batch wrote, in any order; the first that has a photo counts.
Gathered gathered(const std::vector<BatchItem>& items,
                  const std::vector<std::filesystem::path>& results);

}  // namespace verdigrid
