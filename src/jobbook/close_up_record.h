// A placed close-up in the job book: a "close-up" record below the close-up's photo, which names
// the photo of the side that it lies on and holds its own survey's files by SHA-256.
//
// Its survey is no "survey" record: it speaks for its place only, never for the side. Errors as in
// job_book.h and close_up_file.h.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "compare/close_up_file.h"
#include "jobbook/job_book.h"

namespace verdigrid {

// What is kept of it. Its files lie in the store already, so that they can be written on any
// thread; they are registered when it is kept.
struct CloseUpBody {
  std::string close_up_sha256;
  nlohmann::json body;
  std::vector<std::pair<std::string, std::uintmax_t>> files;  // SHA-256, bytes
};
CloseUpBody close_up_body(PhotoStore& store, const PlacedCloseUp& close_up,
                          const Survey& close_up_survey);

// `close_up_photo`: the record of the close-up's photo, whose role becomes "close-up". None where
// it is kept already, to the byte.
std::vector<Edit> placed_close_up_edits(JobBook& book, const std::string& close_up_photo,
                                        const CloseUpBody& close_up);

// The same as a change of its own; returns the record's id.
std::string keep_placed_close_up(JobBook& book, const std::string& close_up_photo,
                                 const PlacedCloseUp& close_up, const Survey& close_up_survey);

struct KeptCloseUp {
  std::string id, photo;  // of the record, and of the close-up's photo
  PlacedCloseUp close_up;
};

// Whether a place of this close-up's photo is kept, or was and somebody took it back.
bool was_placed(const JobBook& book, const Record& close_up_photo);

// The newest place of each close-up on the photo with these bytes, oldest first.
std::vector<KeptCloseUp> close_ups_on(const JobBook& book, const std::string& board,
                                      const std::string& photo_sha256);

}  // namespace verdigrid
