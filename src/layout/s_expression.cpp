#include "layout/s_expression.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr size_t k_deepest = 200, k_most_nodes = 20'000'000;

class Reader {
 public:
  Reader(std::string_view text, std::string_view where) : text_(text), where_(where) {}

  SNode root() {
    skip_space();
    if (at_ >= text_.size() || text_[at_] != '(') refuse("does not start with a bracket");
    open();
    while (!stack_.empty()) step();
    skip_space();
    if (at_ < text_.size()) refuse("goes on after its last bracket");
    return std::move(root_);
  }

 private:
  [[noreturn]] void refuse(const char* what) const {
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: line {}: the file {}; it is damaged or cut off, export it again.",
                            where_, line_, what));
  }

  void skip_space() {
    while (at_ < text_.size() && is_space(text_[at_])) {
      if (text_[at_] == '\n') ++line_;
      ++at_;
    }
  }
  static bool is_space(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; }

  void open() {
    if (stack_.size() >= k_deepest) refuse("is nested too deeply");
    if (++nodes_ > k_most_nodes) refuse("is too large");
    ++at_;
    skip_space();
    SNode node;
    node.line = line_;
    const size_t start = at_;
    while (at_ < text_.size() && !is_space(text_[at_]) && text_[at_] != '(' && text_[at_] != ')' &&
           text_[at_] != '"')
      ++at_;
    node.name = text_.substr(start, at_ - start);
    stack_.push_back(std::move(node));
  }

  void close() {
    ++at_;
    SNode node = std::move(stack_.back());
    stack_.pop_back();
    if (stack_.empty())
      root_ = std::move(node);
    else
      stack_.back().children.push_back(std::move(node));
  }

  void quoted() {
    std::string atom;
    for (++at_; at_ < text_.size() && text_[at_] != '"'; ++at_) {
      if (text_[at_] == '\n') ++line_;
      if (text_[at_] == '\\' && at_ + 1 < text_.size()) {
        ++at_;
        atom += text_[at_] == 'n' ? '\n' : text_[at_];
      } else {
        atom += text_[at_];
      }
    }
    if (at_ >= text_.size()) refuse("ends inside a quoted text");
    ++at_;
    stack_.back().atoms.push_back(std::move(atom));
  }

  void step() {
    skip_space();
    if (at_ >= text_.size()) refuse("ends before its brackets close");
    const char c = text_[at_];
    if (c == '(') return open();
    if (c == ')') return close();
    if (c == '"') return quoted();
    const size_t start = at_;
    while (at_ < text_.size() && !is_space(text_[at_]) && text_[at_] != '(' && text_[at_] != ')')
      ++at_;
    stack_.back().atoms.emplace_back(text_.substr(start, at_ - start));
  }

  std::string_view text_;
  std::string where_;
  size_t at_ = 0, line_ = 1, nodes_ = 0;
  std::vector<SNode> stack_;
  SNode root_;
};

}  // namespace

const SNode* SNode::child(std::string_view child_name) const {
  for (const SNode& node : children)
    if (node.name == child_name) return &node;
  return nullptr;
}

std::optional<double> SNode::number(size_t i) const {
  if (i >= atoms.size()) return std::nullopt;
  const std::string& text = atoms[i];
  double value = 0;
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (code != std::errc() || end != text.data() + text.size() || !std::isfinite(value))
    return std::nullopt;
  return value;
}

SNode s_expression(std::string_view text, std::string_view where) {
  return Reader(text, where).root();
}

}  // namespace verdigrid
