#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "plan/make_plan.h"

namespace verdigrid {

namespace {

// Common practice, no source: all of these.
constexpr double k_margin = 2;          // cleaned area over flagged area: electrolyte creeps
constexpr double k_least_cm2 = 1;       // a swab covers no less
constexpr double k_cm2_a_piece = 10;    // of local_clean and dry_pick_up
constexpr double k_mm_a_piece = 10;     // of scrape_and_tin
constexpr double k_least_scrape = 0.5;  // of a piece
constexpr double k_ends_a_break = 2;
constexpr size_t k_most_pairs = 20;  // of one area: longer lists are not worked through
constexpr double k_least_expected = 0.5;

bool is_wet_work(Residue r) {
  return r == Residue::copper_salt || r == Residue::leak_film || r == Residue::white_salt;
}

struct Share {
  int flagged = 0;
  double expected = 0;  // sum of confidences: how many are real
  double area_mm2 = 0;
  double length_mm = 0;  // expected, as above
};

template <class Which>
Share share_of(const std::vector<FindingFact>& here, const Which& which) {
  Share s;
  for (const FindingFact& f : here)
    if (which(f.residue))
      ++s.flagged, s.expected += f.confidence, s.area_mm2 += f.area_mm2,
          s.length_mm += f.confidence * f.length_mm;
  return s;
}

Share share_of(const std::vector<FindingFact>& here, Residue r) {
  return share_of(here, [r](Residue other) { return other == r; });
}

// Less than one is expected to be real: the repair is offered, not counted.
bool is_doubtful(const Share& s) { return s.expected < k_least_expected; }

double whole_pieces(const Share& s) { return std::max(1.0, std::round(s.expected)); }

// `what`: of one, "eaten place".
std::string expected_words(const Share& s, const char* what) {
  return fmt::format("{} {}{} flagged, {} of them real by their confidence", s.flagged, what,
                     s.flagged == 1 ? "" : "s",
                     is_doubtful(s) ? std::string("fewer than one")
                                    : fmt::format("about {:.0f}", whole_pieces(s)));
}

}  // namespace

WorkItem PlanMaker::item(Operation operation, const std::string& place, double quantity) const {
  WorkItem w;
  w.operation = operation;
  w.stage = facts(operation).stage;
  w.what = facts(operation).words;
  w.place = place;
  w.side = side_.side;
  w.quantity = quantity;
  return w;
}

void PlanMaker::add_areas() {
  for (const WorkArea& area : side_.areas) add_area(area);
}

void PlanMaker::add_area(const WorkArea& area) {
  std::vector<FindingFact> here;
  for (const FindingFact& f : side_.findings)
    if (std::find(area.findings.begin(), area.findings.end(), f.id) != area.findings.end())
      here.push_back(f);
  const Share unsure = share_of(here, Residue::unsure);
  if (unsure.flagged > 0) {
    WorkItem w = item(Operation::look_beneath, area.name, unsure.flagged);
    w.what = "look closely at what the survey could not name";
    w.reason = fmt::format("{} flagged as unsure", unsure.flagged);
    add(std::move(w));
  }
  add_wet_steps(area, here);
  add_repairs(area, here);
  add_continuity(area, here);
}

void PlanMaker::add_wet_steps(const WorkArea& area, const std::vector<FindingFact>& here) {
  const Share wet = share_of(here, is_wet_work);
  const Share washed =
      share_of(here, [](Residue r) { return is_wet_work(r) || r == Residue::rust; });
  if (washed.flagged == 0) return;
  const bool damaged = share_of(here, is_corroding).flagged > 0;
  const double cm2 = std::max(washed.area_mm2 / 100 * k_margin, k_least_cm2);
  const double pieces = side_.has_mm ? cm2 / k_cm2_a_piece : 1;
  const std::string area_words =
      side_.has_mm ? fmt::format("{:.1f} cm2: twice the flagged area, 1 at least", cm2)
                   : "area not known without a scale: 10 cm2 counted";
  const auto with = [&](Operation o, double quantity, const std::string& reason) {
    WorkItem w = item(o, area.name, quantity);
    w.findings = area.findings;
    w.damaged = damaged;
    w.reason = reason;
    return w;
  };
  if (share_of(here, Residue::white_salt).flagged > 0)
    add(with(Operation::dry_pick_up, pieces, "white salts: loose ones first, no blowing"));
  WorkItem clean = with(Operation::local_clean, pieces, area_words);
  if (share_of(here, Residue::rust).flagged > 0)
    clean.what += "; rust on steel by hand, no acid rust remover on the board";
  add(std::move(clean));
  if (wet.flagged == 0) return;
  add(with(Operation::strip_reading, 1, "looks do not tell acid from alkali"));
  add(with(Operation::neutralise, 1, "only with the neutraliser that type and strip allow"));
  WorkItem again = with(Operation::strip_reading, 1, "near 7 is wanted before anything is closed");
  again.stage = Stage::read_strip_again;
  again.what = "read a wetted pH strip again after the rinse";
  add(std::move(again));
}

void PlanMaker::add_repairs(const WorkArea& area, const std::vector<FindingFact>& here) {
  const Share joints = share_of(here, Residue::attacked_joint);
  const Share eaten = share_of(here, Residue::eaten_copper);
  const Share film = share_of(here, Residue::leak_film);
  const auto with = [&](Operation o, double quantity, const std::string& reason, bool optional) {
    WorkItem w = item(o, area.name, quantity);
    w.findings = area.findings;
    w.damaged = true;
    w.reason = reason;
    w.optional = optional;
    add(std::move(w));
  };
  if (joints.flagged > 0) {
    with(Operation::remake_joint, whole_pieces(joints), expected_words(joints, "attacked joint"),
         is_doubtful(joints));
    with(Operation::repair_pad, 1,
         std::string("likely: pads lift where joints are black (") + k_reports + ")",
         is_doubtful(joints));
  }
  if (eaten.flagged == 0) {
    if (film.flagged + joints.flagged > 0)
      with(Operation::scrape_and_tin, 1,
           "dark lines under intact solder mask, if any: draw them, count 10 mm each", true);
    return;
  }
  const bool doubtful = is_doubtful(eaten);
  with(Operation::trace_by_wire, whole_pieces(eaten), expected_words(eaten, "eaten place"),
       doubtful);
  with(Operation::trace_by_foil, whole_pieces(eaten), "in place of wire, where looks matter", true);
  with(Operation::scrape_and_tin,
       side_.has_mm ? std::max(eaten.length_mm / k_mm_a_piece, k_least_scrape) : 1,
       side_.has_mm
           ? fmt::format("about {:.0f} mm of eaten copper, by its confidence", eaten.length_mm)
           : "length not known without a scale: 10 mm counted",
       doubtful);
  with(Operation::recoat, 1, "what was scraped and repaired is bare", doubtful);
}

// Near this area's findings, as far as these are likely enough to be real; the likelier pairs
// first, without those that another item lists.
std::vector<ReachedPair> PlanMaker::pairs_at(const std::vector<FindingFact>& here) const {
  std::vector<ReachedPair> list;
  for (const ReachedPair& r : side_.pairs) {
    double expected = 0;
    for (const FindingFact& f : here)
      if (std::binary_search(r.findings.begin(), r.findings.end(), f.id)) expected += f.confidence;
    const bool is_listed =
        std::any_of(plan_.items.begin(), plan_.items.end(), [&r](const WorkItem& w) {
          return std::find(w.pairs.begin(), w.pairs.end(), r.pair) != w.pairs.end();
        });
    if (expected * k_ends_a_break >= k_least_expected && !is_listed) list.push_back(r);
  }
  return list;
}

void PlanMaker::add_continuity(const WorkArea& area, const std::vector<FindingFact>& here) {
  const std::vector<ReachedPair> pairs = pairs_at(here);
  std::vector<FindingFact> without_net;
  for (const FindingFact& f : here)
    if (std::none_of(side_.pairs.begin(), side_.pairs.end(), [&f](const ReachedPair& r) {
          return std::binary_search(r.findings.begin(), r.findings.end(), f.id);
        }))
      without_net.push_back(f);
  const Share breaks = share_of(without_net, [](Residue r) {
    return r == Residue::eaten_copper || r == Residue::attacked_joint;
  });
  const Share salts = share_of(without_net, Residue::copper_salt);
  double ends = breaks.expected * k_ends_a_break + salts.expected;
  WorkItem w = item(Operation::continuity, area.name, 1);
  for (const PartFact& p : side_.parts) {
    if (p.reach == Reach::none || p.joints_reached == 0 || area_of(p) != area.name) continue;
    const bool has_net = std::any_of(side_.pairs.begin(), side_.pairs.end(), [&p](const auto& r) {
      return r.pair.from.designator == p.designator || r.pair.to.designator == p.designator;
    });
    if (!has_net) ends += p.joints_reached;
    w.parts.push_back({p.designator, p.kind, p.value, p.rating, p.package, p.revision});
  }
  if (ends < k_least_expected && pairs.empty()) return;
  for (size_t i = 0; i < std::min(pairs.size(), k_most_pairs); ++i)
    w.pairs.push_back(pairs[i].pair);
  const double listed = static_cast<double>(w.pairs.size());
  w.quantity = std::max(1.0, listed + std::round(ends));
  w.findings = area.findings;
  w.reason =
      pairs.empty()
          ? "shortlist: joints that residue reaches, and both ends of each suspect trace"
          : fmt::format(
                "shortlist by the layout's nets: {} of {} pairs whose joints residue "
                "reaches or whose line it crosses{}",
                w.pairs.size(), pairs.size(),
                std::round(ends) > 0 ? fmt::format("; {:.0f} more ends where no net is known", ends)
                                     : std::string());
  add(std::move(w));
}

}  // namespace verdigrid
