#include "cli/batch_items.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <set>

#include "base/error.h"
#include "base/files.h"
#include "cli/values.h"
#include "layout/centroid_columns.h"

namespace verdigrid {

namespace {

namespace fs = std::filesystem;

constexpr std::uintmax_t k_manifest_limit_bytes = std::uintmax_t{64} << 20;
constexpr std::array k_endings = {".jpg",  ".jpeg", ".png",  ".tif", ".tiff",
                                  ".webp", ".bmp",  ".heic", ".heif"};

bool ends_like_a_photo(const fs::path& path) {
  std::string ending = path.extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
  return std::find(k_endings.begin(), k_endings.end(), ending) != k_endings.end();
}

// A name for each folder of results: the file's own, and its folders' where two are alike.
void name_items(std::vector<BatchItem>& items) {
  std::multiset<std::string> names;
  for (const BatchItem& i : items) names.insert(i.photo.filename().string());
  for (BatchItem& i : items) {
    i.name = i.photo.filename().string();
    if (names.count(i.name) == 1) continue;
    i.name = i.photo.lexically_normal().generic_string();
    std::replace(i.name.begin(), i.name.end(), '/', '_');
  }
  std::sort(items.begin(), items.end(),
            [](const BatchItem& a, const BatchItem& b) { return a.name < b.name; });
}

std::vector<BatchItem> items_in_folder(const fs::path& folder) {
  std::vector<BatchItem> items;
  for (const auto& entry : fs::directory_iterator(folder))
    if (entry.is_regular_file() && ends_like_a_photo(entry.path()))
      items.push_back({entry.path(), {}, {}, Side::front, {}, {}});
  if (items.empty())
    throw Error(ErrorKind::bad_input,
                folder.string() +
                    ": there is no photo in this folder. Name one that holds photos, "
                    "or a manifest.");
  return items;
}

class Manifest {
 public:
  explicit Manifest(const fs::path& path) : path_(path) {
    const Bytes bytes = read_file(path, k_manifest_limit_bytes);
    text_ = {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
    if (text_.find('\0') != std::string::npos)
      throw Error(
          ErrorKind::bad_input,
          path_.filename().string() +
              ": holds zero bytes, so it is no CSV text. Save the manifest as CSV in UTF-8.");
    if (text_.starts_with("\xEF\xBB\xBF")) text_.erase(0, 3);
  }

  std::vector<BatchItem> items() {
    std::vector<BatchItem> items;
    size_t at = 0;
    while (at < text_.size()) {
      const size_t end = std::min(text_.find('\n', at), text_.size());
      std::string line = text_.substr(at, end - at);
      if (line.ends_with('\r')) line.pop_back();
      at = end + 1;
      ++line_;
      if (line.empty()) continue;
      const auto fields = table_fields(line, ',');
      if (header_.empty())
        read_header(fields);
      else
        items.push_back(item(fields));
    }
    if (items.empty()) refuse("no photo is listed");
    return items;
  }

 private:
  [[noreturn]] void refuse(const std::string& what) const {
    throw Error(ErrorKind::bad_input, fmt::format("{}: line {}: {}. Correct the manifest.",
                                                  path_.filename().string(), line_, what));
  }

  void read_header(const std::vector<std::string>& fields) {
    const std::set<std::string> known{"photo", "board_mm", "side", "unit", "board"};
    for (const std::string& f : fields)
      if (!known.contains(f))
        refuse(fmt::format("\"{}\" is no known column (photo, board_mm, side, unit, board)", f));
    header_ = fields;
    if (std::find(fields.begin(), fields.end(), "photo") == fields.end())
      refuse("there is no column \"photo\"");
  }

  BatchItem item(const std::vector<std::string>& fields) const {
    if (fields.size() != header_.size())
      refuse(fmt::format("{} fields where the header has {}", fields.size(), header_.size()));
    BatchItem item;
    for (size_t i = 0; i < fields.size(); ++i) {
      const std::string& value = fields[i];
      if (header_[i] == "photo") item.photo = path_.parent_path() / value;
      if (header_[i] == "unit") item.unit = value;
      if (header_[i] == "board") item.board = value;
      if (header_[i] == "board_mm" && !value.empty()) item.board_mm = size_mm(value);
      if (header_[i] == "side" && value == "back") item.side = Side::back;
      if (header_[i] == "side" && value != "back" && value != "front" && !value.empty())
        refuse("\"side\" must be front or back, not \"" + value + "\"");
    }
    if (item.photo == path_.parent_path() / "") refuse("the photo's name is empty");
    return item;
  }

  cv::Size2d size_mm(const std::string& value) const {
    try {
      return size_from("board_mm", value);
    } catch (const Error&) {
      refuse("\"board_mm\" needs WxH in mm, as 160x100, not \"" + value + "\"");
    }
  }

  fs::path path_;
  std::string text_;
  std::vector<std::string> header_;
  int line_ = 0;
};

}  // namespace

Shard shard_from(const std::string& text) {
  Shard s;
  const char* end = text.data() + text.size();
  const auto index = std::from_chars(text.data(), end, s.index);
  if (index.ec == std::errc{} && index.ptr != end && *index.ptr == '/') {
    const auto count = std::from_chars(index.ptr + 1, end, s.count);
    if (count.ec == std::errc{} && count.ptr == end && s.index >= 1 && s.index <= s.count) return s;
  }
  throw Error(ErrorKind::wrong_use,
              fmt::format("--shard needs I/N with I from 1 to N, as 2/8, not \"{}\".", text));
}

std::vector<BatchItem> batch_items(const fs::path& source) {
  std::vector<BatchItem> items =
      fs::is_directory(source) ? items_in_folder(source) : Manifest(source).items();
  name_items(items);
  const auto twice =
      std::adjacent_find(items.begin(), items.end(),
                         [](const BatchItem& a, const BatchItem& b) { return a.name == b.name; });
  if (twice != items.end())
    throw Error(ErrorKind::bad_input, fmt::format("{}: {} is listed twice. Leave one out.",
                                                  source.string(), twice->photo.string()));
  return items;
}

std::vector<BatchItem> items_of(const std::vector<BatchItem>& items, const Shard& shard) {
  std::vector<BatchItem> mine;
  for (size_t i = static_cast<size_t>(shard.index - 1); i < items.size();
       i += static_cast<size_t>(shard.count))
    mine.push_back(items[i]);
  return mine;
}

}  // namespace verdigrid
