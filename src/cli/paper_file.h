// A document that a subcommand may be asked to write, as HTML or PDF by the ending of its name.
#pragma once

#include "cli/new_file.h"
#include "cli/session.h"
#include "report/document.h"

namespace CLI {
class App;
}

namespace verdigrid {

struct PaperFile {
  NewFile out;

  bool is_wanted() const { return !out.path.empty(); }
  void check() const;  // as NewFile::check; nothing where none is wanted
  void write(const ReportDocument& document, Session& session) const;
};

// -o/--out FILE and --replace.
void add_paper_file(CLI::App& arguments, PaperFile& into, const char* help,
                    bool is_required = false);

}  // namespace verdigrid
