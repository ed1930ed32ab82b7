// Several operating points stepped together, each with its own speed, time step and state of
// convergence (network/time_step.hpp).
//
// In: runs, one after the other as slots fall free. Out: each run when it has ended. What a run
// computes does not depend on the others in the batch, to the last bit, and is what
// PointSimulation::run() computes.
#pragma once

#include <array>
#include <functional>
#include <string>
#include <vector>

#include "models/engine/point_simulation.hpp"
#include "models/network/time_step.hpp"

namespace pulsewright::models {

class PointBatch {
 public:
  static constexpr std::size_t slots = TimeStepper::slots;

  // How a run ended.
  struct End {
    std::string failure;  // empty where result() holds the result
    double seconds = 0;   // its part of the time that passed
  };
  // The next run, null when there is none at present: called again when a run has ended, and
  // at intervals. The run must stay where it is until it ends.
  using Next = std::function<PointSimulation*()>;
  using Done = std::function<void(PointSimulation&, const End&)>;

  // Steps runs until none is left and there is no next one. keep_going is called after every cycle
  // of each. Throws RunStopped, what the functions throw, and std::invalid_argument for a run
  // that TimeStepper::assign() refuses (another gas than the others', too many orifices); runs
  // under way are then given up.
  void run(const Next& next, const Done& done, const std::function<bool()>& keep_going = {});

 private:
  struct Slot {
    PointSimulation* run = nullptr;
    bool complete = false;
    End end;
  };

  bool fill_slots(const Next& next);
  void step(const std::function<bool()>& keep_going);
  void end_runs(const Done& done);
  void release_all();

  std::array<Slot, slots> slots_;
  TimeStepper stepper_;
};

}  // namespace pulsewright::models
