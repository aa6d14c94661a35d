// What a folder holds for the photo chooser: folders first, then files that may be photos by their
// ending. Listed by the window's loop, not while drawing.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace verdigrid {

struct ListedFile {
  std::string name;
  bool is_folder = false;
};

// By its ending: only for lists, what a file is is decided by its content when it is opened.
bool may_be_photo(const std::filesystem::path& path);

// Hidden names are left out; an unreadable folder gives an empty list.
enum class Listing { photos, all };
std::vector<ListedFile> listed(const std::filesystem::path& folder,
                               Listing which = Listing::photos);

}  // namespace verdigrid
