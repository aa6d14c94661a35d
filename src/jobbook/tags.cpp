#include "jobbook/tags.h"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>

#include "base/error.h"
#include "base/sha256.h"
#include "jobbook/entities.h"

namespace verdigrid {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

constexpr int k_numbers = 1000000, k_checks = 1000;

// Ties the number to this job book, so that a tag of another one is known as foreign 999 times in
// 1000.
int check_of(const JobBook& book, int number) {
  const std::string text = book.origin() + "/" + std::to_string(number);
  return static_cast<int>(
      std::stoul(sha256_hex(std::as_bytes(std::span(text.data(), text.size()))).substr(0, 7),
                 nullptr, 16) %
      k_checks);
}

Side side_from(const json& body) {
  return body.value("side", "front") == name(Side::back) ? Side::back : Side::front;
}

struct Arrived {
  std::string file, captured_at;
  Bytes bytes;
  Photo photo;
};

std::vector<Arrived> arrived(const fs::path& folder, const DecodeOptions& decode,
                             std::vector<InboxRow>& rows, const Work& work) {
  const std::vector<fs::path> paths = visible_files(folder);
  std::vector<Arrived> all;
  for (size_t i = 0; i < paths.size(); ++i) {
    work.check();
    work.report(static_cast<double>(i) / static_cast<double>(paths.size()));
    const std::string file = paths[i].filename().string();
    try {
      Arrived a{file, {}, read_file(paths[i], decode.file_limit_bytes), {}};
      a.photo = decode_photo(a.bytes, file, decode);
      a.captured_at = a.photo.meta.captured_at.value_or("");
      all.push_back(std::move(a));
    } catch (const Error& e) {
      rows.push_back({InboxRow::refused, file, e.what()});
    }
  }
  std::stable_sort(all.begin(), all.end(), [](const Arrived& a, const Arrived& b) {
    return std::tie(a.captured_at, a.file) < std::tie(b.captured_at, b.file);
  });
  return all;
}

InboxRow filed(JobBook& book, const Arrived& a, const TagMeaning& to) {
  KeptPhoto photo{book.add_file(a.bytes), a.file};
  photo.side = to.side;
  photo.captured_at = a.captured_at;
  photo.width_px = a.photo.size_px().width;
  photo.height_px = a.photo.size_px().height;
  const std::string id = book.put("filed from the inbox", {"", "photo", to.board, to_body(photo)});
  return {InboxRow::filed, a.file,
          fmt::format("filed as {}: {}, {} side", id, to.board, name(to.side))};
}

}  // namespace

TagCode tag_for(JobBook& book, const TagMeaning& m) {
  if (book.get(m.board).unit != m.unit)
    throw Error(ErrorKind::wrong_use, fmt::format("{}: is no board of {}.", m.board, m.unit));
  int next = 0;
  for (const Record& t : book.of_kind("tag")) {
    const int number = t.body.at("number").get<int>();
    if (t.parent == m.board && side_from(t.body) == m.side) return {number, check_of(book, number)};
    next = std::max(next, number + 1);
  }
  if (next >= k_numbers)
    throw Error(ErrorKind::no_result,
                "Every tag number of this job book is in use. Begin a new job book.");
  book.put("tag printed", {"", "tag", m.board, json{{"number", next}, {"side", name(m.side)}}});
  return {next, check_of(book, next)};
}

std::optional<TagMeaning> meaning_of(const JobBook& book, const TagCode& code) {
  if (code.check != check_of(book, code.number)) return std::nullopt;
  for (const Record& t : book.of_kind("tag"))
    if (t.body.at("number").get<int>() == code.number)
      return TagMeaning{t.unit.value_or(""), t.parent.value_or(""), side_from(t.body)};
  return std::nullopt;
}

std::vector<InboxRow> file_inbox(JobBook& book, const fs::path& folder, const DecodeOptions& decode,
                                 const Work& work) {
  std::vector<InboxRow> rows;
  std::optional<TagMeaning> now;
  std::string why = "no tag was photographed before it";
  for (const Arrived& a : arrived(folder, decode, rows, work)) {
    const TagReading reading = read_tag(a.photo);
    if (reading.sight == TagSight::clear) {
      now = meaning_of(book, reading.code);
      if (now)
        rows.push_back({InboxRow::tag, a.file,
                        fmt::format("a tag: {}, {} side", now->board, name(now->side))});
      else
        rows.push_back(
            {InboxRow::waits, a.file, "its tag belongs to another job book, or was misread"});
      why = "the tag before it is not one of this job book";
    } else if (reading.sight == TagSight::unclear) {
      now.reset();
      rows.push_back({InboxRow::waits, a.file,
                      "a tag is in view but cannot be read: photograph it again, alone and sharp"});
      why = "the tag before it could not be read";
    } else if (const auto photo = kept_photo_with(book, a.photo.meta.sha256)) {
      rows.push_back({InboxRow::known, a.file,
                      fmt::format("was filed before: {}", photo->parent.value_or(photo->id))});
    } else if (now) {
      rows.push_back(filed(book, a, *now));
    } else {
      rows.push_back({InboxRow::waits, a.file, why});
    }
  }
  return rows;
}

}  // namespace verdigrid
