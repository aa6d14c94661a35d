// The arrows between the folders of src, as the map in DEVELOPERS.md draws them.
#pragma once

#include <filesystem>
#include <map>
#include <set>
#include <string>
#include <vector>

namespace verdigrid::house {

using Folders = std::set<std::string>;

// Folder of src -> folders whose headers it may include and whose libraries it may link.
const std::map<std::string, Folders>& allowed_arrows();

// Library headers that only some folders may include: start of the header's name -> folders.
const std::map<std::string, Folders>& allowed_libraries();

// One sentence for each #include under `src` that goes against an arrow or takes a library that is
// kept out of its folder.
std::vector<std::string> wrong_includes(const std::filesystem::path& src);

// The same for the libraries that each folder's CMakeLists.txt links.
std::vector<std::string> wrong_links(const std::filesystem::path& src);

// Sources under `src` that no CMakeLists.txt of their folder names.
std::vector<std::string> unlisted_sources(const std::filesystem::path& src);

// Types that two headers under `src` define under one name: two meanings of one symbol in one
// program, which no compiler sees and which crashes.
std::vector<std::string> repeated_types(const std::filesystem::path& src);

}  // namespace verdigrid::house
