// A 24-megapixel JPEG of a drawn board, for the benchmarks that need no photo of a person's own.
#pragma once

#include "base/files.h"

namespace verdigrid {

// A desk, a green board with traces, parts and pads, some salt, camera noise. Deterministic.
Bytes drawn_jpeg();

}  // namespace verdigrid
