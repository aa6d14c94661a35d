// IPC-D-356A (1998), fixed columns of the test records: 1-3 operation code, 4-17 net, 21-26
// designator, 28-31 pin, from 33 hole, access, X, Y, feature size, rotation. "P  UNITS CUST 0" is
// 0.0001 inch, CUST 1 is 0.001 mm. "P  NNAME1 A_LONG_NAME" gives what the net NNAME1 is called in
// full. Record 389 is the board edge.
#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <map>

#include "base/error.h"
#include "layout/import.h"
#include "layout/outline_say.h"

namespace verdigrid {

namespace {

constexpr size_t k_net = 3, k_designator = 20, k_pin = 27, k_after_pin = 31;  // columns from 0
constexpr double k_join_gap_mm = 0.05;

std::string trimmed(std::string_view text) {
  const size_t a = text.find_first_not_of(' '), b = text.find_last_not_of(' ');
  return a == std::string_view::npos ? std::string() : std::string(text.substr(a, b - a + 1));
}

std::string_view columns(std::string_view line, size_t from, size_t count) {
  return from < line.size() ? line.substr(from, count) : std::string_view();
}

// Letter and number pairs of the right half of a record.
struct Fields {
  std::string_view text;
  size_t at = 0;

  // The next whole number after `letter`, if that letter comes next (blanks skipped).
  std::optional<double> after(char letter) {
    size_t i = at;
    while (i < text.size() && text[i] == ' ') ++i;
    if (i >= text.size() || text[i] != letter) return std::nullopt;
    ++i;
    double sign = 1;
    if (i < text.size() && (text[i] == '+' || text[i] == '-')) sign = text[i++] == '-' ? -1 : 1;
    double value = 0;
    const size_t first = i;
    for (; i < text.size() && i - first < 12 && std::isdigit(static_cast<unsigned char>(text[i]));
         ++i)
      value = value * 10 + (text[i] - '0');
    if (i == first) return std::nullopt;
    at = i;
    return sign * value;
  }
  bool skip(char letter) {
    size_t i = at;
    while (i < text.size() && text[i] == ' ') ++i;
    if (i >= text.size() || text[i] != letter) return false;
    at = i + 1;
    return true;
  }
};

struct Pads {
  std::vector<Joint> joints;
  cv::Rect2d box;
  bool is_on_front = true;
};

class Netlist {
 public:
  explicit Netlist(std::string_view where) : where_(where) {}

  void read(std::string_view line, size_t number) {
    const std::string_view code = columns(line, 0, 3);
    if (code == "999") return;
    if (line[0] == 'P') return parameter(line, number);
    if (code == "317" || code == "327" || code == "367" || code == "017" || code == "027")
      return test_record(line, number, code);
    if (code == "389" || code == "089") edge(line, number);
  }

  Imported imported();

 private:
  [[noreturn]] void refuse(size_t number, const char* what) const {
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: line {}: {}; export the netlist again.", where_, number, what));
  }
  void parameter(std::string_view line, size_t number);
  void test_record(std::string_view line, size_t number, std::string_view code);
  void edge(std::string_view line, size_t number);
  std::string net_of(std::string_view line) const;

