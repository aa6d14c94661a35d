#include "desk/history.h"

#include <catch2/catch.hpp>
#include <stdexcept>

using namespace verdigrid;

namespace {

struct Set : Command<int> {
  Set(int v, bool joins = false) : to(v), is_typing(joins) {}
  void apply(int& d) override { from = d, d = to; }
  void revert(int& d) override { d = from; }
  std::string label() const override { return "Set " + std::to_string(to); }
  size_t bytes() const override { return 10; }
  bool absorb(const Command& next) override {
    const auto* n = dynamic_cast<const Set*>(&next);
    if (!n || !is_typing || !n->is_typing) return false;
    to = n->to;
    return true;
  }
  int to, from = 0;
  bool is_typing;
};

void set(History<int>& h, int& d, int v, bool joins = false) {
  h.run(d, std::make_unique<Set>(v, joins));
}

}  // namespace

TEST_CASE("undo after do gives the same document, and redo the changed one") {
  History<int> h;
  int d = 0;
  set(h, d, 1), set(h, d, 2);
  CHECK(h.undo_label() == "Set 2");
  h.undo(d), h.undo(d), h.undo(d);
  CHECK(d == 0);
  CHECK_FALSE(h.can_undo());
  h.redo(d), h.redo(d), h.redo(d);
  CHECK(d == 2);
}

TEST_CASE("a step that refuses to be taken back stays the one to take back") {
  struct Stubborn : Set {
    using Set::Set;
    void revert(int& d) override {
      if (refuses) throw std::runtime_error("somebody else changed it");
      Set::revert(d);
    }
    bool refuses = true;
  };
  History<int> h;
  int d = 0;
  set(h, d, 1);
  auto command = std::make_unique<Stubborn>(2);
  Stubborn& stubborn = *command;
  h.run(d, std::move(command));
  CHECK_THROWS(h.undo(d));
  CHECK(d == 2);
  CHECK(h.undo_label() == "Set 2");
  stubborn.refuses = false;
  h.undo(d);
  CHECK(d == 1);
}

TEST_CASE("a new change drops what was undone") {
  History<int> h;
  int d = 0;
  set(h, d, 1), set(h, d, 2);
  h.undo(d);
  set(h, d, 3);
  CHECK_FALSE(h.can_redo());
  h.undo(d);
  CHECK(d == 1);
}

TEST_CASE("the history knows the saved state") {
  History<int> h;
  int d = 0;
  CHECK(h.is_saved());
  set(h, d, 1);
  CHECK_FALSE(h.is_saved());
  h.mark_saved();
  set(h, d, 2);
  h.undo(d);
  CHECK(h.is_saved());
  h.undo(d);
  set(h, d, 5);
  CHECK_FALSE(h.is_saved());
}

TEST_CASE("the oldest steps go when the byte limit is passed") {
  History<int> h(35);
  int d = 0;
  for (int v = 1; v <= 10; ++v) set(h, d, v);
  CHECK(h.size() == 3);
  CHECK(h.bytes() == 30);
  while (h.can_undo()) h.undo(d);
  CHECK(d == 7);
}

TEST_CASE("typing is one step, but not across a save") {
  History<int> h;
  int d = 0;
  set(h, d, 1, true), set(h, d, 12, true), set(h, d, 123, true);
  CHECK(h.size() == 1);
  h.mark_saved();
  set(h, d, 1234, true);
  CHECK(h.size() == 2);
  h.undo(d);
  CHECK(d == 123);
  h.undo(d);
  CHECK(d == 0);
}
