// The scale card to print: one PDF page with the card (rectify/card_layout.h) to cut out and how to
// use it.
//
// Lengths are exact in the PDF's own units (1/72 inch); the printer decides the rest, so the page
// asks to measure the bar. Fonts are embedded. May be called from any thread.
#pragma once

#include <opencv2/core.hpp>

#include "base/files.h"
#include "rectify/card_layout.h"

namespace verdigrid {

enum class Paper { a4, letter };
const char* name(Paper paper);           // "a4", "letter"
cv::Size2d paper_size_mm(Paper paper);   // ISO 216 A4; ANSI/ASME Y14.1 A (8.5 x 11 inch)
cv::Point2d card_place_mm(Paper paper);  // the card's top-left corner on the page

// Throws Error{no_result} when the PDF library refuses.
Bytes card_pdf(Paper paper);

}  // namespace verdigrid
