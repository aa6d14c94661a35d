// What a batch works through: the photos of a folder, or the lines of a manifest.
//
// A manifest is CSV (RFC 4180, UTF-8) with a header; "photo" is required, "board_mm" (WxH), "side"
// (front or back), "unit" and "board" may stand beside it. Paths are relative to the manifest.
#pragma once

#include <filesystem>
#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/side.h"

namespace verdigrid {

struct BatchItem {
  std::filesystem::path photo;
  std::string name;  // of its folder in the results: unique in the batch
  std::optional<cv::Size2d> board_mm;
  Side side = Side::front;
  std::string unit, board;  // of the job book; may be empty
};

// One of `count` shares of a batch, `index` from 1.
struct Shard {
  int index = 1, count = 1;
};

// "2/8"; throws Error{wrong_use}.
Shard shard_from(const std::string& text);

// Sorted by name. A folder gives the files in it whose name ends like a photo's; whether they are
// photos is seen when they are read. Throws Error{bad_input} that names the line of a manifest, and
// for a folder without photos.
std::vector<BatchItem> batch_items(const std::filesystem::path& source);

// Every item belongs to exactly one shard, by its place in the sorted list.
std::vector<BatchItem> items_of(const std::vector<BatchItem>& items, const Shard& shard);

}  // namespace verdigrid
