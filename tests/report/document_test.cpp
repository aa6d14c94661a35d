// Documents as HTML and PDF. The PDF is read back by poppler and qpdf, the HTML by Chromium:
// readers that know nothing of this program.

#include <catch2/catch.hpp>
#include <regex>

#include "base/base64.h"
#include "report/document_html.h"
#include "report/document_pdf.h"
#include "report/survey_report.h"
#include "tests/measure/sample_survey.h"
#include "tests/process.h"

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

constexpr const char* k_hostile = "<script>alert(1)</script> & \"x\" 'y' \xC3\x28 \xE2\x82\xAC";

Picture small_picture(const cv::Scalar& colour) {
  return picture_of(cv::Mat(90, 120, CV_8UC3, colour), 120, "a plain colour", "caption");
}

ReportDocument every_block() {
  ReportDocument d{"Report of \"everything\"", "two sections", {}};
  Section first{"first", "First <heading>", {}};
  first.blocks.emplace_back(Paragraph{k_hostile, Emphasis::caution});
  first.blocks.emplace_back(
      Table{"areas", {"place", "mm²"}, {{"C6", "12.4"}, {"A1", "0"}}, {false, true}});
  first.blocks.emplace_back(
      SwitchedPicture{small_picture({0, 0, 200}), small_picture({200, 0, 0}), "Show findings"});
  Section second{"second", "Second", {}};
  second.blocks.emplace_back(
      Pair{small_picture({0, 200, 0}), small_picture({0, 90, 0}), "before and after"});
  second.blocks.emplace_back(
      Gallery{{small_picture({9, 9, 9}), small_picture({99, 9, 9}), small_picture({9, 99, 9})}});
  second.blocks.emplace_back(TickList{{"rinsed", "dried"}, {true, false}});
  d.sections = {first, second};
  return d;
}

long count_of(const std::string& text, const std::string& what) {
  long n = 0;
  for (size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++n;
  return n;
}

}  // namespace

TEST_CASE("base64 agrees with the examples of RFC 4648 section 10 and comes back", "[report]") {
  const std::pair<const char*, const char*> examples[] = {{"", ""},
                                                          {"f", "Zg=="},
                                                          {"fo", "Zm8="},
                                                          {"foo", "Zm9v"},
                                                          {"foob", "Zm9vYg=="},
                                                          {"fooba", "Zm9vYmE="},
                                                          {"foobar", "Zm9vYmFy"}};
  for (const auto& [plain, coded] : examples) {
    const std::string text = plain;
    CHECK(base64(std::as_bytes(std::span(text.data(), text.size()))) == coded);
    const auto back = from_base64(coded);
    REQUIRE(back);
    CHECK(std::string(reinterpret_cast<const char*>(back->data()), back->size()) == text);
  }
  CHECK_FALSE(from_base64("Zg="));
  CHECK_FALSE(from_base64("Z!=="));
}

TEST_CASE("text of people is shown and never run", "[report]") {
  CHECK(html_text("<b a='1' c=\"2\">&</b>") ==
        "&lt;b a=&#39;1&#39; c=&quot;2&quot;&gt;&amp;&lt;/b&gt;");
  // The Unicode Standard, table 3-7: what is no well-formed UTF-8 becomes U+FFFD.
  CHECK(html_text("\xC3\x28") == "\uFFFD(");
  CHECK(html_text("\xED\xA0\x80") == "\uFFFD\uFFFD\uFFFD");
  CHECK(html_text("\xF4\x90\x80\x80") == "\uFFFD\uFFFD\uFFFD\uFFFD");
  CHECK(html_text("\xC0\xAF") == "\uFFFD\uFFFD");
  CHECK(html_text("\u20AC \U0001F50B") == "\u20AC \U0001F50B");
  CHECK(html_text(std::string_view("a\0b", 3)) == "a\uFFFDb");
}

