// A throw-away job book with a clock and ids that are the same in every run.
#pragma once

#include <fmt/format.h>
#include <unistd.h>

#include <atomic>
#include <filesystem>
#include <memory>

#include "jobbook/job_book.h"

namespace verdigrid {

struct Scratch {
  std::filesystem::path folder;
  Scratch() {
    std::string pattern =
        (std::filesystem::temp_directory_path() / "verdigrid-book-XXXXXX").string();
    folder = ::mkdtemp(pattern.data());
  }
  ~Scratch() { std::filesystem::remove_all(folder); }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;
  std::filesystem::path book() const { return folder / "book"; }
};

inline JobBookOptions fixed_options(const std::string& who = "tester") {
  JobBookOptions o;
  o.who = who;
  const auto ticks = std::make_shared<int>(0);
  o.now = [ticks] {
    const int t = (*ticks)++;
    return fmt::format("2026-03-01T{:02}:{:02}:{:02}Z", t / 3600 % 24, t / 60 % 60, t % 60);
  };
  const auto seed = std::make_shared<std::uint32_t>(1);
  o.random = [seed] { return *seed = *seed * 1664525u + 1013904223u; };
  return o;
}

inline std::span<const std::byte> bytes_of(const std::string& text) {
  return std::as_bytes(std::span(text.data(), text.size()));
}

}  // namespace verdigrid
