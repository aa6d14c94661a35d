// Runs the helper program on the bytes of one HEIC photo.
//
// Inside src/photo only (and its tests). May be called from any thread; the helper is always waited
// for.
#pragma once

#include <chrono>
#include <cstddef>
#include <filesystem>
#include <span>
#include <string>

#include "base/files.h"
#include "photo/heic_protocol.h"

namespace verdigrid {

struct HeicRun {
  std::filesystem::path helper;
  double limit_mp = 200;
  // Nine times what 200 megapixels of 10 bits take on one core (measured: 0.1 s a megapixel).
  std::chrono::milliseconds time_limit{180'000};
};

struct HeicReply {
  HeicAnswer answer;
  Bytes icc, exif, samples;
};

// Throws ContainerFault for what the helper refuses, and for a helper that is missing, crashes,
// stays silent longer than the time limit, or answers nonsense.
HeicReply heic_reply(std::span<const std::byte> bytes, const HeicRun& run);

// `wanted`, or else verdigrid-heic beside the running program, or in ../libexec/verdigrid from
// there. Throws ContainerFault when there is none.
std::filesystem::path heic_helper_path(const std::filesystem::path& wanted);

}  // namespace verdigrid
