// Where a close-up that was filed at the bench lies on the photo of its side: found by itself,
// surveyed there, kept below the close-up's photo. One that cannot be placed stays filed.
//
// Reading and placing only read the job book and may run on any thread with one of their own;
// keeping is quick. Cost: a few seconds a picture. Errors as in job_book.h.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/side.h"
#include "detect/detector.h"
#include "jobbook/close_up_record.h"
#include "photo/decode.h"

namespace verdigrid {

// The photo of a side that close-ups are placed on, with its survey.
struct Overview {
  std::shared_ptr<const Photo> photo;
  std::shared_ptr<const Survey> survey;
};

// That of the side's newest survey; empty where the side was not surveyed.
std::optional<Overview> overview_of(const JobBook& book, const std::string& board, Side side,
                                    const DecodeOptions& decode = {});

struct PlacedPicture {
  std::optional<CloseUpBody> body;  // empty: it was not placed
  std::string sentence;             // where it lies, or why it has no place
};

// `close_up_photo`: the record of the filed close-up. `overview` empty: the side was not surveyed.
PlacedPicture placed_picture(const JobBook& book, const std::string& close_up_photo,
                             const std::optional<Overview>& overview, const Detector& detector,
                             const DecodeOptions& decode = {}, const Work& work = {});

}  // namespace verdigrid
