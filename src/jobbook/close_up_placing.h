// Where a close-up that was filed at the bench lies on the photo of its side: found by itself,
// surveyed there, kept below the close-up's photo. One that cannot be placed stays filed, and its
// record says why, so that nobody looks for it again; one whose placing was cut off has no such
// word and is placed when the board is worked on next.
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
  std::string no_place;             // why it has no place; empty: it has one, or was not looked for
  std::string sentence;             // any of these, for the person
};

struct FiledCloseUp {
  std::string photo, board, file;  // record ids; name
  Side side = Side::front;
};

// Filed in the bench log of this board, neither placed nor said to have no place; oldest first.
std::vector<FiledCloseUp> close_ups_to_place(const JobBook& book, const std::string& board);

// `close_up_photo`: the record of the filed close-up. `overview` empty: the side was not surveyed.
PlacedPicture placed_picture(const JobBook& book, const std::string& close_up_photo,
                             const std::optional<Overview>& overview, const Detector& detector,
                             const DecodeOptions& decode = {}, const Work& work = {});

// The edits that keep the place, or the word that there is none; none where nothing was found out,
// or the photo's record is gone.
std::vector<Edit> placing_edits(JobBook& book, const std::string& close_up_photo,
                                const PlacedPicture& placed);

}  // namespace verdigrid
