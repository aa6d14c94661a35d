#include "cli/named_photo.h"

#include "base/error.h"
#include "base/files.h"
#include "base/sha256.h"
#include "photo/decode.h"

namespace verdigrid {

namespace fs = std::filesystem;

std::optional<Photo> photo_named(const std::string& name, const std::string& sha256,
                                 const std::filesystem::path& given,
                                 const std::filesystem::path& folder) {
  const DecodeOptions decode;
  if (!given.empty()) {
    Photo photo = load_photo(given, decode);
    if (photo.meta.sha256 != sha256)
      throw Error(ErrorKind::bad_input, given.string() + ": is not the photo that was used (" +
                                            name + "). Name that one.");
    return photo;
  }
  for (const std::filesystem::path& place :
       {fs::absolute(folder).parent_path(), fs::absolute(folder), fs::current_path()}) {
    const fs::path path = place / name;
    std::error_code code;
    if (!fs::is_regular_file(path, code)) continue;
    const Bytes bytes = read_file(path, decode.file_limit_bytes);
    if (sha256_hex(bytes) == sha256) return decode_photo(bytes, name, decode);
  }
  return std::nullopt;
}

}  // namespace verdigrid
