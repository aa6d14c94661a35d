#include "jobbook/search.h"

#include <algorithm>

namespace verdigrid {

using nlohmann::json;

namespace {

void collect_text(const json& value, const std::string& key, std::string& text) {
  if (key.ends_with("sha256")) return;
  if (value.is_string()) text += value.get<std::string>() + '\n';
  if (value.is_structured())
    for (const auto& [k, v] : value.items()) collect_text(v, value.is_object() ? k : key, text);
}

std::string in_quotes(const std::string& word) {
  std::string q = "\"";
  for (const char c : word) q += c == '"' ? std::string("\"\"") : std::string(1, c);
  return q + '"';
}

// FTS5 takes a query language; every word is quoted, so that no character of the person's has a
// meaning in it.
std::string match_expression(const SearchQuery& query) {
  std::string match;
  const auto add = [&match](const std::string& term) {
    match += (match.empty() ? "" : " AND ") + term;
  };
  std::string word;
  for (const char c : query.text + ' ') {
    if (c != ' ' && c != '\t' && c != '\n' && c != '\0') {
      word += c;
      continue;
    }
    if (!word.empty()) add(in_quotes(word) + " *");
    word.clear();
  }
  const std::pair<const char*, const std::string&> columns[] = {{"state", query.state},
                                                                {"residue", query.residue},
                                                                {"zone", query.zone},
                                                                {"part", query.part}};
  for (const auto& [column, value] : columns)
    if (!value.empty()) add(std::string(column) + " : " + in_quotes(value));
  return match;
}

}  // namespace

Words words_of(const Record& record) {
  Words w;
  collect_text(record.body, {}, w.text);
  w.text += record.id;
  if (const auto state = record.body.find("state");
      state != record.body.end() && state->is_string())
    w.state = *state;
  if (const auto found = record.body.find("found"); found != record.body.end() && found->is_array())
    for (const json& f : *found) {
      if (!f.is_object()) continue;
      w.residue += f.value("residue", "") + '\n';
      w.zone += f.value("zone", "") + '\n';
      if (const auto parts = f.find("parts"); parts != f.end() && parts->is_array())
        for (const json& p : *parts)
          if (p.is_string()) w.part += p.get<std::string>() + '\n';
    }
  return w;
}

std::vector<Hit> search(const JobBook& book, const SearchQuery& query) {
  const std::string match = match_expression(query);
  std::vector<Hit> hits;
  if (match.empty()) return hits;
  Statement s(book.database(),
              "SELECT id, kind, coalesce(unit, ''), snippet(words, 3, '', '', ' ... ', 12) FROM "
              "words WHERE words MATCH ?1 ORDER BY rank LIMIT ?2");
  s.bind(1, match).bind(2, static_cast<std::int64_t>(query.at_most));
  while (s.step()) {
    hits.push_back({s.text(0), s.text(1), s.text(2), s.text(3)});
    std::replace(hits.back().excerpt.begin(), hits.back().excerpt.end(), '\n', ' ');
  }
  return hits;
}

}  // namespace verdigrid
