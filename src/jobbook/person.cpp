#include "jobbook/person.h"

#include <cstdlib>
#include <nlohmann/json.hpp>

#include "base/error.h"
#include "base/files.h"

namespace verdigrid {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

constexpr std::uintmax_t k_limit_bytes = 1 << 20;

fs::path xdg_folder(const char* variable, const char* below_home) {
  const char* set = std::getenv(variable);
  if (set && fs::path(set).is_absolute()) return fs::path(set) / "verdigrid";
  const char* home = std::getenv("HOME");
  return home && *home ? fs::path(home) / below_home / "verdigrid" : fs::path();
}

}  // namespace

fs::path settings_folder() { return xdg_folder("XDG_CONFIG_HOME", ".config"); }
fs::path data_folder() { return xdg_folder("XDG_DATA_HOME", ".local/share"); }

std::optional<std::string> person_name(const fs::path& folder) {
  std::error_code code;
  const fs::path file = folder / "person.json";
  if (folder.empty() || !fs::exists(file, code)) return std::nullopt;
  const Bytes bytes = read_file(file, k_limit_bytes);
  const auto* first = reinterpret_cast<const char*>(bytes.data());
  const json settings = json::parse(first, first + bytes.size(), nullptr, false);
  if (!settings.is_object() || !settings.contains("name") || !settings["name"].is_string() ||
      settings["name"].get<std::string>().empty())
    return std::nullopt;
  return settings["name"].get<std::string>();
}

void keep_person_name(const std::string& name, const fs::path& folder) {
  if (name.find_first_not_of(" \t") == std::string::npos)
    throw Error(ErrorKind::wrong_use, "A name is needed to sign with; it was empty.");
  if (folder.empty())
    throw Error(ErrorKind::storage,
                "There is no home folder to keep the name in: set HOME or XDG_CONFIG_HOME.");
  std::error_code code;
  fs::create_directories(folder, code);
  if (code)
    throw Error(ErrorKind::storage, folder.string() + ": cannot be made (" + code.message() +
                                        "). Check its permissions.");
  write_file(folder / "person.json", json{{"name", name}}.dump() + "\n");
}

}  // namespace verdigrid