  std::string where_;
  double unit_mm_ = 0.00254;  // CUST 0
  std::map<std::string, Pads> parts_;
  std::map<std::string, std::string> long_names_;  // of nets, by the name that stands in for them
  std::vector<std::string> order_;
  std::vector<Hole> holes_;
  std::vector<Polyline> edges_;
  cv::Point2d last_edge_;
  size_t records_ = 0;
};

std::string Netlist::net_of(std::string_view line) const {
  std::string net = trimmed(columns(line, k_net, 14));
  if (net == "N/C") return {};
  const auto full = long_names_.find(net);
  return full == long_names_.end() ? net : full->second;
}

void Netlist::parameter(std::string_view line, size_t number) {
  const std::string text = trimmed(line.substr(1));
  if (text.starts_with("NNAME")) {
    const size_t end = std::min(text.find(' '), text.size());
    if (const std::string full = trimmed(std::string_view(text).substr(end)); !full.empty())
      long_names_[text.substr(0, end)] = full;
    return;
  }
  const size_t at = text.find("UNITS");
  if (at == std::string::npos) return;
  const std::string value = trimmed(text.substr(at + 5));
  if (value == "CUST" || value == "CUST 0" || value == "CUST 2")
    unit_mm_ = 0.00254;
  else if (value == "CUST 1" || value == "SI")
    unit_mm_ = 0.001;
  else
    refuse(number, "the units are neither CUST 0, CUST 1 nor CUST 2");
}

void Netlist::test_record(std::string_view line, size_t number, std::string_view code) {
  Fields fields{line, k_after_pin};
  fields.skip('M');
  double hole_mm = 0;
  bool is_plated = true;
  if (const auto d = fields.after('D')) {
    hole_mm = *d * unit_mm_;
    if (fields.skip('U'))
      is_plated = false;
    else
      fields.skip('P');
  }
  const double access = fields.after('A').value_or(0);
  const auto x = fields.after('X'), y = fields.after('Y');
  if (!x || !y) refuse(number, "a test record has no place (X and Y)");
  const cv::Point2d p{*x * unit_mm_, *y * unit_mm_};
  const double w = fields.after('X').value_or(0) * unit_mm_,
               h = fields.after('Y').value_or(0) * unit_mm_;
  ++records_;
  const std::string designator = trimmed(columns(line, k_designator, 6));
  if (code == "367" || designator == "VIA" || designator.empty()) {
    if (hole_mm > 0) holes_.push_back({p, hole_mm, is_plated && code != "367"});
    return;
  }
  const auto [it, is_new] = parts_.try_emplace(designator);
  if (is_new) order_.push_back(designator);
  Pads& pads = it->second;
  const double tall = h > 0 ? h : w;  // height 0: a round pad
  const cv::Rect2d box(p.x - w / 2, p.y - tall / 2, w, tall);
  if (is_new) {
    pads.box = box;
  } else {
    const double x1 = std::max(pads.box.x + pads.box.width, box.x + box.width),
                 y1 = std::max(pads.box.y + pads.box.height, box.y + box.height);
    pads.box.x = std::min(pads.box.x, box.x);
    pads.box.y = std::min(pads.box.y, box.y);
    pads.box.width = x1 - pads.box.x;
    pads.box.height = y1 - pads.box.y;
  }
  const bool is_through = hole_mm > 0;
  if (!is_through && access > 1) pads.is_on_front = false;
  const double area_mm2 = h > 0 ? w * h : CV_PI / 4 * w * w;
  pads.joints.push_back({trimmed(columns(line, k_pin, 4)), p, 2 * std::sqrt(area_mm2 / CV_PI),
                         is_through, net_of(line)});
}

// X and Y are modal: "X+0Y+0 X+1000 Y+500" goes along two edges.
void Netlist::edge(std::string_view line, size_t number) {
  Polyline points;
  if (line.substr(0, 3) == "089" && !edges_.empty()) points.push_back(last_edge_);
  size_t at = line.find_first_of("X", 3 + 14);
  if (at == std::string_view::npos) at = line.size();
  Fields fields{line, at};
  for (;;) {
    const auto x = fields.after('X'), y = fields.after('Y');
    if (!x && !y) break;
    if (x) last_edge_.x = *x * unit_mm_;
    if (y) last_edge_.y = *y * unit_mm_;
    points.push_back(last_edge_);
  }
  if (points.size() < 2) refuse(number, "a board edge record has fewer than two points");
  edges_.push_back(std::move(points));
}

Imported Netlist::imported() {
  if (records_ == 0)
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: holds no test records (lines that begin with 317 or 327); choose "
                            "an IPC-D-356 netlist.",
                            where_));
  Imported out;
  out.format = LayoutFormat::ipc_d_356;
  out.y_axis = YAxis::up;
  out.layout.source = {LayoutOrigin::ipc_d_356, where_, {}};
  std::vector<std::string>& remarks = out.layout.source.remarks;
  for (const std::string& designator : order_) {
    Pads& pads = parts_[designator];
    Part part;
    part.designator = designator;
    part.kind = likely_kind(designator, "", "");
    part.side = pads.is_on_front ? Side::front : Side::back;
    part.centre = {pads.box.x + pads.box.width / 2, pads.box.y + pads.box.height / 2};
    if (pads.box.width > 0 && pads.box.height > 0) part.body = pads.box.size();
    part.joints = std::move(pads.joints);
    out.layout.parts.push_back(std::move(part));
  }
  out.layout.holes = std::move(holes_);
  remarks.emplace_back(
      "The bodies are the boxes of the pads: this format has no bodies, values or packages.");
  if (std::any_of(order_.begin(), order_.end(), [](const auto& d) { return d.size() == 6; }))
    remarks.emplace_back("This format cuts designators to six characters.");
  out.layout.outline = said_outline(edges_, k_join_gap_mm, where_, remarks);
  return out;
}

}  // namespace

Imported imported_ipc_d_356(std::string_view text, std::string_view where) {
  Netlist netlist(where);
  size_t number = 0;
  for (size_t start = 0; start < text.size();) {
    size_t end = text.find('\n', start);
    if (end == std::string_view::npos) end = text.size();
    std::string_view line = text.substr(start, end - start);
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    ++number;
    if (!line.empty()) netlist.read(line, number);
    start = end + 1;
  }
  return netlist.imported();
}

}  // namespace verdigrid
