#include "cli/paper_file.h"

#include <CLI/CLI.hpp>

#include "base/files.h"
#include "report/document_html.h"
#include "report/document_pdf.h"

namespace verdigrid {

namespace {

bool is_pdf(const PaperFile& paper) { return paper.out.path.extension() == ".pdf"; }

}  // namespace

void PaperFile::check() const {
  if (is_wanted()) out.check(is_pdf(*this) ? ".pdf" : ".html");
}

void PaperFile::write(const ReportDocument& document, Session& session) const {
  if (is_pdf(*this))
    write_file(out.path, document_pdf(document));
  else
    write_file(out.path, document_html(document));
  session.messages << "Written to " << out.path.string() << ".\n";
}

void add_paper_file(CLI::App& arguments, PaperFile& into, const char* help, bool is_required) {
  arguments.add_option("-o,--out", into.out.path, std::string(help) + " (.pdf or .html)")
      ->required(is_required)
      ->type_name("FILE");
  arguments.add_flag("--replace", into.out.may_replace,
                     "Replace the file when it is there already");
}

}  // namespace verdigrid
