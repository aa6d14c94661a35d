// What the parts of `verdigrid layout` share.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "cli/layout_use.h"
#include "cli/new_file.h"
#include "cli/session.h"
#include "layout/export.h"
#include "layout/import.h"

namespace verdigrid {

struct LayoutArguments {
  std::vector<std::filesystem::path> files;
  ImportOptions import;
  DrawingOptions drawing;
  std::string board_type, revision;
  NewFile out;
  LayoutUse use;         // of tie and place
  PhotoArguments photo;  // of tie and place
};

void set_up_layout_tie(CLI::App& app, LayoutArguments& into);
int run_layout_tie(const LayoutArguments& arguments, Session& session);

void set_up_layout_place(CLI::App& app, LayoutArguments& into);
int run_layout_place(const LayoutArguments& arguments, Session& session);

}  // namespace verdigrid
