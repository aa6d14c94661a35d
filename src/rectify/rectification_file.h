// A rectification as JSON (format "verdigrid-rectification", version 1, schema
// assets/schema/rectification.schema.json): every number is written so that it reads back bit for
// bit.
//
// Loading throws Error{bad_input} for what is no rectification, Error{storage} for a newer version.
// May be called from any thread.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "rectify/rectification.h"

namespace verdigrid {

std::string rectification_json(const Rectification& r);
Rectification rectification_from_json(std::string_view text, const std::string& name);

void save_rectification(const std::filesystem::path& path, const Rectification& r);
Rectification load_rectification(const std::filesystem::path& path);

// For a second photo of the same camera position. Throws Error{bad_input} when its size is another.
void check_fits(const Rectification& r, cv::Size photo_size_px, const std::string& name);

}  // namespace verdigrid
