#include "report/survey_report.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "base/error.h"
#include "report/figures.h"
#include "report/overlay.h"
#include "report/photo_view.h"
#include "report/place_picture.h"
#include "report/places_sheet.h"

namespace verdigrid {

namespace {

constexpr int k_picture_px = 1600, k_crop_px = 420;

// Whole words of a class for who does not know the letters.
const char* plain_words(Residue r) {
  switch (r) {
    case Residue::copper_salt:
      return "green to blue salts on copper (verdigris)";
    case Residue::leak_film:
      return "a brown or dark film, likely leaked electrolyte";
    case Residue::white_salt:
      return "a white crust or powder";
    case Residue::rust:
      return "rust on iron parts";
    case Residue::attacked_joint:
      return "solder joints gone grey or black";
    case Residue::eaten_copper:
      return "copper laid bare or eaten away";
    default:
      return "something abnormal that could not be named";
  }
}

std::string residue_words(Residue r) { return fmt::format("{} {}", letter(r), name(r)); }

std::string list_of(const std::vector<std::string>& items) {
  return items.empty() ? "none" : fmt::format("{}", fmt::join(items, ", "));
}

std::string count_words(size_t n, const char* one) {
  return fmt::format("{} {}{}", n, one, n == 1 ? "" : "s");
}

// The photo alone and with everything over it, as one switch.
SwitchedPicture layers_of(const Survey& s, const Photo& photo, const Work& work) {
  OverlayOptions options;
  options.long_side_px = k_picture_px;
  const cv::Mat over = overlay_picture(photo, s, options, work);
  const PhotoView view = overlay_view(s, options);
  cv::Mat plain = over.clone();
  shown_picture(photo.bgr, view).copyTo(plain(view.shown_box()));
  const std::string what = fmt::format("the {} side of the board", name(s.rectification.side));
  return {picture_of(plain, over.cols, "Photo of " + what),
          picture_of(over, over.cols,
                     fmt::format("Photo of {} with {}, the lettered grid and the legend", what,
                                 count_words(s.findings.findings.size(), "finding")),
                     "Findings are outlined, hatched and lettered by class; squares by letter and "
                     "number."),
          "Show findings, grid and legend"};
}

Section found_section(const Survey& s, const Photo* photo, ReportVersion version,
                      const Work& work) {
  Section section{"found", fmt::format("What was found, {} side", name(s.rectification.side)), {}};
  auto& blocks = section.blocks;
  if (s.nothing_found()) {
    blocks.emplace_back(Paragraph{nothing_found_sentence(s), Emphasis::strong});
  } else {
    blocks.emplace_back(
        Paragraph{fmt::format("{}, together {}. First word on how far it reaches: {}.",
                              count_words(s.findings.findings.size(), "finding"),
                              amount_figure(s.zones.total.affected, s.zones.has_mm),
                              severity_words(s.zones.total)),
                  Emphasis::strong});
    for (const Residue r : k_residues) {
      const Amount& a = s.zones.total.by_class[static_cast<size_t>(r)];
      if (a.px == 0) continue;
      blocks.emplace_back(Paragraph{
          fmt::format("{}: {}.",
                      version == ReportVersion::owner ? std::string(plain_words(r))
                                                      : residue_words(r) + ", " + plain_words(r),
                      amount_figure(a, s.zones.has_mm)),
          Emphasis::plain});
    }
    blocks.emplace_back(
        Paragraph{"These are likely residues by their look, which never proves their chemistry.",
                  Emphasis::quiet});
  }
  if (photo)
    blocks.emplace_back(layers_of(s, *photo, work));
  else
    blocks.emplace_back(
        Paragraph{"The photo was not at hand for this report, so its pictures are left out.",
                  Emphasis::quiet});
  return section;
}

Section unseen_section(const Survey& s) {
  const Unseen& u = s.zones.total.unseen;
  Section section{"unseen", "What was not seen", {}};
  section.blocks.emplace_back(Paragraph{
      fmt::format("{} of this side is not shown by the photo: glare {}, blur {}, outside the photo "
                  "{}, under parts {}.{} Nothing is said about what was not seen.",
                  percent_figure(u.total_percent), percent_figure(u.glare_percent),
                  percent_figure(u.blur_percent), percent_figure(u.outside_photo_percent),
                  percent_figure(u.under_parts_percent),
                  s.layout ? "" : " Parts were told by their dark bodies only: more may hide."),
      Emphasis::plain});
  if (!s.other_side.empty()) {
    Table t{"Findings on holes through the board: look at the same place on the other side",
            {"finding", "square", "hole"},
            {},
            {}};
    for (const OtherSideLook& l : s.other_side)
      t.rows.push_back({std::to_string(l.finding), l.square, l.hole});
    section.blocks.emplace_back(std::move(t));
  }
  return section;
}

Section photo_section(const Survey& s) {
  Section section{"photo", "Photo check and scale", {}};
  section.blocks.emplace_back(Paragraph{
      fmt::format("{}, {} x {} px. Verdict: {}. Scale: {}.", s.photo.name, s.photo_size_px.width,
                  s.photo_size_px.height, name(s.check.verdict), scale_figure(s.rectification)),
      Emphasis::plain});
  Table t{"", {"what", "figure", "verdict", "what was seen, what to change"}, {}, {}};
  for (const CheckItem& item : s.check.items)
    t.rows.push_back({item.id, figure(item.figure, item.unit), name(item.verdict), item.sentence});
  section.blocks.emplace_back(std::move(t));
  return section;
}

// Parts are known with a layout only.
std::vector<std::string> area_cells(const ZoneRow& row, bool has_mm, bool has_layout) {
  std::vector<std::string> cells{row.name,
                                 has_mm ? area_figure(row.affected.area) : "-",
                                 percent_figure(row.affected.percent.value),
                                 name(row.severity),
                                 std::to_string(row.iso4628_3),
                                 std::to_string(row.astm_d610),
                                 std::to_string(row.iso10289),
                                 percent_figure(row.unseen.total_percent)};
  if (has_layout) cells.push_back(list_of(row.parts_reached));
  return cells;
}

void add_area_table(Section& section, const std::string& caption, const std::vector<ZoneRow>& rows,
                    const Survey& s, bool with_empty) {
  Table t{caption,
          {"place", "affected", "share", "severity", "ISO 4628-3 Ri", "ASTM D610", "ISO 10289",
           "unseen"},
          {},
          {false, true, true, false, true, true, true, true}};
  if (s.layout) {
    t.head.emplace_back("parts reached");
    t.is_number.push_back(false);
  }
  for (const ZoneRow& row : rows)
    if (with_empty || row.affected.px > 0)
      t.rows.push_back(area_cells(row, s.zones.has_mm, s.layout.has_value()));
  if (!t.rows.empty()) section.blocks.emplace_back(std::move(t));
}

Section zones_section(const Survey& s) {
  Section section{"zones", "Squares, zones and parts", {}};
  add_area_table(section, "Squares with residue", s.zones.squares, s, false);
  add_area_table(section, "Zones of the layout", s.zones.zones, s, true);
  Table parts{"Parts reached",
              {"part", "kind", "reach", "joints reached", "affected", "findings"},
              {},
              {false, false, false, true, true, false}};
  for (const PartRow& p : s.zones.parts) {
    if (p.reach == Reach::none) continue;
    std::vector<std::string> ids;
    for (const int id : p.row.findings) ids.push_back(std::to_string(id));
    parts.rows.push_back({p.row.name, name(p.kind), name(p.reach),
                          fmt::format("{} of {}", p.joints_reached, p.joints),
                          amount_figure(p.row.affected, s.zones.has_mm), list_of(ids)});
  }
  if (!parts.rows.empty()) section.blocks.emplace_back(std::move(parts));
  if (section.blocks.empty())
    section.blocks.emplace_back(Paragraph{nothing_found_sentence(s), Emphasis::plain});
  section.blocks.emplace_back(
      Paragraph{"Intervals hold the true area in about 95 of 100 cases. The grades are yardsticks "
                "made for painted and plated metal; on a circuit board they are an analogy.",
                Emphasis::quiet});
  return section;
}

std::string likely_source_words(const Survey& s, int finding) {
  for (const LikelySource& source : s.sources)
    if (source.finding == finding && !source.candidates.empty())
      return source.candidates.front().designator + " (likely)";
  return "";
}

Section findings_section(const Survey& s, const Photo* photo) {
  Section section{"findings", "Findings", {}};
  if (s.nothing_found()) {
    section.blocks.emplace_back(Paragraph{nothing_found_sentence(s), Emphasis::plain});
    return section;
  }
  if (photo) {
    Gallery gallery;
    for (const Place& place : s.findings.places) {
      const Finding* f = main_finding(s, place);
      const std::string square = place_square(s, place);
      const std::string what = f ? residue_words(f->residue) : "a suspect place";
      gallery.pictures.push_back(
          picture_of(place_picture(*photo, s, place, k_crop_px), k_crop_px,
                     fmt::format("Close view of square {}: {}", square, what),
                     fmt::format("{}. {}: {}", place.rank, square, what)));
    }
    section.blocks.emplace_back(std::move(gallery));
  }
  Table t{"All findings, worst first",
          {"no.", "square", "class", s.zones.has_mm ? "area, about" : "pixels", "sure", "evidence"},
          {},
          {true, false, false, true, true, false}};
  if (s.layout) {
    t.head.emplace_back("may come from");
    t.is_number.push_back(false);
  }
  for (const Finding& f : s.findings.findings) {
    const std::string square = square_at(s.zones.grid, board_point(s.rectification, f.centre_px))
                                   .value_or("off the board");
    const double px_per_mm = s.rectification.px_per_mm ? s.rectification.px_per_mm->value : 0;
    t.rows.push_back(
        {std::to_string(f.id), square, residue_words(f.residue),
         px_per_mm > 0 ? figure(static_cast<double>(f.area_px) / (px_per_mm * px_per_mm)) + " mm²"
                       : std::to_string(f.area_px),
         fmt::format("{:.0f} %", 100 * f.confidence), f.reason});
    if (s.layout) t.rows.back().push_back(likely_source_words(s, f.id));
  }
  section.blocks.emplace_back(std::move(t));
  return section;
}

Section origin_section(const Survey& s) {
  Section section{"origin", "Where this comes from", {}};
  Table t{"", {"what", "value"}, {}, {}};
  t.rows.push_back({"program", "Verdigrid " + s.program_version});
  t.rows.push_back({"detector", s.detector_id});
  t.rows.push_back({"setting", name(s.options.detector.setting)});
  t.rows.push_back({"photo", s.photo.name});
  t.rows.push_back({"photo SHA-256", s.photo.sha256});
  if (s.photo.captured_at) t.rows.push_back({"taken", *s.photo.captured_at});
  if (s.layout) t.rows.push_back({"layout", s.layout->board_type + " " + s.layout->revision});
  t.rows.push_back({"scale", scale_figure(s.rectification)});
  section.blocks.emplace_back(std::move(t));
  return section;
}

}  // namespace

void ReportOptions::check() const {
  const auto& known = report_section_ids();
  for (const std::string& id : sections)
    if (std::find(known.begin(), known.end(), id) == known.end())
      throw Error(ErrorKind::wrong_use,
                  fmt::format("\"{}\" is no section of a report. Known are: {}.", id,
                              fmt::join(known, ", ")));
}

const std::vector<std::string>& report_section_ids() {
  static const std::vector<std::string> ids{
      "unit", "found", "photo",   "unseen", "zones",     "findings", "plan",
      "lock", "tests", "changes", "areas",  "time-line", "cautions", "origin"};
  return ids;
}

void keep_sections(ReportDocument& document, const std::vector<std::string>& wanted) {
  if (wanted.empty()) return;
  std::erase_if(document.sections, [&](const Section& s) {
    return std::none_of(wanted.begin(), wanted.end(), [&](const std::string& id) {
      return s.id == id || s.id.ends_with("-" + id);
    });
  });
}

Section caution_section() {
  Section section{"cautions", "Before anyone touches it", {}};
  for (const char* text :
       {"This report is no clearance: nothing in it says that the board may be powered.",
        "Unplug first. Charged capacitors, picture tubes and mains parts are for qualified persons "
        "only, by local codes.",
        "Looks never prove chemistry: wet a pH strip before any cleaner is chosen. Gloves and eye "
        "shield; pick loose salt up dry, no blowing; no water on a fresh lithium leak.",
        "Old solder holds lead, old parts may hold cadmium or worse: wash your hands, do not grind "
        "or scrape; hand waste in by local rules."})
    section.blocks.emplace_back(Paragraph{text, Emphasis::caution});
  return section;
}

std::vector<Section> survey_sections(const Survey& s, const Photo* photo, ReportVersion version,
                                     const std::string& prefix, const Work& work) {
  require(!photo || photo->size_px() == s.photo_size_px, "a report shows the photo of its survey");
  std::vector<Section> sections{found_section(s, photo, version, work.part(0, 0.7)),
                                unseen_section(s)};
  if (version == ReportVersion::bench) {
    sections.insert(sections.begin() + 1, photo_section(s));
    sections.push_back(zones_section(s));
    sections.push_back(findings_section(s, photo));
  }
  sections.push_back(origin_section(s));
  for (Section& section : sections) section.id = prefix + section.id;
  work.report(1);
  return sections;
}

ReportDocument survey_report(const Survey& s, const Photo* photo, const ReportOptions& options,
                             const Work& work) {
  options.check();
  ReportDocument d;
  d.title = options.heading.empty() ? "Report: " + s.photo.name : options.heading;
  d.subtitle = fmt::format("{} side. {}", s.rectification.side == Side::front ? "Front" : "Back",
                           s.photo.captured_at ? "Photo taken " + *s.photo.captured_at + "." : "");
  d.sections = survey_sections(s, photo, options.version, "", work);
  d.sections.insert(d.sections.end() - 1, caution_section());
  keep_sections(d, options.sections);
  return d;
}

}  // namespace verdigrid
