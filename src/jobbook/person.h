// The name that signs changes, asked once and kept in the settings folder (XDG Base Directory
// Specification: $XDG_CONFIG_HOME/verdigrid/person.json).
#pragma once

#include <filesystem>
#include <optional>
#include <string>

namespace verdigrid {

// $XDG_CONFIG_HOME or ~/.config, and $XDG_DATA_HOME or ~/.local/share, each with "verdigrid" below;
// empty when neither is set.
std::filesystem::path settings_folder();
std::filesystem::path data_folder();

std::optional<std::string> person_name(const std::filesystem::path& folder = settings_folder());

// Throws Error{storage}; an empty name is Error{wrong_use}.
void keep_person_name(const std::string& name,
                      const std::filesystem::path& folder = settings_folder());

}  // namespace verdigrid
