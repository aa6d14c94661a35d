#include "photo/recognise.h"

#include "photo/format.h"

namespace verdigrid {

bool is_picture_file(std::span<const std::byte> bytes) {
  return file_format(bytes).kind != FileKind::unknown;
}

}  // namespace verdigrid
