// The answers of the receiving desk as arguments: what `jobbook receive` asks and `jobbook change`
// corrects.
#pragma once

#include <functional>
#include <vector>

#include "jobbook/entities.h"

namespace CLI {
class App;
}

namespace verdigrid {

// The fields that were given, in the order of the command line; the others stay as they are.
class UnitEdits {
 public:
  void add(std::function<void(Unit&)> edit) { edits_.push_back(std::move(edit)); }
  bool is_empty() const { return edits_.empty(); }
  Unit applied_to(Unit unit) const {
    for (const auto& edit : edits_) edit(unit);
    return unit;
  }

 private:
  std::vector<std::function<void(Unit&)>> edits_;
};

// Adds one option a field to `app`; they write into `edits`, which must outlive `app`.
void add_unit_arguments(CLI::App& app, UnitEdits& edits, bool is_name_required);

}  // namespace verdigrid
