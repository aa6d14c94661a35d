// What the subcommands of `verdigrid jobbook` do, one function each: its arguments are read in
// jobbook_command.cpp. Each returns the exit code and throws Error.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "cli/command.h"
#include "cli/job_book_place.h"
#include "cli/unit_arguments.h"
#include "jobbook/entities.h"
#include "jobbook/search.h"

namespace verdigrid {

struct JobBookArguments {
  std::filesystem::path book;
  std::string who;  // signs; empty: the name kept in the settings
  std::string id, board, role = "arrival", side = "front";
  std::vector<std::filesystem::path> photos;
  std::filesystem::path folder;
  bool with_owner = false, prints_json = false;
  UnitEdits edits;  // of receive and change
  std::string state, battery_removed_on;
  bool is_data_saved = false, is_loss_accepted = false;
  KitItem kit;
  SearchQuery query;
};

inline JobBook opened_job_book(const JobBookArguments& a, Open how) {
  return opened_job_book(a.book, a.who, how);
}

// Making and changing records: jobbook_changes.cpp.
int jobbook_init(const JobBookArguments& a, Session& s);
int jobbook_receive(const JobBookArguments& a, Session& s);
int jobbook_change(const JobBookArguments& a, Session& s);
int jobbook_sign_as(const JobBookArguments& a, Session& s);
int jobbook_add(const JobBookArguments& a, Session& s);
int jobbook_kit(const JobBookArguments& a, Session& s);
int jobbook_inbox(const JobBookArguments& a, Session& s);
int jobbook_again(const JobBookArguments& a, Session& s);
int jobbook_undo(const JobBookArguments& a, Session& s);
int jobbook_forget(const JobBookArguments& a, Session& s);

// What is there: jobbook_looks.cpp.
int jobbook_list(const JobBookArguments& a, Session& s);
int jobbook_show(const JobBookArguments& a, Session& s);
int jobbook_search(const JobBookArguments& a, Session& s);
int jobbook_history(const JobBookArguments& a, Session& s);
int jobbook_intake(const JobBookArguments& a, Session& s);
int jobbook_check(const JobBookArguments& a, Session& s);
int jobbook_backup(const JobBookArguments& a, Session& s);
int jobbook_export(const JobBookArguments& a, Session& s);
int jobbook_import(const JobBookArguments& a, Session& s);

}  // namespace verdigrid
