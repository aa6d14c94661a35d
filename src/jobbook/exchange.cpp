#include "jobbook/exchange.h"

#include <fmt/format.h>

#include <map>
#include <set>

#include "base/error.h"
#include "base/sha256.h"
#include "photo/share.h"

namespace verdigrid {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

constexpr const char* k_format = "verdigrid-unit";
constexpr int k_version = 1;
constexpr std::uintmax_t k_json_limit_bytes = std::uintmax_t{256} << 20;
constexpr std::uintmax_t k_photo_limit_bytes = std::uintmax_t{2} << 30;

[[noreturn]] void refuse(const fs::path& file, const std::string& what) {
  throw Error(
      ErrorKind::bad_input,
      fmt::format("{}: {}. Export the unit again; nothing was imported.", file.string(), what));
}

std::string text_field(const json& row, const char* field, const fs::path& file, size_t index) {
  const auto at = row.find(field);
  if (at == row.end() || !at->is_string())
    refuse(file, fmt::format("records[{}].{} is missing or no text", index, field));
  return at->get<std::string>();
}

json document_from(const fs::path& file) {
  const Bytes bytes = read_file(file, k_json_limit_bytes);
  const auto* first = reinterpret_cast<const char*>(bytes.data());
  json document = json::parse(first, first + bytes.size(), nullptr, false);
  if (!document.is_object() || document.value("format", "") != k_format)
    refuse(file, "is no exported unit");
  if (!document.contains("version") || !document["version"].is_number_integer())
    refuse(file, "version is missing");
  if (document["version"].get<int>() > k_version)
    refuse(file, "was written by a newer program; update this one");
  if (!document.contains("records") || !document["records"].is_array() ||
      document["records"].empty())
    refuse(file, "records is missing or empty");
  return document;
}

Edit edit_from(const json& row, const fs::path& file, size_t index) {
  if (!row.is_object() || !row.contains("body") || !row["body"].is_object())
    refuse(file, fmt::format("records[{}].body is missing or no object", index));
  Edit edit{
      text_field(row, "id", file, index), text_field(row, "kind", file, index), {}, row["body"]};
  if (row.contains("parent") && !row["parent"].is_null())
    edit.parent = text_field(row, "parent", file, index);
  return edit;
}

// A photo without its private metadata has another SHA-256; every mention follows.
void rename_files(json& value, const std::string& key,
                  const std::map<std::string, std::string>& to) {
  if (value.is_string() && key.ends_with("sha256"))
    if (const auto at = to.find(value.get<std::string>()); at != to.end()) value = at->second;
  if (value.is_structured())
    for (auto& [k, v] : value.items()) rename_files(v, value.is_object() ? k : key, to);
}

// Parents before their children, otherwise oldest first.
void collect_below(const JobBook& book, const Record& record, std::vector<Record>& ordered) {
  ordered.push_back(record);
  for (const Record& child : book.children(record.id)) collect_below(book, child, ordered);
}

}  // namespace

void export_unit(const JobBook& book, const std::string& unit, const fs::path& folder,
                 OwnerData owner) {
  const Record root = book.get(unit);
  if (root.kind != "unit")
    throw Error(ErrorKind::wrong_use, fmt::format("{}: is no unit. Name a unit.", unit));
  json rows = json::array();
  std::set<std::string> files, photos;
  std::vector<Record> ordered;
  collect_below(book, root, ordered);
  for (const Record& r : ordered) {
    json row = {{"id", r.id},
                {"kind", r.kind},
                {"parent", r.parent ? json(*r.parent) : json()},
                {"made_at", r.made_at},
                {"body", r.body}};
    if (owner == OwnerData::leave_out) strip_owner(row["body"]);
    collect_files(r.body, files);
    if (r.kind == "photo") collect_files(r.body, photos);
    rows.push_back(std::move(row));
  }
  NewFolder made(folder, {"unit.json", "photos"});
  fs::create_directory(made.path() / "photos");
  PhotoStore copy(made.path() / "photos");
  std::map<std::string, std::string> shared;  // SHA-256 here -> SHA-256 of what goes out
  for (const std::string& sha : files) {
    const Bytes bytes = book.file(sha);
    const bool is_photo = owner == OwnerData::leave_out && photos.contains(sha);
    shared[sha] = copy.add(is_photo ? shareable_photo(bytes, sha) : bytes);
  }
  rename_files(rows, {}, shared);
  write_file(
      made.path() / "unit.json",
      json{{"format", k_format}, {"version", k_version}, {"unit", unit}, {"records", rows}}.dump(
          1) +
          "\n");
  made.commit();
}

ImportedUnit import_unit(JobBook& book, const fs::path& folder) {
  const fs::path file = folder / "unit.json";
  const json document = document_from(file);
  ImportedUnit result{document.value("unit", ""), 0, 0, 0};
  std::vector<Edit> fresh;
  std::set<std::string> files, ids;
  for (size_t i = 0; i < document["records"].size(); ++i) {
    Edit edit = edit_from(document["records"][i], file, i);
    if (edit.parent && !ids.contains(*edit.parent) && !book.find(*edit.parent))
      refuse(file, fmt::format("records[{}].parent names no record before it", i));
    if (!ids.insert(edit.id).second) refuse(file, fmt::format("records[{}].id stands twice", i));
    collect_files(*edit.body, files);
    const auto known = book.find(edit.id);
    if (known && known->body != *edit.body)
      throw Error(ErrorKind::wrong_use,
                  fmt::format("{}: {} is in this job book already and differs. Import into a new "
                              "job book to compare; nothing was imported.",
                              file.string(), edit.id));
    if (known)
      ++result.known_records;
    else
      fresh.push_back(std::move(edit));
  }
  for (const std::string& sha : files) {
    if (!is_sha256(sha)) refuse(file, fmt::format("\"{}\" is no SHA-256", sha));
    const Bytes bytes = read_file(folder / "photos" / sha, k_photo_limit_bytes);
    if (sha256_hex(bytes) != sha) refuse(folder / "photos" / sha, "is damaged");
    book.add_file(bytes);
    ++result.files;
  }
  result.new_records = static_cast<int>(fresh.size());
  if (!fresh.empty()) book.change("imported", fresh);
  return result;
}

}  // namespace verdigrid
