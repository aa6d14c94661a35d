// Every reader of files from outside as a function of bytes, for fuzzing and for the kept corpus.
//
// A target may return or throw an Error that a person can act on; anything else (another exception,
// Error{internal}, a sentence that is none, a value that does not survive being written and read
// again) is a fault. Targets that need files keep them in a folder of their own under the system's
// folder for temporary files; they are called from one thread.
#pragma once

#include <cstddef>
#include <span>
#include <string_view>

namespace verdigrid::fuzz {

using Input = std::span<const std::byte>;

struct Target {
  const char* name;
  void (*read)(Input input);
};

std::span<const Target> targets();

const Target& target_named(std::string_view name);  // throws std::out_of_range

// Calls the target and lets through only what it may do. Throws whatever else it did.
void try_input(const Target& target, Input input);

}  // namespace verdigrid::fuzz
