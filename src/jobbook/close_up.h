// Close-ups of the place that is worked on: pictures of a watched folder (a microscope camera)
// become photos of the board with the role "close-up", filed to the work item in the bench log.
//
// Reading is slow and touches no job book, so that it can run on any thread; keeping is quick.
// Errors as in job_book.h.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/side.h"
#include "jobbook/job_book.h"
#include "photo/decode.h"
#include "plan/bench_log.h"

namespace verdigrid {

// A whole picture whose file lies in the photo store.
struct ReadCloseUp {
  std::string file, sha256, captured_at;
  cv::Size size_px;
  std::uintmax_t bytes = 0;
  std::string fault;  // a sentence: it could not be read, and the rest is empty
};

// Pictures of the folder that are not in `seen`, by name. A file that was changed less than
// `settle_s` seconds ago is still being written and waits. Throws bad_input where the folder cannot
// be listed.
std::vector<std::filesystem::path> new_pictures(const std::filesystem::path& folder,
                                                const std::vector<std::filesystem::path>& seen,
                                                double settle_s);

// Reads it whole and puts its file into the store.
ReadCloseUp read_close_up(PhotoStore& store, const std::filesystem::path& path,
                          const DecodeOptions& decode = {});

struct CloseUpRow {
  std::string file;      // name
  std::string sentence;  // where it went, or why not
  bool is_filed = false, is_refused = false;
  std::string photo;  // its record where it is filed
  Side side = Side::front;
};

// Files the picture to the place that comes up now, unless the board has it already.
CloseUpRow keep_close_up(JobBook& book, const std::string& board, const ReadCloseUp& picture);
// The edits of that, for who keeps his own history of them; none where it is not filed.
std::vector<Edit> close_up_edits(const JobBook& book, const std::string& board,
                                 const ReadCloseUp& picture, CloseUpRow& row);

}  // namespace verdigrid
