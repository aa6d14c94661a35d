#include "desk/change_book.h"

#include <fmt/format.h>

#include "base/error.h"

namespace verdigrid {

namespace {

// What several programs write to at the same time: taking a step back must not take along what
// another one has added since.
bool is_shared(const std::string& kind) {
  return kind == "bench-log" || kind == "plan" || kind == "power-lock" || kind == "parts" ||
         kind == "drawer";
}

}  // namespace

bool ChangeBook::do_first(const std::function<std::vector<Edit>()>& make) {
  book_.change_by(label_, [&] {
    edits_ = make();
    for (Edit& e : edits_)
      if (e.id.empty()) e.id = book_.new_id(e.kind);
    for (auto e = edits_.rbegin(); e != edits_.rend(); ++e) {
      const std::optional<Record> old = book_.find(e->id);
      back_.push_back({e->id, old ? old->kind : e->kind, old ? old->parent : e->parent,
                       old ? std::optional(old->body) : std::nullopt});
    }
    return edits_;
  });
  if (edits_.empty()) return false;
  open_ = after_;
  return true;
}

void ChangeBook::apply(Document&) {
  write(label_, edits_, back_);
  open_ = after_;
}

void ChangeBook::revert(Document&) {
  write("undo: " + label_, back_, edits_);
  open_ = before_;
}

size_t ChangeBook::bytes() const {
  size_t sum = sizeof *this;
  for (const auto* list : {&edits_, &back_})
    for (const Edit& e : *list) sum += e.body ? e.body->dump().size() : 0;
  return sum;
}

void ChangeBook::write(const std::string& what, const std::vector<Edit>& edits,
                       const std::vector<Edit>& expected) {
  book_.change_by(what, [&] {
    for (const Edit& e : expected) {
      const std::optional<Record> now = book_.find(e.id);
      const auto body = now ? std::optional(now->body) : std::nullopt;
      if (is_shared(e.kind) && body != e.body)
        throw Error(ErrorKind::wrong_use,
                    fmt::format("\"{}\" is left as it is: another program has changed the same "
                                "record since. Correct it by a new entry.",
                                label_));
    }
    return edits;
  });
}

}  // namespace verdigrid
