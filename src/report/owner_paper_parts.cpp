#include "report/owner_paper_parts.h"

#include <fmt/format.h>

#include <algorithm>

namespace verdigrid {

namespace {

// "A1 front (C1, C2)"
std::string place_words(const Plan& plan, const WorkItem& w) {
  std::string text = w.place;
  if (plan.sides.size() > 1 && !w.place.empty()) text += fmt::format(" {}", name(w.side));
  std::string parts;
  for (const ItemPart& p : w.parts) parts += (parts.empty() ? "" : ", ") + p.designator;
  if (parts.empty()) return text;
  return text.empty() ? parts : fmt::format("{} ({})", text, parts);
}

}  // namespace

Section head_section(const std::string& id, const Unit& u, OwnerName owner) {
  Section s{"unit", "The unit", {}};
  Table t{"", {"what", "as logged"}, {{"what it is", u.name}, {"number", id}}, {}};
  if (owner == OwnerName::include && !u.owner.empty()) t.rows.push_back({"owner", u.owner});
  if (!u.received_on.empty()) t.rows.push_back({"received on", u.received_on});
  s.blocks.emplace_back(std::move(t));
  return s;
}

std::vector<std::string> item_lines(const std::string& board, const Plan& plan,
                                    const std::function<bool(const WorkItem&)>& included,
                                    const std::function<std::string(const WorkItem&)>& after) {
  std::vector<std::pair<std::string, std::string>> lines;  // what with what is said, places
  for (const WorkItem& w : plan.items) {
    if (!included(w)) continue;
    const std::string key = w.what + "\n" + after(w), place = place_words(plan, w);
    const auto at =
        std::find_if(lines.begin(), lines.end(), [&key](const auto& l) { return l.first == key; });
    if (at == lines.end())
      lines.emplace_back(key, place);
    else if (!place.empty())
      at->second += (at->second.empty() ? "" : ", ") + place;
  }
  std::vector<std::string> out;
  for (const auto& [key, places] : lines) {
    const size_t cut = key.find('\n');
    out.push_back(fmt::format("{}: {}{}{}", board, key.substr(0, cut),
                              places.empty() ? "" : ": " + places, key.substr(cut + 1)));
  }
  return out;
}

}  // namespace verdigrid
