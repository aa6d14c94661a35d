#include "viewer/file_listing.h"

#include <algorithm>
#include <array>
#include <tuple>

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

// Only for the list: what a file is, is decided by its content when it is opened.
constexpr std::array k_endings{".jpg",  ".jpeg", ".png",  ".bmp", ".tif",
                               ".tiff", ".webp", ".heic", ".heif"};

}  // namespace

bool may_be_photo(const fs::path& path) {
  std::string ending = path.extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return std::find(k_endings.begin(), k_endings.end(), ending) != k_endings.end();
}

std::vector<ListedFile> listed(const fs::path& folder, Listing which) {
  std::vector<ListedFile> files;
  std::error_code code;
  for (const auto& entry :
       fs::directory_iterator(folder, fs::directory_options::skip_permission_denied, code)) {
    const std::string name = entry.path().filename().string();
    if (name.starts_with(".")) continue;
    const bool is_folder = entry.is_directory(code);
    if (is_folder || which == Listing::all || may_be_photo(entry.path()))
      files.push_back({name, is_folder});
  }
  std::sort(files.begin(), files.end(), [](const ListedFile& a, const ListedFile& b) {
    return std::tuple(!a.is_folder, a.name) < std::tuple(!b.is_folder, b.name);
  });
  return files;
}

}  // namespace verdigrid
