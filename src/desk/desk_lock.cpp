// The desk's power lock: conditions, evidence, overrides, first power and tests of the open board.

#include <fmt/format.h>

#include "base/error.h"
#include "desk/desk.h"
#include "jobbook/lock_record.h"

namespace verdigrid {

std::string Desk::today() const { return book_.options().now().substr(0, 10); }

void Desk::refresh_lock() {
  lock_ = {};
  if (intake_.board_id.empty()) return;
  lock_.lock = lock_of(book_, intake_.board_id, book_.options().who, today());
  lock_.state = state_of(*lock_.lock, today());
  lock_.tests = test_list(book_, intake_.board_id);
}

void Desk::run(const AddLockEntry& a) {
  if (!document_ || !lock_.lock) return;
  LockEntry entry = a.entry;
  entry.who = book_.options().who;
  entry.on = today();
  change_book_by(
      [&] {
        const PowerLock now = lock_of(book_, intake_.board_id, book_.options().who, today());
        return lock_edits(book_, intake_.board_id, with_entry(now, entry), today());
      },
      a.label);
  if (entry.kind == LockEntryKind::evidence && !lock_.state.is_cleared)
    for (const ConditionView& c : lock_.state.conditions)
      if (c.condition == entry.condition && c.state == ConditionState::open && !c.by.empty())
        say(c.by);
}

}  // namespace verdigrid
