// Which kind of file the bytes are, whatever the name says.
//
// Inside src/photo only. Looks at the first bytes; nothing is decoded. May be called from any
// thread.
#pragma once

#include <cstddef>
#include <span>
#include <string>

namespace verdigrid {

enum class FileKind { jpeg, png, bmp, tiff, webp, heic, camera_raw, other_picture, unknown };

struct FileFormat {
  FileKind kind = FileKind::unknown;
  std::string what;  // in words, for messages: "a GIF picture", "a camera raw file"
};

// Camera raw files that are built as TIFF are told apart here by the marks that stand in their
// first bytes; those that only their tags give away are recognised by the TIFF reader.
FileFormat file_format(std::span<const std::byte> bytes);

}  // namespace verdigrid
