// The profile layer of a Gerber set: Ucamco, "Gerber Layer Format Specification", 2022.02 (RS-274X
// with X2 attributes). Only what draws counts: the outline is the centre line of the draws and
// arcs, or the contours of regions.
#include <fmt/format.h>

#include <cctype>
#include <charconv>
#include <cmath>
#include <numbers>

#include "base/error.h"
#include "layout/import.h"
#include "layout/outline_say.h"

namespace verdigrid {

namespace {

constexpr double k_join_gap_mm = 0.05, k_sag_mm = 0.01;
constexpr size_t k_most_pieces = 20'000;

enum class Plot { line, clockwise, counter_clockwise };

class Profile {
 public:
  Profile(std::string_view text, std::string_view where) : text_(text), where_(where) {}
  Imported imported();

 private:
  [[noreturn]] void refuse(const std::string& what) const {
    throw Error(ErrorKind::bad_input, fmt::format("{}: line {}: {}.", where_, line_, what));
  }
  void read();
  void extended(std::string_view words);
  void word(std::string_view command);
  void g_code(int code);
  void operation(int code);
  void number_format(std::string_view words);
  double coordinate(std::string_view digits, int decimals, int whole) const;
  void draw_arc(cv::Point2d to);
  double unit_mm() const { return is_inch_ ? 25.4 : 1; }

