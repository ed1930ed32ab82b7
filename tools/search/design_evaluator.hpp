// What many designs of one header do at the speeds of a search: torque and power of each at every
// speed.
//
// In: a case, the design that the search begins with (the reference), designs, speeds, grid.
// Out: one DesignPoint per design and speed.
//
// Parts of the engine that no gas joins, such as the banks of a V8 with a collector and tail each,
// are computed by themselves (models::independent_parts_of): those that are the same but for a turn
// of the crank once, and one that an earlier design had is not computed again; unless the settings
// of the case want each part computed (RunSettings::same_parts). Cycles are accelerated
// (models/engine/cycle_acceleration.hpp).
//
// The reference is computed first, at each speed from rest on a grid three times as coarse and from
// there on the grid of the search; every part starts from its state at the same speed, or from that
// of the nearest of the designs that were added as starts (add_start), by the lengths of its pipes.
// So what a point comes out with depends on case, reference, starts in their order, design, speed
// and grid alone, to the last bit: not on the designs beside it, on the order of the calls, or on
// the number of threads. A part whose pipes are others than those of its start starts from rest.
//
// Every pipe of a design gets as many cells as that of the reference has, where the networks have
// as many pipes, so that a figure over a length has no steps where the number of cells would
// change.
#pragma once

#include <cstddef>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "cases/header_builder.hpp"
#include "models/engine/point_simulation.hpp"
#include "tools/study/point_fault.hpp"
#include "tools/study/run_list.hpp"

namespace pulsewright::tools {

struct EvaluatorOptions {
  std::vector<double> speeds;                // rev/s, ascending
  double cell_size = 0;                      // m; 0 = that of the case
  double tolerance = 0;                      // of cycle convergence, relative; 0 = that of the case
  std::optional<models::JunctionLaw> law{};  // none = that of the case
  unsigned jobs = 1;                         // threads, at least one
};

// A design at a speed: indices into the designs of the call and into the speeds.
struct DesignPoint {
  std::size_t design = 0;
  std::size_t speed = 0;
  double torque = 0;                // N m; 0 where it failed
  double power = 0;                 // W; likewise
  std::optional<PointFault> fault;  // why it does not count, if so: failed, not_repeating, ...
  std::string failure;              // of one that failed
  double seconds = 0;               // its part of the time that passed
};

class DesignEvaluator {
 public:
  // By design and speed: whether a point is to be computed.
  using PointFilter = std::function<bool(std::size_t, std::size_t)>;
  // Called by one thread at a time, in any order.
  using PointSink = std::function<void(const DesignPoint&)>;

  // The case must outlive it. Throws std::invalid_argument for a case without an engine, without
  // speeds, or for a reference that cannot be built.
  DesignEvaluator(const cases::CaseFile& case_file, cases::HeaderDesign reference,
                  EvaluatorOptions options);

  const std::vector<double>& speeds() const { return options_.speeds; }  // rev/s
  double cell_size() const { return options_.cell_size; }                // m

  // What is simulated for a design. Throws std::invalid_argument for one that cannot be built.
  models::EngineSpecification engine(const cases::HeaderDesign& design) const;

  // From now on designs may start from this one, too, which is computed where it is first needed,
  // from the nearest of the starts before it. A search that moves away from its reference saves
  // cycles by it; one that is resumed adds the same designs at the same places of its course. One
  // that cannot be built is not added.
  void add_start(const cases::HeaderDesign& design);

  // Computes every design at every speed (of those selected, if there is a filter) and passes on
  // each point that is done. A design that cannot be built fails at all its speeds. Returns false
  // where keep_going turned false before the last point; it is called by several threads. What
  // `consume` throws ends the work and is thrown again.
  bool evaluate(const std::vector<cases::HeaderDesign>& designs,
                const std::function<bool()>& keep_going, const PointSink& consume,
                const PointFilter& selected = {});

 private:
  using Run = RunList::Run;

  // What a part of a design does at a speed.
  struct PartFigures {
    double torque = 0;                // N m
    std::optional<PointFault> fault;  // as those of DesignPoint
    std::string failure;
    double seconds = 0;
  };
  // A part of a design, once for all designs that have it.
  struct Part {
    models::EngineSpecification engine;
    std::size_t number = 0;                       // of the parts of its design
    std::size_t start = 0;                        // that its runs start from
    std::map<std::size_t, PartFigures> at_speed;  // those known
  };
  // A design as it is simulated: parts that are not the same, and how often it has each. Without
  // any where it cannot be built.
  struct DesignToRun {
    std::vector<std::pair<std::size_t, std::size_t>> parts;  // indices into parts_, copies
    std::string refusal;
  };
  // What designs start from: the parts of one, and their converged runs by part and speed, null
  // where one failed.
  struct Start {
    std::vector<models::EngineSpecification> parts;
    std::map<std::pair<std::size_t, std::size_t>, Run> runs;
  };
  // A part at a speed: index into parts_ and into the speeds.
  using Job = std::pair<std::size_t, std::size_t>;

  // The whole engine where the settings want each part computed.
  std::vector<models::EngineSpecification> parts_of(
      const models::EngineSpecification& engine) const;
  DesignToRun design_to_run(const cases::HeaderDesign& design);
  // Index into parts_, added where it is new.
  std::size_t part_index(models::EngineSpecification engine, std::size_t number);
  Run make_run(const models::EngineSpecification& engine, std::size_t speed,
               const models::PointSimulation* start) const;
  // Number of the nearest start of a part among the first `known` ones.
  std::size_t nearest_start(const models::EngineSpecification& part, std::size_t number,
                            std::size_t known) const;
  // Computes a part of a start at speeds where its state is not known yet.
  bool prepare(std::size_t start, std::size_t number, const std::set<std::size_t>& speeds,
               const std::function<bool()>& keep_going);
  // Of a part of it; null where none is known.
  const models::PointSimulation* state_of_start(std::size_t start, std::size_t number,
                                                std::size_t speed) const;
  bool compute(const std::vector<Job>& asked, const std::function<bool()>& keep_going,
               const std::function<void(const Job&)>& done);
  DesignPoint point_of(const DesignToRun& run, std::size_t design, std::size_t speed) const;

  const cases::CaseFile& case_;
  cases::HeaderDesign reference_;
  EvaluatorOptions options_;
  models::RunSettings settings_;
  std::vector<std::size_t> cells_;  // of every pipe of the reference
  std::vector<Start> starts_;       // the reference, then those added
  std::vector<Part> parts_;
  // Those of parts_ whose pipes have these lengths and diameters.
  std::map<std::vector<double>, std::vector<std::size_t>> parts_of_sizes_;
};

}  // namespace pulsewright::tools
