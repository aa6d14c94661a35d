// A power cut for this process: file calls below one folder go through, but what was not synced
// when the power fails is lost again.
//
// The test program defines write, pwrite, ftruncate, fsync, fdatasync, rename, unlink and open
// itself, so both SQLite and our own writer are watched as they are. Content counts as safe after
// fsync of the file, names after fsync of their folder. At the cut a random part of the unsynced
// writes has reached the disk (single 512-byte sectors of them), and a random number of the oldest
// unsynced renames, removals and new names.
#pragma once

#include <filesystem>

namespace power {

// Watch `folder`; the power fails at the `calls`-th watched call that changes something, and every
// later call fails with EIO.
void watch(const std::filesystem::path& folder, unsigned seed, int calls);
bool has_failed();

// Ends watching and puts the folder into the state that the disk would be found in. Nothing may be
// open any more.
void restore_after_cut();

}  // namespace power
