// Where models, shaders, assets and fonts lie: beside the program, then under the install prefix,
// then where --data DIR says.
//
// May be called from any thread.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace verdigrid {

class DataFiles {
 public:
  // `more`: the folder of --data, looked at last; empty: none.
  explicit DataFiles(std::filesystem::path more = {});
  explicit DataFiles(std::vector<std::filesystem::path> folders) : folders_(std::move(folders)) {}

  // "shaders/photo.frag" -> the first existing file.
  std::optional<std::filesystem::path> find(const std::string& name) const;

  // The same; throws Error{bad_input} that names the file and the folders looked at.
  std::filesystem::path get(const std::string& name) const;

  const std::vector<std::filesystem::path>& folders() const { return folders_; }

 private:
  std::vector<std::filesystem::path> folders_;
};

}  // namespace verdigrid