  std::string_view text_;
  std::string where_;
  size_t line_ = 1;
  int whole_x_ = 0, decimals_x_ = -1, whole_y_ = 0, decimals_y_ = -1;
  bool omits_trailing_ = false, is_inch_ = false, has_unit_ = false, is_multi_quadrant_ = true;
  bool is_done_ = false;
  Plot plot_ = Plot::line;
  int last_operation_ = 2;
  cv::Point2d at_, target_, centre_;  // mm; centre relative to `at_`
  std::vector<Polyline> pieces_;
  size_t flashes_ = 0;
  std::string function_;  // of TF.FileFunction
};

void Profile::number_format(std::string_view words) {
  // FSLAX46Y46: leading zeros omitted, absolute, 4 whole and 6 decimal places.
  omits_trailing_ = words.size() > 2 && words[2] == 'T';
  if (words.find('I') != std::string_view::npos)
    refuse("incremental coordinates are not read; export with absolute ones");
  const size_t x = words.find('X'), y = words.find('Y');
  const auto digit = [&](size_t i) {
    if (i >= words.size() || !std::isdigit(static_cast<unsigned char>(words[i])))
      refuse("the number format is damaged");
    return words[i] - '0';
  };
  if (x == std::string_view::npos || y == std::string_view::npos)
    refuse("the number format is damaged");
  whole_x_ = digit(x + 1);
  decimals_x_ = digit(x + 2);
  whole_y_ = digit(y + 1);
  decimals_y_ = digit(y + 2);
}

void Profile::extended(std::string_view words) {
  if (words.starts_with("FS")) {
    number_format(words);
  } else if (words.starts_with("MO")) {
    is_inch_ = words.substr(2) == "IN";
    has_unit_ = true;
  } else if (words.starts_with("SR") && words.size() > 2 &&
             words.find("X1Y1") == std::string_view::npos) {
    refuse("step and repeat is not read; export a single board");
  } else if (words.starts_with("TF.FileFunction,")) {
    function_ = words.substr(std::string_view("TF.FileFunction,").size());
  }
}

double Profile::coordinate(std::string_view digits, int decimals, int whole) const {
  if (decimals < 0) refuse("a coordinate comes before the number format (%FS)");
  bool is_negative = false;
  if (!digits.empty() && (digits[0] == '+' || digits[0] == '-')) {
    is_negative = digits[0] == '-';
    digits.remove_prefix(1);
  }
  if (digits.empty() || digits.size() > 15) refuse("a coordinate is damaged");
  double value = 0;
  for (char c : digits) value = value * 10 + (c - '0');
  const int places = omits_trailing_
                         ? static_cast<int>(digits.size()) - whole  // the first digits are whole
                         : decimals;
  value *= std::pow(10, -places) * unit_mm();
  return is_negative ? -value : value;
}

void Profile::g_code(int code) {
  switch (code) {
    case 1:
      plot_ = Plot::line;
      break;
    case 2:
      plot_ = Plot::clockwise;
      break;
    case 3:
      plot_ = Plot::counter_clockwise;
      break;
    case 70:
      is_inch_ = has_unit_ = true;
      break;
    case 71:
      is_inch_ = false;
      has_unit_ = true;
      break;
    case 74:
      is_multi_quadrant_ = false;
      break;
    case 75:
      is_multi_quadrant_ = true;
      break;
    case 91:
      refuse("incremental coordinates are not read; export with absolute ones");
    default:
      break;
  }
}

// y runs up here: counter-clockwise is x towards y.
void Profile::draw_arc(cv::Point2d to) {
  const double sense = plot_ == Plot::counter_clockwise ? 1 : -1;
  const double turn = 2 * std::numbers::pi;
  const auto swept = [&](cv::Point2d c) {
    double a = std::atan2(to.y - c.y, to.x - c.x) - std::atan2(at_.y - c.y, at_.x - c.x);
    a *= sense;
    while (a <= 1e-9) a += turn;
    while (a > turn + 1e-9) a -= turn;
    return a;
  };
  cv::Point2d centre = at_ + centre_;
  double angle = swept(centre);
  if (!is_multi_quadrant_) {
    // Offsets have no sign: of the four centres the one with equal radii and at most a quarter
    // turn.
    double best = 1e300;
    for (double sx : {-1.0, 1.0})
      for (double sy : {-1.0, 1.0}) {
        const cv::Point2d c = at_ + cv::Point2d(sx * centre_.x, sy * centre_.y);
        const double off = std::abs(cv::norm(c - at_) - cv::norm(c - to));
        const double a = cv::norm(to - at_) < 1e-9 ? 0 : swept(c);
        if (a > turn / 4 + 1e-3 || off >= best) continue;
        best = off;
        centre = c;
        angle = a;
      }
  }
  if (cv::norm(centre_) <= 0 || angle <= 0) {
    pieces_.push_back({at_, to});
    return;
  }
  Polyline line = arc_about(centre, at_, sense * angle, k_sag_mm);
  line.back() = to;
  pieces_.push_back(std::move(line));
}

void Profile::operation(int code) {
  if (code == 1) {
    if (pieces_.size() >= k_most_pieces)
      refuse("more pieces of outline than any board has; choose the profile layer");
    if (plot_ == Plot::line)
      pieces_.push_back({at_, target_});
    else
      draw_arc(target_);
  } else if (code == 3) {
    ++flashes_;
  }
  at_ = target_;
}

void Profile::word(std::string_view command) {
  target_ = at_;
  centre_ = {};
  bool has_place = false;
  int operation_code = 0;
  for (size_t i = 0; i < command.size();) {
    const char letter = command[i++];
    if (std::isspace(static_cast<unsigned char>(letter))) continue;
    size_t end = i;
    while (end < command.size() && (std::isdigit(static_cast<unsigned char>(command[end])) ||
                                    command[end] == '+' || command[end] == '-'))
      ++end;
    const std::string_view digits = command.substr(i, end - i);
    int code = 0;
    std::from_chars(digits.data(), digits.data() + digits.size(), code);
    i = end;
    switch (letter) {
      case 'G':
        if (code == 4) return;  // the rest is a comment
        g_code(code);
        break;
      case 'X':
        target_.x = coordinate(digits, decimals_x_, whole_x_);
        has_place = true;
        break;
      case 'Y':
        target_.y = coordinate(digits, decimals_y_, whole_y_);
        has_place = true;
        break;
      case 'I':
        centre_.x = coordinate(digits, decimals_x_, whole_x_);
        break;
      case 'J':
        centre_.y = coordinate(digits, decimals_y_, whole_y_);
        break;
      case 'D':
        if (code >= 1 && code <= 3) operation_code = code;
        break;
      case 'M':
        if (code == 0 || code == 2) is_done_ = true;
        break;
      default:
        refuse(fmt::format("\"{}\" is no Gerber command; choose a Gerber file",
                           std::isprint(static_cast<unsigned char>(letter)) ? letter : '?'));
    }
  }
  if (operation_code == 0 && has_place) operation_code = last_operation_;  // modal in old files
  if (operation_code == 0) return;
  last_operation_ = operation_code;
  operation(operation_code);
}

void Profile::read() {
  for (size_t i = 0; i < text_.size() && !is_done_;) {
    const char c = text_[i];
    if (std::isspace(static_cast<unsigned char>(c))) {
      if (c == '\n') ++line_;
      ++i;
      continue;
    }
    const bool is_extended = c == '%';
    const size_t start = is_extended ? i + 1 : i;
    size_t end = text_.find('*', start);
    if (end == std::string_view::npos) refuse("the file ends inside a command; export it again");
    const std::string_view command = text_.substr(start, end - start);
    if (is_extended) {
      extended(command);
      end = text_.find('%', end);
      if (end == std::string_view::npos) refuse("the file ends inside a command; export it again");
    } else {
      word(command);
    }
    for (size_t k = i; k < end; ++k)
      if (text_[k] == '\n') ++line_;
    i = end + 1;
  }
}

Imported Profile::imported() {
  read();
  if (decimals_x_ < 0) refuse("there is no number format (%FS); choose a Gerber file");
  Imported out;
  out.format = LayoutFormat::gerber;
  out.y_axis = YAxis::up;
  out.layout.source = {LayoutOrigin::gerber, where_, {}};
  std::vector<std::string>& remarks = out.layout.source.remarks;
  if (!has_unit_) remarks.emplace_back("The file names no unit; mm was taken.");
  if (!function_.empty() && !function_.starts_with("Profile"))
    remarks.push_back(fmt::format("The file says it is \"{}\", not a profile.", function_));
  if (flashes_ > 0)
    remarks.push_back(fmt::format("{} flashes were left out; a profile has none.", flashes_));
  out.layout.outline = said_outline(pieces_, k_join_gap_mm, where_, remarks);
  return out;
}

}  // namespace

Imported imported_gerber_profile(std::string_view text, std::string_view where) {
  return Profile(text, where).imported();
}

}  // namespace verdigrid
