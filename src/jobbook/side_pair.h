// The photos that speak for one side of a board, and which two of them are compared when nobody
// names them.
//
// The newest photo after arrival is compared with the newest arrival photo before it; once the
// board was handed over, later looks (came back, or any photo taken after) are compared with the
// hand-over photo. Errors as in job_book.h.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/side.h"
#include "jobbook/job_book.h"

namespace verdigrid {

struct SidePhoto {
  std::string id, role, at;  // record; ISO 8601: when it was taken, else kept
};

// Oldest first; without close-ups and looks under a socket.
std::vector<SidePhoto> side_photos(const JobBook& book, const std::string& board, Side side);

struct SidePair {
  std::string before, after;  // photo records
};

// Empty where a photo is missing.
std::optional<SidePair> side_pair_if_any(const JobBook& book, const std::string& board, Side side);

// Throws Error{wrong_use} that says which photo is missing.
SidePair side_pair(const JobBook& book, const std::string& board, Side side);

}  // namespace verdigrid
