// S-expressions, as KiCad board files are written: (name atom "quoted text" (child ...)).
//
// The tree refers to the text it was read from, which must outlive it, except for quoted atoms with
// escapes. Depth and size are limited, nothing recurses.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace verdigrid {

struct SNode {
  std::string_view name;           // first atom
  std::vector<std::string> atoms;  // the other atoms, in order
  std::vector<SNode> children;     // the lists inside, in order
  size_t line = 0;                 // where it starts, from 1

  const SNode* child(std::string_view child_name) const;  // first of that name, or null
  // Atom i as a number; empty when it is missing or no finite number.
  std::optional<double> number(size_t i) const;
  std::string atom(size_t i) const { return i < atoms.size() ? atoms[i] : std::string(); }
};

// The one list that the text holds. Throws bad_input with the line when brackets or quotes do not
// close, something follows the list, the depth exceeds 200 or the lists 20 million.
SNode s_expression(std::string_view text, std::string_view where);

}  // namespace verdigrid
