#include "jobbook/side_pair.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <vector>

#include "base/error.h"
#include "jobbook/entities.h"

namespace verdigrid {

namespace {

bool is_first_look(const SidePhoto& p) { return p.role == "arrival" || p.role == "in the case"; }

// The newest of that role before the photo at `end`.
std::optional<std::string> newest(const std::vector<SidePhoto>& photos, size_t end,
                                  const std::string& role) {
  for (size_t i = end; i-- > 0;)
    if (photos[i].role == role) return photos[i].id;
  return std::nullopt;
}

struct PairFound {
  std::optional<std::string> before, after;
};

PairFound pair_of(const std::vector<SidePhoto>& photos) {
  PairFound out;
  const auto last = std::find_if(photos.rbegin(), photos.rend(),
                                 [](const SidePhoto& p) { return !is_first_look(p); });
  if (last == photos.rend()) return out;
  out.after = last->id;
  const auto end = static_cast<size_t>(photos.rend() - last) - 1;
  out.before = newest(photos, end, "handed over");
  if (!out.before) out.before = newest(photos, end, "arrival");
  return out;
}

}  // namespace

std::vector<SidePhoto> side_photos(const JobBook& book, const std::string& board, Side side) {
  std::vector<SidePhoto> photos;
  for (const Record& record : book.children(board, "photo")) {
    const KeptPhoto p = kept_photo_from(record.body);
    if (p.side != side || !shows_side(p)) continue;
    photos.push_back({record.id, p.role, p.captured_at.empty() ? record.made_at : p.captured_at});
  }
  // Of two kept in the same second the first look comes first.
  std::stable_sort(photos.begin(), photos.end(), [](const SidePhoto& a, const SidePhoto& b) {
    return a.at != b.at ? a.at < b.at : is_first_look(a) && !is_first_look(b);
  });
  return photos;
}

std::optional<SidePair> side_pair_if_any(const JobBook& book, const std::string& board, Side side) {
  const PairFound found = pair_of(side_photos(book, board, side));
  if (!found.before || !found.after) return std::nullopt;
  return SidePair{*found.before, *found.after};
}

SidePair side_pair(const JobBook& book, const std::string& board, Side side) {
  const PairFound found = pair_of(side_photos(book, board, side));
  if (!found.after)
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: no photo of its {} was taken after arrival. Add one: verdigrid "
                            "jobbook add, with --role \"after wash\".",
                            board, name(side)));
  if (!found.before)
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: no arrival photo of its {} is older than the one to compare. Add "
                            "it with its role, or name two photos.",
                            board, name(side)));
  return {*found.before, *found.after};
}

}  // namespace verdigrid