TEST_CASE("the HTML needs nothing else and holds every block", "[report]") {
  const std::string html = document_html(every_block());
  CHECK(html.find("<script>alert") == std::string::npos);
  CHECK_FALSE(std::regex_search(html, std::regex("(src|href)=\"(https?:)?//")));
  CHECK(count_of(html, "<h1>") == 1);
  CHECK(count_of(html, "<h2 ") == 2);
  CHECK(count_of(html, "<img ") == 7);
  CHECK(count_of(html, " alt=\"") == 7);
  CHECK(count_of(html, "<script>") == 1);
  CHECK_THAT(html, Contains("First &lt;heading&gt;") && Contains("<caption>areas</caption>"));
}

TEST_CASE("the PDF is sound, its fonts are in it and its headings lead to pages", "[report]") {
  const test::TemporaryFolder t;
  ReportDocument d = every_block();
  Table big{"long table", {"no.", "text"}, {}, {true, false}};
  for (int i = 0; i < 200; ++i) big.rows.push_back({std::to_string(i), "some words in row"});
  d.sections[1].blocks.emplace_back(big);
  const auto path = (t.path() / "d.pdf").string();
  write_file(path, document_pdf(d));

  const test::Outcome sound = test::run({"qpdf", "--check", path});
  CAPTURE(sound.out, sound.err);
  CHECK(sound.code == 0);
  const std::string fonts = test::run({"pdffonts", path}).out;
  CHECK(count_of(fonts, "DejaVu") >= 2);
  CHECK(count_of(fonts, " yes yes yes ") == count_of(fonts, "DejaVu"));
  const std::string text = test::run({"pdftotext", "-layout", path, "-"}).out;
  CHECK_THAT(text, Contains("First <heading>") && Contains("<script>alert(1)</script>") &&
                       Contains("rinsed"));
  for (const char* row : {" 0 ", " 99 ", " 199 "}) CHECK_THAT(text, Contains(row));
  // The head of a table that goes on stands on every page of it.
  CHECK(count_of(text, "no.") >= 3);
  const std::string json = test::run({"qpdf", "--json", path}).out;
  const size_t first = json.find("First <heading>"), second = json.find("\"Second\"");
  CHECK(first != std::string::npos);
  CHECK(second != std::string::npos);
}

TEST_CASE("the report of a survey holds what the survey holds, and no clearance", "[report]") {
  const Survey s = sample_survey();
  const ReportDocument bench = survey_report(s, nullptr, {});
  ReportOptions for_owner;
  for_owner.version = ReportVersion::owner;
  const ReportDocument owner = survey_report(s, nullptr, for_owner);
  CHECK(owner.sections.size() < bench.sections.size());
  const std::string html = document_html(bench), short_html = document_html(owner);
  for (const Finding& f : s.findings.findings) CHECK_THAT(html, Contains(html_text(f.reason)));
  CHECK_THAT(html, Contains(s.photo.sha256) && Contains(html_text(s.detector_id)));
  for (const std::string& text : {html, short_html}) {
    CHECK_THAT(text, Contains("no clearance") && Contains("qualified persons"));
    CHECK_FALSE(std::regex_search(text, std::regex("\\b(is|are) (now )?(clean|safe|OK)\\b")));
  }
  ReportOptions some;
  some.sections = {"found", "origin"};
  CHECK(survey_report(s, nullptr, some).sections.size() == 2);
  some.sections = {"nonsense"};
  CHECK_THROWS_WITH(survey_report(s, nullptr, some), Contains("nonsense"));

  const std::string none = document_html(survey_report(empty_survey(), nullptr, {}));
  CHECK_THAT(none, Contains("Nothing found in what this photo shows"));
}

TEST_CASE("a browser opens the HTML, its switch and its slider work by keyboard",
          "[report][slow]") {
  const test::TemporaryFolder t;
  const auto path = (t.path() / "d.html").string();
  write_file(path, document_html(every_block()));
  const test::Outcome ran = test::run(
      {"/usr/bin/python3", VERDIGRID_BROWSER_CHECK, path, (t.path() / "profile").string()});
  CAPTURE(ran.out, ran.err);
  CHECK(ran.code == 0);
}
