#include "report/change_section.h"

#include <fmt/format.h>

#include "report/change_pictures.h"
#include "report/figures.h"

namespace verdigrid {

namespace {

constexpr int k_picture_px = 1600;
constexpr size_t k_changes_shown = 60;

std::string dated(const ComparedPhoto& photo) {
  return photo.captured_at.empty() ? photo.name
                                   : fmt::format("{} ({})", photo.name, photo.captured_at);
}

std::string area_words(const Interval& area, bool has_mm) {
  return has_mm ? area_figure(area) : fmt::format("{} px²", figure(area.value));
}

std::string percent_words(const ChangeRow& row) {
  if (!row.removed_percent) return "nothing before";
  const Interval& p = *row.removed_percent;
  return fmt::format("{:.0f} % ({:.0f} to {:.0f})", p.value, p.low, p.high);
}

// Places where something was, is, or changed.
Table change_rows(const char* caption, const std::vector<ChangeRow>& rows, bool has_mm) {
  Table t{caption,
          {"place", "before", "after", "removed", "new", "verdict"},
          {},
          {false, true, true, true, true, false}};
  for (const ChangeRow& row : rows)
    if (row.before.value > 0 || row.after.value > 0 || row.part_changed > 0)
      t.rows.push_back({row.name, area_words(row.before, has_mm), area_words(row.after, has_mm),
                        percent_words(row), area_words(row.fresh, has_mm), words(row.verdict)});
  return t;
}

Table change_items(const Comparison& c) {
  Table t{"What changed, in the order of the numbers",
          {"no.", "change", "square", "what", "area"},
          {},
          {true, false, false, false, true}};
  const char* unit = c.table.has_mm ? "mm²" : "px²";
  for (size_t i = 0; i < std::min(c.changes.size(), k_changes_shown); ++i) {
    const ChangeItem& item = c.changes[i];
    t.rows.push_back({fmt::format("{}", item.id), name(item.what), item.square,
                      item.part.empty() ? std::string(name(item.residue)) : item.part,
                      fmt::format("{} {}", figure(item.area), unit)});
  }
  if (c.changes.size() > k_changes_shown)
    t.caption += fmt::format("; {} of {}", k_changes_shown, c.changes.size());
  return t;
}

void add_rows(Section& s, Table t) {
  if (!t.rows.empty()) s.blocks.emplace_back(std::move(t));
}

// The summary as a table: what stands before a line's colon, and after it. What the heading says
// already is left out.
void add_summary(Section& s, const Comparison& c) {
  Table t{"What the two photos show", {"what", "as compared"}, {}, {false, false}};
  std::vector<Paragraph> sentences;
  for (const std::string& line : summary_lines(c)) {
    const size_t colon = line.find(": ");
    const std::string what = line.substr(0, colon);
    if (colon == std::string::npos)
      sentences.push_back({line + ".", Emphasis::quiet});
    else if (what != "Compared" && what != "Verdict")
      t.rows.push_back({what, line.substr(colon + 2)});
  }
  s.blocks.emplace_back(std::move(t));
  for (Paragraph& sentence : sentences) s.blocks.emplace_back(std::move(sentence));
}

}  // namespace

Section change_section(const Comparison& c, const Photo& before, const Photo& after,
                       ReportVersion version, const std::string& prefix, const Work& work) {
  Section s{prefix + "changes", "Before and after", {}};
  s.blocks.emplace_back(
      Paragraph{fmt::format("{} side, {} to {}. Verdict: {}.", name(c.rectification.side),
                            dated(c.before), dated(c.after), words(c.table.total.verdict)),
                Emphasis::strong});
  const ChangePictureOptions options{.long_side_px = k_picture_px};
  const BeforeAndAfter views = plain_views(before, after, c, options, work.part(0, 0.5));
  s.blocks.emplace_back(
      Pair{picture_of(views.before, k_picture_px, "The board before: " + c.before.name),
           picture_of(views.after, k_picture_px,
                      "The board after, in the same place and light: " + c.after.name),
           "The photo after is brought to the place and the light of the photo before."});
  s.blocks.emplace_back(picture_of(
      change_overlay(before, after, c, options, work.part(0.5, 1)), k_picture_px,
      "What changed on the photo after, with grid and legend", "What changed, with legend"));
  add_summary(s, c);
  for (const std::string& remark : c.remarks)
    s.blocks.emplace_back(Paragraph{remark, Emphasis::quiet});
  if (version == ReportVersion::owner) return s;
  add_rows(s, change_items(c));
  add_rows(s, change_rows("Zones", c.table.zones, c.table.has_mm));
  add_rows(s, change_rows("Squares", c.table.squares, c.table.has_mm));
  add_rows(s, change_rows("Parts", c.table.parts, c.table.has_mm));
  return s;
}

ReportDocument change_report(const Comparison& c, const Photo& before, const Photo& after,
                             const ReportOptions& options, const Work& work) {
  options.check();
  ReportDocument d;
  d.title = options.heading.empty() ? "Before and after: " + c.before.name : options.heading;
  d.subtitle =
      fmt::format("{} to {}, program {}", dated(c.before), dated(c.after), c.program_version);
  d.sections.push_back(change_section(c, before, after, options.version, "", work));
  d.sections.push_back(caution_section());
  keep_sections(d, options.sections);
  return d;
}

}  // namespace verdigrid
