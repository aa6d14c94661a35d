// Which two photos of one side are compared when nobody names them.
//
// The newest photo after arrival is compared with the newest arrival photo before it; once the
// board was handed over, later looks (came back, or any photo taken after) are compared with the
// hand-over photo. Errors as in job_book.h.
#pragma once

#include <string>

#include "base/side.h"
#include "jobbook/job_book.h"

namespace verdigrid {

struct SidePair {
  std::string before, after;  // photo records
};

// Throws Error{wrong_use} that says which photo is missing.
SidePair side_pair(const JobBook& book, const std::string& board, Side side);

}  // namespace verdigrid
