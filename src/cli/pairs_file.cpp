#include "cli/pairs_file.h"

#include <fmt/format.h>

#include <sstream>

#include "base/error.h"
#include "base/files.h"
#include "cli/values.h"

namespace verdigrid {

namespace {

constexpr std::uintmax_t k_limit_bytes = 1u << 20;

}  // namespace

std::vector<PointPair> load_pairs(const std::filesystem::path& path) {
  const Bytes bytes = read_file(path, k_limit_bytes);
  std::istringstream in(std::string(reinterpret_cast<const char*>(bytes.data()), bytes.size()));
  std::vector<PointPair> pairs;
  std::string line;
  for (int number = 1; std::getline(in, line); ++number) {
    std::istringstream words(line);
    std::string before, after, more;
    if (!(words >> before) || before.starts_with('#')) continue;
    const std::string where = fmt::format("{}, line {}", path.filename().string(), number);
    if (!(words >> after) || words >> more)
      throw Error(ErrorKind::bad_input,
                  fmt::format("{}: needs two points, \"BX,BY AX,AY\", in px.", where));
    try {
      pairs.push_back({point_from(where, before), point_from(where, after), 1});
    } catch (const Error& e) {
      throw Error(ErrorKind::bad_input, e.what());
    }
  }
  if (pairs.size() < 3)
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: holds {} pairs; three or four are needed, far apart.",
                            path.filename().string(), pairs.size()));
  return pairs;
}

}  // namespace verdigrid
