// What the sources of JobBook share.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>

namespace verdigrid {

inline constexpr const char* k_job_book_file = "job-book.sqlite";

// The body of a record as it stands in the database, or none.
inline std::optional<nlohmann::json> parsed_body(const std::optional<std::string>& text) {
  return text ? std::optional(nlohmann::json::parse(*text)) : std::nullopt;
}

}  // namespace verdigrid
