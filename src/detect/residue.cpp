#include "detect/residue.h"

#include "base/error.h"

namespace verdigrid {

namespace {

struct Row {
  std::string_view name, description;
  char letter;
  unsigned rgb;
};

// Colours: Okabe and Ito, "Color Universal Design" (2008), the eight-colour set made for
// colour-blind readers; order our own.
constexpr std::array<Row, k_residue_count> k_rows{{
    {"none", "nothing found", '-', 0x000000},
    {"copper-salt", "green to blue salts (verdigris)", 'C', 0x56b4e9},
    {"leak-film", "brown or dark film, wet sheen or dried varnish (likely electrolyte)", 'L',
     0xe69f00},
    {"white-salt", "white to bluish crust or powder", 'W', 0xf0e442},
    {"rust", "orange to brown on iron", 'R', 0xd55e00},
    {"attacked-joint", "grey or black solder where its like is bright", 'J', 0xcc79a7},
    {"eaten-copper", "bare, pitted or missing copper under lost solder mask", 'E', 0x0072b2},
    {"unsure", "abnormal, kind not decided", 'U', 0xffffff},
}};

const Row& row(Residue r) {
  const auto i = static_cast<size_t>(r);
  require(i < k_rows.size(), "a residue id lies between 0 and 7");
  return k_rows[i];
}

}  // namespace

std::string_view name(Residue r) { return row(r).name; }
std::string_view description(Residue r) { return row(r).description; }
char letter(Residue r) { return row(r).letter; }

cv::Scalar colour_bgr(Residue r) {
  const unsigned c = row(r).rgb;
  return {static_cast<double>(c & 255), static_cast<double>(c >> 8 & 255),
          static_cast<double>(c >> 16)};
}

std::optional<Residue> residue_named(std::string_view wanted) {
  for (size_t i = 0; i < k_rows.size(); ++i)
    if (k_rows[i].name == wanted) return static_cast<Residue>(i);
  return std::nullopt;
}

}  // namespace verdigrid
