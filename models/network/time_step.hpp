// The time step. TimeStepper::step() is its only definition, called by all that step a network: a
// single operating point, a batch of them, pipes without an engine, a test.
//
// Up to TimeStepper::slots networks are stepped together, each with its own step. The most
// expensive parts are shared: the orifices of all of them - valves, open ends, junctions - are
// solved in common batches, which fills the SIMD registers, and the pipes of similar networks form
// ensembles. What a network computes does not depend on the others, to the last bit. A fault in one
// ends that one only.
#pragma once

#include <array>
#include <optional>

#include "models/network/network.hpp"
#include "models/network/pipe_ensembles.hpp"
#include "solver/gas/fault.hpp"

namespace pulsewright::models {

// Observer of a network while it is stepped. May throw solver::Fault.
class StepObserver {
 public:
  virtual ~StepObserver() = default;
  // Fluxes and cylinders are those of the step that is being taken, the cells those of its start.
  virtual void sample_ports(const StepInterval& step) = 0;
  // The step is complete.
  virtual void end_step(const StepInterval& step) = 0;
};

class TimeStepper {
 public:
  static constexpr std::size_t slots = PipeEnsembles::size;
  using Intervals = std::array<StepInterval, slots>;  // dt = 0: this slot is not stepped

  TimeStepper() = default;
  ~TimeStepper() { clear(); }
  TimeStepper(const TimeStepper&) = delete;
  TimeStepper& operator=(const TimeStepper&) = delete;

  // Assigns a network to a slot that is free. Network and observer (may be null) must stay where
  // they are until they are released. Throws std::invalid_argument for a slot that is taken or does
  // not exist, and for a network of another gas than the others' or of too many orifices.
  void assign(std::size_t slot, Network& network, StepObserver* observer = nullptr);
  void release(std::size_t slot);
  void clear();
  // Forms ensembles of the pipes, or dissolves them, whichever is faster; to be called from time to
  // time.
  void regroup();

  // Takes one time step.
  void step(const Intervals& intervals);

  // Whether the pipes are in ensembles at present.
  bool in_ensembles() const { return ensembles_.formed(); }

  // The fault that ended the last step of a slot early.
  const std::optional<solver::Fault>& fault(std::size_t slot) const { return slots_[slot].fault; }

 private:
  struct Slot {
    Network* network = nullptr;
    StepObserver* observer = nullptr;
    StepInterval interval;
    bool iterating = false;  // not all boundary fluxes are known yet
    std::optional<solver::Fault> fault;
  };

  void begin(const Intervals& intervals);
  void predict();
  void find_boundary_fluxes();
  void advance();
  bool request();
  void apply();
  // Does something with every network that is stepped; a fault ends the step of that one.
  template <class Action>
  void for_each(const Action& action);
  PipeEnsembles::Members members() const;

  std::array<Slot, slots> slots_;
  OrificeBatch orifices_;
  PipeEnsembles ensembles_;
  solver::EnsembleValues dt_{};  // s, of the running step, by slot
};

// Takes one step of one network by itself. Throws solver::Fault, and std::invalid_argument unless
// its dt is positive.
void step_alone(TimeStepper& stepper, const StepInterval& interval);

}  // namespace pulsewright::models
