#include "base/data_files.h"

#include <fmt/format.h>

#include "base/error.h"

namespace verdigrid {

namespace fs = std::filesystem;

DataFiles::DataFiles(fs::path more) {
  std::error_code code;
  const fs::path program = fs::read_symlink("/proc/self/exe", code);
  if (!code)
    folders_ = {program.parent_path(), program.parent_path().parent_path() / "share" / "verdigrid"};
  if (!more.empty()) folders_.push_back(std::move(more));
}

std::optional<fs::path> DataFiles::find(const std::string& name) const {
  std::error_code code;
  for (const fs::path& folder : folders_)
    if (fs::is_regular_file(folder / name, code)) return folder / name;
  return std::nullopt;
}

fs::path DataFiles::get(const std::string& name) const {
  if (auto found = find(name)) return *std::move(found);
  std::string looked_at;
  for (const fs::path& folder : folders_)
    looked_at += (looked_at.empty() ? "" : ", ") + folder.string();
  throw Error(ErrorKind::bad_input, fmt::format("{}: not found in {}. Install the program again, "
                                                "or name its data folder with --data DIR.",
                                                name, looked_at));
}

}  // namespace verdigrid
