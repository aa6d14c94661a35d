#include "jobbook/side_pair.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <vector>

#include "base/error.h"
#include "jobbook/entities.h"

namespace verdigrid {

namespace {

struct TakenPhoto {
  std::string id, role, at;  // ISO 8601: taken, else kept
};

// Those that speak for the side, oldest first.
std::vector<TakenPhoto> photos_of(const JobBook& book, const std::string& board, Side side) {
  std::vector<TakenPhoto> photos;
  for (const Record& record : book.children(board, "photo")) {
    const KeptPhoto p = kept_photo_from(record.body);
    if (p.side != side || !shows_side(p)) continue;
    photos.push_back({record.id, p.role, p.captured_at.empty() ? record.made_at : p.captured_at});
  }
  std::stable_sort(photos.begin(), photos.end(),
                   [](const TakenPhoto& a, const TakenPhoto& b) { return a.at < b.at; });
  return photos;
}

bool is_first_look(const TakenPhoto& p) { return p.role == "arrival" || p.role == "in the case"; }

// The newest of that role before the photo at `end`.
std::optional<std::string> newest(const std::vector<TakenPhoto>& photos, size_t end,
                                  const std::string& role) {
  for (size_t i = end; i-- > 0;)
    if (photos[i].role == role) return photos[i].id;
  return std::nullopt;
}

}  // namespace

SidePair side_pair(const JobBook& book, const std::string& board, Side side) {
  const std::vector<TakenPhoto> photos = photos_of(book, board, side);
  const auto last = std::find_if(photos.rbegin(), photos.rend(),
                                 [](const TakenPhoto& p) { return !is_first_look(p); });
  if (last == photos.rend())
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: no photo of its {} was taken after arrival. Add one: verdigrid "
                            "jobbook add, with --role \"after wash\".",
                            board, name(side)));
  const auto end = static_cast<size_t>(photos.rend() - last) - 1;
  auto before = newest(photos, end, "handed over");
  if (!before) before = newest(photos, end, "arrival");
  if (!before)
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: no arrival photo of its {} is older than the one to compare. Add "
                            "it with its role, or name two photos.",
                            board, name(side)));
  return {*before, last->id};
}

}  // namespace verdigrid
