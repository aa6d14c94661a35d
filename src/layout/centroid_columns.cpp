#include "layout/centroid_columns.h"

#include <algorithm>
#include <cctype>

namespace verdigrid {

namespace {

using C = CentroidColumn;

struct Synonym {
  std::string_view word;
  CentroidColumn column;
};

// Names are compared in lower case with everything but letters and digits taken out. The first
// column that fits wins, in this order of preference: centre before reference pin.
constexpr std::array k_synonyms{
    Synonym{"designator", C::designator},
    Synonym{"refdes", C::designator},
    Synonym{"ref", C::designator},
    Synonym{"reference", C::designator},
    Synonym{"refdesignator", C::designator},
    Synonym{"referencedesignator", C::designator},
    Synonym{"referencedesignation", C::designator},
    Synonym{"partreference", C::designator},
    Synonym{"component", C::designator},
    Synonym{"componentname", C::designator},
    Synonym{"part", C::designator},
    Synonym{"name", C::designator},
    Synonym{"location", C::designator},
    Synonym{"value", C::value},
    Synonym{"val", C::value},
    Synonym{"comment", C::value},
    Synonym{"partvalue", C::value},
    Synonym{"description", C::value},
    Synonym{"package", C::package},
    Synonym{"footprint", C::package},
    Synonym{"pattern", C::package},
    Synonym{"packagename", C::package},
    Synonym{"footprintname", C::package},
    Synonym{"symname", C::package},
    Synonym{"device", C::package},
    Synonym{"midx", C::x},
    Synonym{"centerx", C::x},
    Synonym{"centrex", C::x},
    Synonym{"xcenter", C::x},
    Synonym{"xcentre", C::x},
    Synonym{"posx", C::x},
    Synonym{"positionx", C::x},
    Synonym{"xpos", C::x},
    Synonym{"xposition", C::x},
    Synonym{"locationx", C::x},
    Synonym{"xlocation", C::x},
    Synonym{"coordx", C::x},
    Synonym{"xcoord", C::x},
    Synonym{"xcoordinate", C::x},
    Synonym{"symx", C::x},
    Synonym{"x", C::x},
    Synonym{"refx", C::x},
    Synonym{"padx", C::x},
    Synonym{"midy", C::y},
    Synonym{"centery", C::y},
    Synonym{"centrey", C::y},
    Synonym{"ycenter", C::y},
    Synonym{"ycentre", C::y},
    Synonym{"posy", C::y},
    Synonym{"positiony", C::y},
    Synonym{"ypos", C::y},
    Synonym{"yposition", C::y},
    Synonym{"locationy", C::y},
    Synonym{"ylocation", C::y},
    Synonym{"coordy", C::y},
    Synonym{"ycoord", C::y},
    Synonym{"ycoordinate", C::y},
    Synonym{"symy", C::y},
    Synonym{"y", C::y},
    Synonym{"refy", C::y},
    Synonym{"pady", C::y},
    Synonym{"rotation", C::rotation},
    Synonym{"rot", C::rotation},
    Synonym{"angle", C::rotation},
    Synonym{"orientation", C::rotation},
    Synonym{"orient", C::rotation},
    Synonym{"rotate", C::rotation},
    Synonym{"theta", C::rotation},
    Synonym{"side", C::side},
    Synonym{"layer", C::side},
    Synonym{"boardside", C::side},
    Synonym{"tb", C::side},
    Synonym{"topbottom", C::side},
    Synonym{"mountside", C::side},
    Synonym{"mirror", C::mirrored},
    Synonym{"mirrored", C::mirrored},
    Synonym{"symmirror", C::mirrored},
    Synonym{"width", C::width},
    Synonym{"sizex", C::width},
    Synonym{"xsize", C::width},
    Synonym{"length", C::width},
    Synonym{"height", C::height},
    Synonym{"sizey", C::height},
    Synonym{"ysize", C::height},
    Synonym{"bx0", C::box_x0},
    Synonym{"by0", C::box_y0},
    Synonym{"bx1", C::box_x1},
    Synonym{"by1", C::box_y1},
    Synonym{"rating", C::rating},
    Synonym{"kind", C::kind},
};

struct Suffix {
  std::string_view word;
  std::optional<LengthUnit> unit;
};
constexpr std::array k_suffixes{
    Suffix{"millimetres", LengthUnit::mm}, Suffix{"millimeters", LengthUnit::mm},
    Suffix{"mm", LengthUnit::mm},          Suffix{"mils", LengthUnit::mil},
    Suffix{"mil", LengthUnit::mil},        Suffix{"inches", LengthUnit::inch},
    Suffix{"inch", LengthUnit::inch},      Suffix{"in", LengthUnit::inch},
    Suffix{"degrees", std::nullopt},       Suffix{"degree", std::nullopt},
    Suffix{"deg", std::nullopt},
};

std::string plain(std::string_view text) {
  std::string out;
  for (char c : text)
    if (std::isalnum(static_cast<unsigned char>(c)))
      out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

const Synonym* synonym_of(const std::string& word) {
  for (const Synonym& s : k_synonyms)
    if (s.word == word) return &s;
  return nullptr;
}

struct Meaning {
  const Synonym* synonym = nullptr;
  std::optional<LengthUnit> unit;
};

Meaning meaning_of(const std::string& field) {
  const std::string word = plain(field);
  if (const Synonym* s = synonym_of(word)) return {s, {}};
  for (const Suffix& suffix : k_suffixes) {
    if (word.size() <= suffix.word.size() || !word.ends_with(suffix.word)) continue;
    const Synonym* s = synonym_of(word.substr(0, word.size() - suffix.word.size()));
    if (s) return {s, suffix.unit};
  }
  return {};
}

CentroidHeader header_with(std::string_view line, char separator) {
  CentroidHeader header;
  header.separator = separator;
  std::array<const Synonym*, k_centroid_columns> best{};
  const std::vector<std::string> fields = table_fields(line, separator);
  for (size_t i = 0; i < fields.size(); ++i) {
    const Meaning m = meaning_of(fields[i]);
    if (!m.synonym) continue;
    const auto column = static_cast<size_t>(m.synonym->column);
    // Pointers into one array: the earlier entry is the better synonym.
    if (best[column] && best[column] <= m.synonym) continue;
    best[column] = m.synonym;
    header.at[column] = i;
    if (m.unit && m.synonym->column == C::x) header.unit = m.unit;
  }
  return header;
}

}  // namespace

bool CentroidHeader::is_complete() const {
  return (*this)[C::designator] && (*this)[C::x] && (*this)[C::y];
}

std::vector<std::string> table_fields(std::string_view line, char separator) {
  std::vector<std::string> fields;
  std::string field;
  bool in_quotes = false, was_quoted = false;
  const auto is_gap = [&](char c) {
    return separator == ' ' ? c == ' ' || c == '\t' : c == separator;
  };
  const auto finish = [&] {
    if (!was_quoted) {
      const size_t a = field.find_first_not_of(" \t"), b = field.find_last_not_of(" \t");
      field = a == std::string::npos ? "" : field.substr(a, b - a + 1);
    }
    if (separator != ' ' || !field.empty() || was_quoted) fields.push_back(std::move(field));
    field.clear();
    was_quoted = false;
  };
  for (size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (in_quotes) {
      if (c != '"')
        field += c;
      else if (i + 1 < line.size() && line[i + 1] == '"')
        field += line[++i];
      else
        in_quotes = false;
    } else if (c == '"' && field.find_first_not_of(" \t") == std::string::npos) {
      in_quotes = was_quoted = true;
      field.clear();
    } else if (is_gap(c)) {
      finish();
    } else if (!(was_quoted && (c == ' ' || c == '\t'))) {
      field += c;
    }
  }
  finish();
  return fields;
}

CentroidHeader centroid_header(std::string_view line) {
  while (!line.empty() && (line.front() == '#' || line.front() == ' ')) line.remove_prefix(1);
  CentroidHeader best;
  size_t most = 0;
  for (char separator : {',', ';', '\t', '|', ' '}) {
    const CentroidHeader header = header_with(line, separator);
    const auto known = static_cast<size_t>(
        std::count_if(header.at.begin(), header.at.end(), [](const auto& c) { return !!c; }));
    if (known > most) {
      most = known;
      best = header;
    }
  }
  return best;
}

}  // namespace verdigrid
