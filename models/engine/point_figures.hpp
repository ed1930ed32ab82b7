// Gathers the figures of an operating point while it is stepped: those of every cylinder, the
// ledger of every cycle, the record of the last one and the pulses on their way to the merges.
//
// In: ports and network of every step, the ends of cycles. Out: a PointResult. Cycles are kept
// until the pattern repeats; figures are means over its last period, traces and the wave diagram
// those of its last cycle.
#pragma once

#include <optional>
#include <vector>

#include "models/engine/ledger.hpp"
#include "models/figures/cycle_figures.hpp"
#include "models/figures/cycle_record.hpp"
#include "models/figures/point_result.hpp"
#include "models/figures/pulse_tracer.hpp"
#include "models/network/network.hpp"

namespace pulsewright::models {

class PointFigures {
 public:
  // speed in rev/s.
  PointFigures(const EngineSpecification& engine, double speed, const RunSettings& settings,
               const Network& network);

  // A cycle; recorded: with traces, wave diagram and pulses.
  void begin_cycle(const Network& network, bool recorded);
  void sample_ports(const Network& network, const StepInterval& step);
  // The step went from `before` to `after`, deg within the cycle.
  void end_step(const Network& network, const StepInterval& step, double before, double after);
  void end_cycle(const Network& network);

  int cycles() const { return static_cast<int>(history_.size()); }
  bool recorded() const { return record_.has_value(); }
  // Numbers that sum up the last cycle, for CycleConvergence.
  std::vector<double> monitored_quantities(const Network& network) const;
  // Figures of the cylinders and torque (N m), means over the last `period` cycles.
  std::vector<CylinderFigures> means_over(int period) const;
  double torque_of(const std::vector<CylinderFigures>& figures) const;
  // The same with all figures of the point and the record of the last cycle.
  void finish_period(const Network& network, int period, PointResult& result);

  // After finish_period(): the pulses under way go on until none is moving.
  void follow_pulses(const Network& network, const StepInterval& step);
  bool pulses_moving() const { return tracer_ && tracer_->any_moving(); }
  // When they have arrived: pulse spacing at the merges. Nothing where no cycle was recorded.
  void finish_pulses(const Network& network, PointResult& result);

 private:
  // What is kept of a cycle.
  struct Cycle {
    LedgerTotals before;
    long first_order_fallbacks_before = 0;
    std::vector<CylinderFigures> figures;
    double torque = 0;   // N m
    double overlap = 0;  // Pa
  };

  void launch_pulse(std::size_t cylinder, double angle, double turned);
  void sum_up(const std::vector<CylinderFigures>& figures, PointResult& result) const;

  EngineSpecification engine_;
  double speed_;
  RunSettings settings_;
  double swept_;           // m3, of a cylinder
  double reference_mass_;  // kg of charge with as much air as it holds at ambient state
  std::vector<CycleFigures> figures_;
  std::vector<CylinderSums> sums_before_;  // of the running cycle
  std::vector<Cycle> history_;
  std::optional<CycleRecord> record_;  // while a cycle is recorded
  std::optional<PulseTracer> tracer_;  // while pulses are followed
  bool launching_ = false;
  std::vector<double> pulse_angle_;  // deg of each cylinder, at which its pulse leaves
};

}  // namespace pulsewright::models
