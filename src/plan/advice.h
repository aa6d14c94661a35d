// A sentence for the person at the bench, and how sure it is.
#pragma once

#include <string>

namespace verdigrid {

// Sources that are no publication.
inline constexpr const char* k_common_practice = "common practice, no source";
inline constexpr const char* k_reports = "practitioners' reports, unverified";
inline constexpr const char* k_memory = "from memory";

struct Advice {
  std::string id;        // "neutraliser", "oven", "ultrasonic" ...: what it is about
  std::string sentence;  // short; never "clean", "safe" or "OK" about a board
  std::string source;    // the primary source, or one of the three above
  bool refuses = false;  // the program refuses something here
  bool operator==(const Advice&) const = default;
};

// "sentence [source]"
std::string words(const Advice& advice);

}  // namespace verdigrid
