#include "report/document_html.h"

#include <fmt/format.h>

#include "base/base64.h"
#include "report/utf8.h"

namespace verdigrid {

namespace {

constexpr std::uintmax_t k_asset_limit_bytes = 1 << 20;

// One document: numbers its pictures and switches.
class Writer {
 public:
  Writer(const ReportDocument& document, const DataFiles& data)
      : document_(document), data_(data) {}

  std::string written() {
    head();
    for (const Section& s : document_.sections) {
      out_ +=
          fmt::format("<section id=\"{0}\" aria-labelledby=\"{0}-h\">\n<h2 id=\"{0}-h\">{1}</h2>\n",
                      s.id, html_text(s.heading));
      for (const Block& block : s.blocks) std::visit(*this, block);
      out_ += "</section>\n";
    }
    out_ += "</main>\n<script>\n" + asset("report.js") + "</script>\n</body>\n</html>\n";
    return std::move(out_);
  }

  void operator()(const Paragraph& p) {
    constexpr const char* classes[] = {"", " class=\"quiet\"", " class=\"strong\"",
                                       " class=\"caution\" role=\"note\""};
    out_ += fmt::format("<p{}>{}</p>\n", classes[static_cast<size_t>(p.tone)], html_text(p.text));
  }

  void operator()(const Table& t) {
    out_ += "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"" +
            html_text(t.caption.empty() ? "Table" : t.caption) + "\"><table>\n";
    if (!t.caption.empty()) out_ += "<caption>" + html_text(t.caption) + "</caption>\n";
    out_ += "<thead><tr>";
    for (size_t i = 0; i < t.head.size(); ++i)
      out_ += fmt::format("<th scope=\"col\"{}>{}</th>", number_class(t, i), html_text(t.head[i]));
    out_ += "</tr></thead>\n<tbody>\n";
    for (const auto& row : t.rows) {
      out_ += "<tr>";
      for (size_t i = 0; i < row.size(); ++i)
        out_ += i == 0 ? fmt::format("<th scope=\"row\"{}>{}</th>", number_class(t, i),
                                     html_text(row[i]))
                       : fmt::format("<td{}>{}</td>", number_class(t, i), html_text(row[i]));
      out_ += "</tr>\n";
    }
    out_ += "</tbody></table></div>\n";
  }

  void operator()(const Picture& p) {
    out_ += "<figure>" + image(p) + caption(p.caption) + "</figure>\n";
  }

  void operator()(const SwitchedPicture& l) {
    const int n = ++count_;
    out_ += fmt::format(
        "<figure class=\"layers\"><label><input type=\"checkbox\" checked "
        "data-layer=\"layer-{0}\"> "
        "{1}</label><div class=\"stack\">{2}<div id=\"layer-{0}\" class=\"over\">{3}</div></div>{4}"
        "</figure>\n",
        n, html_text(l.label), image(l.plain), image(l.over), caption(l.over.caption));
  }

  void operator()(const Pair& p) {
    const int n = ++count_;
    out_ += fmt::format(
        "<figure class=\"pair\"><label for=\"slide-{0}\">Before and after: move the slider"
        "</label><input type=\"range\" id=\"slide-{0}\" min=\"0\" max=\"100\" value=\"50\" "
        "data-pair=\"pair-{0}\"><div class=\"stack\">{1}<div id=\"pair-{0}\" class=\"over "
        "cut\">{2}</div></div>{3}</figure>\n",
        n, image(p.before), image(p.after), caption(p.caption));
  }

  void operator()(const Gallery& g) {
    out_ += "<div class=\"gallery\">\n";
    for (const Picture& p : g.pictures) (*this)(p);
    out_ += "</div>\n";
  }

  void operator()(const TickList& t) {
    out_ += "<ul class=\"ticks\">\n";
    for (size_t i = 0; i < t.items.size(); ++i) {
      const bool is_ticked = !t.is_ticked.empty() && t.is_ticked[i];
      out_ += fmt::format("<li><span aria-hidden=\"true\">{}</span> {}{}</li>\n",
                          is_ticked ? "\u2611" : "\u2610", html_text(t.items[i]),
                          is_ticked ? "<span class=\"hidden\"> (ticked)</span>" : "");
    }
    out_ += "</ul>\n";
  }

 private:
  std::string asset(const std::string& name) const {
    const Bytes bytes = read_file(data_.get("assets/report/" + name), k_asset_limit_bytes);
    return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
  }

  void head() {
    out_ = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta "
        "name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{}</title>\n"
        "<style>\n{}</style>\n</head>\n<body>\n<header>\n<h1>{}</h1>\n",
        html_text(document_.title), asset("report.css"), html_text(document_.title));
    if (!document_.subtitle.empty())
      out_ += "<p class=\"quiet\">" + html_text(document_.subtitle) + "</p>\n";
    out_ += "<nav aria-label=\"Sections\"><ul>\n";
    for (const Section& s : document_.sections)
      out_ += fmt::format("<li><a href=\"#{}\">{}</a></li>\n", s.id, html_text(s.heading));
    out_ += "</ul></nav>\n</header>\n<main>\n";
  }

  static std::string image(const Picture& p) {
    return fmt::format(
        "<img src=\"data:image/jpeg;base64,{}\" width=\"{}\" height=\"{}\" "
        "alt=\"{}\">",
        base64(p.jpeg), p.size_px.width, p.size_px.height, html_text(p.alt));
  }
  static std::string caption(const std::string& text) {
    return text.empty() ? "" : "<figcaption>" + html_text(text) + "</figcaption>";
  }
  static const char* number_class(const Table& t, size_t column) {
    return !t.is_number.empty() && t.is_number[column] ? " class=\"number\"" : "";
  }

  const ReportDocument& document_;
  const DataFiles& data_;
  std::string out_;
  int count_ = 0;
};

}  // namespace

std::string html_text(std::string_view text) {
  std::string out;
  for (const char c : valid_utf8(text)) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '&')
      out += "&amp;";
    else if (c == '<')
      out += "&lt;";
    else if (c == '>')
      out += "&gt;";
    else if (c == '"')
      out += "&quot;";
    else if (c == '\'')
      out += "&#39;";
    else if (byte < 0x20 && c != '\n' && c != '\t')
      out += "\uFFFD";  // control characters are not allowed in HTML
    else
      out += c;
  }
  return out;
}

std::string document_html(const ReportDocument& document, const DataFiles& data) {
  document.check();
  return Writer(document, data).written();
}

}  // namespace verdigrid
