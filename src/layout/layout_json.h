// `*.layout.json`: the layout as a file. Schema: assets/schema/layout.schema.json.
//
// Version 2 has the net of each joint; version 1, without it, is read too.
//
// Numbers are written with as many digits as give the same number back; save then load is exact.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "layout/layout.h"

namespace verdigrid {

inline constexpr int k_layout_version = 2;

// UTF-8 text, two-space indent. Throws bad_input for what check_layout refuses.
std::string layout_json(const Layout& layout);

// Throws bad_input naming the JSON path of the wrong field, storage for a newer version. `where` is
// the file name, for the sentence.
Layout layout_from_json(std::string_view text, std::string_view where);

void save_layout(const std::filesystem::path& path, const Layout& layout);
Layout load_layout(const std::filesystem::path& path);  // at most 64 MiB

}  // namespace verdigrid
