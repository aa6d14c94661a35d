// A photo of which name and hash are known, found again among files.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "photo/photo.h"

namespace verdigrid {

// The one given (Error{bad_input} when it is another), else a file of its name beside `folder`, in
// it, or where we stand; empty: not found.
std::optional<Photo> photo_named(const std::string& name, const std::string& sha256,
                                 const std::filesystem::path& given,
                                 const std::filesystem::path& folder);

}  // namespace verdigrid
