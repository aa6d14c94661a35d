#include "jobbook/order_entries.h"

namespace verdigrid {

using nlohmann::json;

std::optional<Record> parts_record(const JobBook& book, const std::string& board) {
  const auto records = book.children(board, k_parts);
  return records.empty() ? std::nullopt : std::optional(records.back());
}

std::map<std::string, json> part_entries(const JobBook& book, const std::string& board) {
  std::map<std::string, json> entries;
  if (const auto record = parts_record(book, board))
    read_body(*record, [&](const json& body) {
      for (const json& e : body.at("parts")) entries[e.at("designator").get<std::string>()] = e;
      return true;
    });
  return entries;
}

}  // namespace verdigrid
