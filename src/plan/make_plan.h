// The steps of plan_of; used inside this folder.
#pragma once

#include <string>
#include <vector>

#include "plan/plan.h"

namespace verdigrid {

// Collects items; ids are given once they are in the trade's order.
class PlanMaker {
 public:
  PlanMaker(Plan& plan, const SideFacts& side) : plan_(plan), side_(side) {}

  void add_areas();  // residue by work area
  void add_parts();  // what residue reaches
  void add_side();   // photographs of this side

 private:
  WorkItem item(Operation operation, const std::string& place, double quantity) const;
  void add(WorkItem item) { plan_.items.push_back(std::move(item)); }

  void add_area(const WorkArea& area);
  void add_wet_steps(const WorkArea& area, const std::vector<FindingFact>& here);
  void add_repairs(const WorkArea& area, const std::vector<FindingFact>& here);
  std::vector<ReachedPair> pairs_at(const std::vector<FindingFact>& here) const;
  void add_continuity(const WorkArea& area, const std::vector<FindingFact>& here);
  std::string area_of(const PartFact& part) const;
  void add_part(const PartFact& part);
  void add_to_batch(const PartFact& part, Operation operation, double quantity, bool optional,
                    const std::string& reason);
  void offer_neighbours();
  void offer_series();
  bool is_taken(const std::string& designator) const;

  Plan& plan_;
  const SideFacts& side_;
};

// Stage, then place, then what is offered last. Items keep their ids.
void sort_by_trade(std::vector<WorkItem>& items);

// Items without an id get the next ones.
void give_ids(Plan& plan);

}  // namespace verdigrid
