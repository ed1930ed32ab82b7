// One operating point: runs an engine at a steady speed until its cycle repeats, then records.
//
// In: engine, speed, settings. Out: a PointResult. A cycle is 720 deg of crank. After each one,
// trapped mass, work and residual fraction of every cylinder, the mass that passed each outlet and
// the wall temperatures are compared with those of the cycles before, see CycleConvergence; a run
// whose trend says that it will not repeat is given up, not converged. This class decides on the
// steps; TimeStepper (network/time_step.hpp) takes them and PointFigures collects the figures.
//
// Parts of the engine that are the same but for a shift of crank angle are computed once
// (network/repeated_parts.hpp), unless the settings say otherwise; network() then holds what is
// computed, result() the whole engine. Each step is as short as the copies would make it, which are
// a shift behind: their largest stable steps are those of that crank angle of the cycle. So where
// the cycles have converged the steps are those of the whole engine.
//
// Cylinders that are the same by symmetry may settle differently. Then the run goes on: all of them
// and their pipes are made alike, and cycles run until they repeat again, which shows whether the
// engine can also run with all alike (RunSettings::second_pattern). The figures, and the state in
// which the run ends, remain those of the pattern it settled in first.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "models/engine/cycle_acceleration.hpp"
#include "models/engine/cycle_convergence.hpp"
#include "models/engine/point_figures.hpp"
#include "models/engine/run_fault.hpp"
#include "models/network/repeated_parts.hpp"
#include "models/network/time_step.hpp"

namespace pulsewright::models {

class PointSimulation : public StepObserver {
 public:
  // speed in rev/s. Throws std::invalid_argument for an engine that cannot be built, e.g. a valve
  // whose effective area is larger than its pipe.
  PointSimulation(const EngineSpecification& engine, double speed, const RunSettings& settings);

  // Runs to the end. keep_going is called after every cycle. Throws RunFault, RunStopped.
  PointResult run(const std::function<bool()>& keep_going = {});

  // Takes over the state of another run at the same speed, of the same engine on another grid, with
  // another junction law or somewhat other lengths, which stands at the end of a cycle. Fewer
  // cycles are then left to go; what counts as converged does not change.
  void start_from(const PointSimulation& other);

  // run() step by step, for those who step several engines together (point_batch.hpp): start(),
  // then TimeStepper::step() with this as the observer of network() while begin_step(). At last
  // result().
  void start();
  // The next step; nullopt when the run is complete. Throws solver::Fault, see fault(), and
  // RunStopped.
  std::optional<StepInterval> begin_step(const std::function<bool()>& keep_going = {});
  void sample_ports(const StepInterval& step) override;
  void end_step(const StepInterval& step) override;
  PointResult& result() { return result_; }
  // The fault that ended the run, with the place in the cycle.
  RunFault fault(const solver::Fault& fault) const;

  const Network& network() const { return network_; }
  Network& network() { return network_; }

 private:
  enum class Stage { between_cycles, cycle, pulses, done };

  void find_marks();
  double largest_step();          // s
  double step_of_copies() const;  // s, stable in the copies of what is computed
  StepInterval interval(double dt) const;
  void begin_cycle(bool recorded);
  std::optional<StepInterval> step_of_cycle();
  void end_cycle();
  bool cycles_are_done();
  void end_pulses();
  void start_figures(double tolerance);
  // Whether cylinders that are the same settled alike; if not, second_ is set.
  void find_pattern();
  void keep_snapshot();
  void keep_shifted();
  // The network, and the number in it, that has the state of a pipe or cylinder of the engine.
  Network::Source source_of(const RepeatedParts::Image& image) const;
  // After a cycle of it: whether it is complete.
  bool second_pattern_is_done();
  void judge_pattern(int period);
  void go_back_to_first();

  EngineSpecification engine_;
  RepeatedParts parts_;
  double speed_;
  RunSettings settings_;
  Network network_;
  PointFigures figures_;
  CycleConvergence convergence_;
  CycleAcceleration acceleration_;  // where the settings say so
  PointResult result_;
  Stage stage_ = Stage::between_cycles;
  double angle_ = 0;
  long steps_ = 0;
  int cycles_ = 0;
  int most_cycles_ = 0;  // that the run may have; fewer than the settings allow once it is given up
  std::vector<double> marks_;  // deg within the cycle that steps land on, ascending, last is 720
  // Of the running cycle: it is done up to `from_`, where a step landed on a mark, and `turned_`
  // further, both in deg.
  std::size_t mark_ = 0;
  double from_ = 0, turned_ = 0;
  // Crank angle within the cycle, deg, and largest stable step at it, s: of the running cycle and
  // the one before.
  struct StableStep {
    double angle;
    double dt;
  };
  std::vector<StableStep> stable_steps_, stable_steps_before_;
  // For those who start from this run: the network as it was `shift` deg before the end of the last
  // cycle, which is where the copies with that shift are at its end.
  struct Shifted {
    double shift;
    std::optional<Network> network;
  };
  std::vector<Shifted> shifted_;
  // The end of the last cycle, while pulses are followed beyond it.
  struct EndOfCycle {
    Network network;
    double angle;
  };
  std::optional<EndOfCycle> end_of_cycle_;
  // While it is found out whether cylinders stay alike.
  struct SecondRun {
    EngineSymmetry symmetry;
    EndOfCycle first;                // where the run goes back to
    int cycles = 0;                  // of the run up to there
    std::vector<Network> snapshots;  // of a first cycle, at every turn of the symmetry
    enum class Stage { snapshots, alike, first_again } stage = Stage::snapshots;
  };
  std::optional<SecondRun> second_;
};

}  // namespace pulsewright::models
