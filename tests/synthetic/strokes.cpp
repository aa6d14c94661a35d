#include "synthetic/strokes.h"

namespace verdigrid::synthetic {

namespace {

constexpr double k_advance = 5.6, k_glyph_width = 4, k_glyph_height = 6;

// Points as two digits x y on a grid 4 wide and 6 tall, polylines apart by a space.
std::string_view glyph(char c) {
  constexpr std::string_view capitals[]{"0602204246 0444",
                                        "06003041423303 3344453606",
                                        "4130100105163645",
                                        "06003041453606",
                                        "40000646 0333",
                                        "400006 0333",
                                        "4130100105163645432333",
                                        "0006 4046 0343",
                                        "1030 2026 1636",
                                        "4045361605",
                                        "0006 4003 0346",
                                        "000646",
                                        "0600224046",
                                        "06004640",
                                        "100105163645413010",
                                        "06003041423303",
                                        "100105163645413010 2446",
                                        "06003041423303 2346",
                                        "413010010213334445361605",
                                        "0040 2026",
                                        "000516364540",
                                        "002640",
                                        "0016233640",
                                        "0046 4006",
                                        "002340 2326",
                                        "00400646"};
  constexpr std::string_view digits[]{
      "100105163645413010",          "112026 1636", "01103041420646",
      "01103041423313 334445361605", "36300444",    "4000023243453606",
      "30100105163645443303",        "004016",      "103041423313020110 1304051636454433",
      "43130201103041453616"};
  if (c >= 'A' && c <= 'Z') return capitals[c - 'A'];
  if (c >= '0' && c <= '9') return digits[c - '0'];
  switch (c) {
    case '-':
      return "0343";
    case '+':
      return "0343 2125";
    case '.':
      return "2526";
    case '/':
      return "0640";
    case ':':
      return "2122 2425";
    default:
      return "";
  }
}

}  // namespace

double text_width(std::string_view text, double height) {
  return text.empty() ? 0
                      : height / k_glyph_height *
                            (k_advance * static_cast<double>(text.size() - 1) + k_glyph_width);
}

std::vector<std::vector<cv::Point2d>> text_strokes(std::string_view text, double height) {
  std::vector<std::vector<cv::Point2d>> strokes;
  const double unit = height / k_glyph_height, left = -text_width(text, height) / 2;
  for (size_t i = 0; i < text.size(); ++i) {
    const std::string_view code = glyph(text[i]);
    std::vector<cv::Point2d> line;
    for (size_t k = 0; k <= code.size(); ++k) {
      if (k == code.size() || code[k] == ' ') {
        if (line.size() > 1) strokes.push_back(line);
        line.clear();
      } else {
        line.emplace_back(left + unit * (k_advance * static_cast<double>(i) + (code[k] - '0')),
                          unit * (code[k + 1] - '0') - height / 2);
        ++k;
      }
    }
  }
  return strokes;
}

}  // namespace verdigrid::synthetic
