// One operating point: runs an engine at a steady speed until its cycle repeats, then records.
//
// A cycle is 720 deg of crank. After each one, trapped mass, work and residual fraction of every
// cylinder, the mass that passed each tail and the wall temperatures are held against those of the
// cycles before, see CycleConvergence. Figures are means over the last period, traces and the wave
// diagram those of its last cycle.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "models/boundary/poppet_valve.hpp"
#include "models/cylinder/cylinders.hpp"
#include "models/engine/cycle_convergence.hpp"
#include "models/engine/run_fault.hpp"
#include "models/figures/cycle_figures.hpp"
#include "models/figures/cycle_record.hpp"
#include "models/figures/merge_figures.hpp"
#include "models/figures/point_result.hpp"
#include "models/network/network.hpp"
#include "solver/gas/fault.hpp"

namespace pulsewright::models {

class PointSimulation {
 public:
  // speed in rev/s. Throws std::invalid_argument for an engine that cannot be built, e.g. a valve
  // whose effective area is larger than its pipe.
  PointSimulation(const EngineSpecification& engine, double speed, const RunSettings& settings);

  // Runs to the end. keep_going is asked after every cycle. Throws RunFault, RunStopped.
  PointResult run(const std::function<bool()>& keep_going = {});

  // Takes over the state of another run at the same speed, of the same engine on another grid, with
  // another junction law or somewhat other lengths, which stands at the end of a cycle. Fewer
  // cycles are then left to go; what counts as converged does not change.
  void start_from(const PointSimulation& other);

  // run() step by step, for those who run several engines side by side (point_batch.hpp):
  //   start(), then while begin_step(): the network predicts - begin_ends(), and while ask() the
  //   batch is solved, take() - the network advances - end_step(). At last result().
  // All but result() throw solver::Fault, see fault(); begin_step() also RunStopped.
  void start();
  // Decides on the next step; false when the run is complete.
  bool begin_step(const std::function<bool()>& keep_going = {});
  double dt() const { return dt_; }  // s, of that step
  void begin_ends();
  // As those of Network, with the valves.
  bool ask(OrificeBatch& orifices, std::size_t first);
  void take(const OrificeBatch& orifices, std::size_t first);
  std::size_t orifices() const {
    return valves_per_cylinder * cylinders_.size() + network_.orifices();
  }
  void end_step();
  PointResult& result() { return result_; }
  // The fault that ended the run, with the place in the cycle.
  RunFault fault(const solver::Fault& fault) const;

  // For tests: one cycle without judging it, and access to the parts.
  void run_cycle();
  double angle() const { return angle_; }  // deg of engine crank angle since the start
  const Network& network() const { return network_; }
  Network& network() { return network_; }
  const Cylinders& cylinders() const { return cylinders_; }
  Content content() const;

 private:
  static constexpr std::size_t valves_per_cylinder = 2;

  // Sums since the start that the ledger takes differences of.
  struct Totals {
    Content content;
    std::vector<OutletSums> outlets;
    double opening_mass = 0, opening_burnt = 0, opening_energy = 0;
    double fuel = 0, made_burnt = 0, heat = 0, work = 0, wall_heat = 0;
  };
  // What is kept of a cycle to judge whether it repeats.
  struct Cycle {
    Totals before;
    long first_order_fallbacks_before = 0;
    std::vector<CylinderFigures> figures;
    double torque = 0;   // N m
    double overlap = 0;  // Pa
  };

  double cylinder_angle(std::size_t i, double engine_angle) const;
  double allowed_step() const;  // s
  void set_step(double dt);
  void step_alone();
  void begin_cycle();
  bool begin_step_of_cycle();
  void add_valves(OrificeBatch& orifices, std::size_t first);
  void take_valves(const OrificeBatch& orifices, std::size_t first);
  void record_cylinder(std::size_t i, const EndFlux<double>& exhaust,
                       const EndFlux<double>& intake);
  std::vector<double> monitored_quantities(const std::vector<CylinderFigures>& figures,
                                           const std::vector<OutletSums>& before) const;
  std::vector<CylinderFigures> cycle_figures();
  double torque_of(const std::vector<CylinderFigures>& figures) const;
  Totals totals() const;
  static Ledger ledger_between(const Totals& a, const Totals& b, double cycles);
  void begin_judged_cycle();
  void end_judged_cycle();
  void sum_up_period(int period);
  void begin_pulses();
  void end_pulses();
  void sum_up(const std::vector<CylinderFigures>& figures, PointResult& result) const;

  EngineSpecification engine_;
  double speed_;
  RunSettings settings_;
  solver::Gas gas_;
  Network network_;
  Cylinders cylinders_;
  PoppetValve exhaust_valve_;
  PoppetValve intake_valve_;
  OrificeBatch orifices_;  // of a run alone, work space
  double reference_mass_;
  std::vector<double> marks_;  // deg within the cycle that steps land on, ascending, last is 720
  // Of the running step.
  double dt_ = 0, d_angle_ = 0;  // s, deg
  bool first_round_ = true;
  // Of the running cycle: it is done up to `from_`, where a step landed on a mark, and `turned_`
  // further, both in deg.
  std::size_t mark_ = 0;
  double from_ = 0, turned_ = 0, before_ = 0;
  enum class Stage { between_cycles, cycle, pulses, done } stage_ = Stage::between_cycles;
  double angle_ = 0;
  long steps_ = 0;
  int cycles_ = 0;
  std::vector<CycleFigures> figures_;
  std::vector<CylinderSums> sums_at_start_;  // of the running cycle
  std::optional<CycleRecord> record_;        // while a cycle is recorded
  std::optional<PulseTracer> tracer_;        // while pulses are followed
  bool launching_ = false;
  PointResult result_;
  std::vector<double> pulse_angle_;  // deg of each cylinder, at which its pulse leaves
  // The end of the last cycle, while pulses are followed beyond it.
  struct EndOfCycle {
    Network network;
    Cylinders cylinders;
    double angle;
  };
  std::optional<EndOfCycle> end_of_cycle_;
  std::vector<Cycle> history_;
  CycleConvergence convergence_;
};

}  // namespace pulsewright::models
