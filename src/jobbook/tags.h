// What the job book's printed tags mean, and filing a folder of photos by them.
//
// Errors as in job_book.h. A tag of another job book, a misread one and photos that follow neither
// are never guessed: they wait.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/work.h"
#include "jobbook/job_book.h"
#include "photo/decode.h"
#include "rectify/rectification.h"
#include "rectify/tag.h"

namespace verdigrid {

struct TagMeaning {
  std::string unit, board;  // ids
  Side side = Side::front;
};

// The tag for this board and side: the one printed before, or a new number.
TagCode tag_for(JobBook& book, const TagMeaning& meaning);
std::optional<TagMeaning> meaning_of(const JobBook& book, const TagCode& code);

struct InboxRow {
  enum Fate { tag, filed, known, waits, refused } fate = waits;
  std::string file;      // name
  std::string sentence;  // where it went, or why it waits
};

// Reads every file of the folder in the order of capture time, then name. Files themselves are left
// where they are; a second run files nothing twice.
std::vector<InboxRow> file_inbox(JobBook& book, const std::filesystem::path& folder,
                                 const DecodeOptions& decode = {}, const Work& work = {});

}  // namespace verdigrid
