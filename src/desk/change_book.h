// Edits of the job book as one step of the desk's history, taken back by writing what was there
// before. Belongs to the desk's thread.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "desk/desk.h"
#include "desk/document.h"
#include "desk/history.h"
#include "jobbook/job_book.h"

namespace verdigrid {

class ChangeBook : public Command<Document> {
 public:
  ChangeBook(JobBook& book, std::string label, OpenPlace& open, OpenPlace after)
      : book_(book),
        label_(std::move(label)),
        open_(open),
        before_(open),
        after_(std::move(after)) {}

  // False where `make` gives nothing to do.
  bool do_first(const std::function<std::vector<Edit>()>& make);
  void apply(Document&) override;
  // Throws Error{wrong_use} where another program has changed a record that both write to.
  void revert(Document&) override;
  std::string label() const override { return label_; }
  size_t bytes() const override;

 private:
  void write(const std::string& what, const std::vector<Edit>& edits,
             const std::vector<Edit>& expected);

  JobBook& book_;
  std::vector<Edit> edits_, back_;
  std::string label_;
  OpenPlace& open_;
  OpenPlace before_, after_;
};

}  // namespace verdigrid
