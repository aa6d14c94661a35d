// Undo and redo: commands that change a document and can take themselves back, in one linear
// history with a limit in bytes.
//
// A command keeps ids and values, never pointers. Not for use from several threads.
#pragma once

#include <cstddef>
#include <deque>
#include <memory>
#include <string>

namespace verdigrid {

template <class Document>
class Command {
 public:
  virtual ~Command() = default;
  virtual void apply(Document&) = 0;
  virtual void revert(Document&) = 0;
  virtual std::string label() const = 0;  // "Add note"
  virtual size_t bytes() const { return 256; }
  // Joins a following command into this one (typing in a field is one step); true when it was taken
  // in.
  virtual bool absorb(const Command& next) { return static_cast<void>(next), false; }
};

template <class Document>
class History {
 public:
  explicit History(size_t limit_bytes = size_t{64} << 20) : limit_bytes_(limit_bytes) {}

  void run(Document& document, std::unique_ptr<Command<Document>> command) {
    command->apply(document);
    add(std::move(command));
  }
  // One that was carried out already.
  void add(std::unique_ptr<Command<Document>> command) {
    while (steps_.size() > position_) drop_last();
    if (saved_at_ != k_never && saved_at_ > steps_.size()) saved_at_ = k_never;
    if (!steps_.empty() && saved_at_ != steps_.size() && steps_.back()->absorb(*command)) return;
    bytes_ += command->bytes();
    steps_.push_back(std::move(command));
    position_ = steps_.size();
    while (bytes_ > limit_bytes_ && steps_.size() > 1) drop_first();
  }
  bool can_undo() const { return position_ > 0; }
  bool can_redo() const { return position_ < steps_.size(); }
  std::string undo_label() const {
    return can_undo() ? steps_[position_ - 1]->label() : std::string();
  }
  std::string redo_label() const { return can_redo() ? steps_[position_]->label() : std::string(); }
  void undo(Document& document) {
    if (!can_undo()) return;
    steps_[position_ - 1]->revert(document);  // may refuse; then nothing has moved
    --position_;
  }
  void redo(Document& document) {
    if (!can_redo()) return;
    steps_[position_]->apply(document);
    ++position_;
  }
  void mark_saved() { saved_at_ = position_; }
  bool is_saved() const { return saved_at_ == position_; }
  size_t size() const { return steps_.size(); }
  size_t position() const { return position_; }
  size_t bytes() const { return bytes_; }
  std::string label(size_t i) const { return steps_.at(i)->label(); }
  void clear() { steps_.clear(), position_ = 0, bytes_ = 0, saved_at_ = 0; }

 private:
  static constexpr size_t k_never = static_cast<size_t>(-1);
  void drop_last() {
    bytes_ -= steps_.back()->bytes();
    steps_.pop_back();
  }
  void drop_first() {
    bytes_ -= steps_.front()->bytes();
    steps_.pop_front();
    --position_;
    if (saved_at_ != k_never) saved_at_ = saved_at_ > 0 ? saved_at_ - 1 : k_never;
  }

  std::deque<std::unique_ptr<Command<Document>>> steps_;
  size_t position_ = 0, saved_at_ = 0, bytes_ = 0, limit_bytes_;
};

}  // namespace verdigrid
