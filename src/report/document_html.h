// A document as one HTML file that needs nothing else: pictures inside it, no network, a small
// script for switches and sliders only (without it everything is still shown), print rules.
//
// HTML living standard; headings in order, words for every picture, every switch and slider works
// by keyboard. May be called from any thread.
#pragma once

#include <string>
#include <string_view>

#include "base/data_files.h"
#include "report/document.h"

namespace verdigrid {

// Style and script come from assets/report. Throws as ReportDocument::check and DataFiles::get.
std::string document_html(const ReportDocument& document, const DataFiles& data = DataFiles());

// & < > " ' as entities, and what is no valid UTF-8 as U+FFFD.
std::string html_text(std::string_view text);

}  // namespace verdigrid
