// A document as PDF on A4 pages (ISO 216): headings in the outline, tables that go on over pages
// with their head repeated, page numbers; fonts embedded.
//
// May be called from any thread. Cost: about 0.1 s a page with pictures.
#pragma once

#include "base/files.h"
#include "report/document.h"

namespace verdigrid {

// Throws as ReportDocument::check; Error{no_result} when the PDF library refuses.
Bytes document_pdf(const ReportDocument& document);

}  // namespace verdigrid
