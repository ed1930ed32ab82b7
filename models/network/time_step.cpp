#include "models/network/time_step.hpp"

#include <stdexcept>

namespace pulsewright::models {

namespace {

constexpr std::size_t orifices_per_slot = 8192;

std::size_t first_orifice(std::size_t slot) { return slot * orifices_per_slot; }

}  // namespace

// With finite volumes (MUSCL-Hancock) all fluxes are those of the middle of the step. The method of
// characteristics predicts the ends of its pipes for the end of the step; its boundaries are solved
// there, with courses in time and cylinders of the middle.
void TimeStepper::step(const Intervals& intervals) {
  begin(intervals);

  // 1. Reconstruct the gas in the pipes and predict it at their ends.
  for_each([](Slot& s, std::size_t) { s.network->renew_walls(); });
  predict();

  // 2. Boundary fluxes: valves, open ends, junctions and all others, by fixed-point iteration.
  for_each([](Slot& s, std::size_t) { s.network->begin_boundaries(s.interval); });
  find_boundary_fluxes();
  for_each([](Slot& s, std::size_t) { s.network->set_fluxes(); });

  // 3. Cylinders, with the same fluxes through their valves.
  for_each([](Slot& s, std::size_t) { s.network->step_cylinders(s.interval); });

  // 4. Record the ports: these samples belong to the middle of the step, and to the cells before
  // it.
  for_each([](Slot& s, std::size_t) {
    if (s.observer) s.observer->sample_ports(s.interval);
  });

  // 5. Update the cells.
  advance();

  // 6. Record the network.
  for_each([](Slot& s, std::size_t) {
    s.network->end_step(s.interval);
    if (s.observer) s.observer->end_step(s.interval);
  });
}

void TimeStepper::find_boundary_fluxes() {
  const solver::Gas* gas = nullptr;
  for_each([&](Slot& s, std::size_t) {
    s.iterating = true;
    gas = &s.network->gas();
  });
  if (!gas) return;
  fixed_point_iteration(
      orifices_, *gas, [this] { return request(); }, [this] { apply(); });
}

bool TimeStepper::request() {
  bool any = false;
  for_each([&](Slot& s, std::size_t k) {
    s.iterating = s.iterating && s.network->request(orifices_, first_orifice(k));
    any = any || s.iterating;
  });
  return any;
}

void TimeStepper::apply() {
  for_each([&](Slot& s, std::size_t k) {
    if (s.iterating) s.network->apply(orifices_, first_orifice(k));
  });
}

void TimeStepper::predict() {
  if (ensembles_.formed()) {
    ensembles_.predict(dt_);
  } else {
    for_each([](Slot& s, std::size_t) { s.network->predict(s.interval.dt); });
  }
}

void TimeStepper::advance() {
  if (ensembles_.formed()) {
    ensembles_.advance(dt_);
    for_each([this](Slot& s, std::size_t k) { ensembles_.collect(k, *s.network); });
  } else {
    for_each([](Slot& s, std::size_t) { s.network->advance(s.interval.dt); });
  }
}

void TimeStepper::begin(const Intervals& intervals) {
  for (std::size_t k = 0; k < slots; ++k) {
    slots_[k].interval = intervals[k];
    slots_[k].fault.reset();
    dt_.at[k] = slots_[k].network ? intervals[k].dt : 0.0;
  }
}

template <class Action>
void TimeStepper::for_each(const Action& action) {
  for (std::size_t k = 0; k < slots; ++k) {
    Slot& slot = slots_[k];
    if (!slot.network || !(slot.interval.dt > 0) || slot.fault) continue;
    try {
      action(slot, k);
    } catch (const solver::Fault& fault) {
      slot.fault = fault;
    }
  }
}

PipeEnsembles::Members TimeStepper::members() const {
  PipeEnsembles::Members members{};
  for (std::size_t k = 0; k < slots; ++k) members[k] = slots_[k].network;
  return members;
}

void TimeStepper::assign(std::size_t slot, Network& network, StepObserver* observer) {
  if (slot >= slots || slots_[slot].network) {
    throw std::invalid_argument("time step: the slot is taken or does not exist");
  }
  if (network.orifices() > orifices_per_slot) {
    throw std::invalid_argument("time step: the network has too many orifices");
  }
  for (const Slot& other : slots_) {
    if (other.network && !(other.network->gas() == network.gas())) {
      throw std::invalid_argument("time step: networks of different gases");
    }
  }
  orifices_.forget(first_orifice(slot), orifices_per_slot);
  slots_[slot] = {};
  slots_[slot].network = &network;
  slots_[slot].observer = observer;
  ensembles_.assign(slot, members());
}

void TimeStepper::release(std::size_t slot) {
  if (!slots_[slot].network) return;
  ensembles_.release(slot);
  slots_[slot].network = nullptr;
}

void TimeStepper::clear() {
  ensembles_.dissolve(members());
  for (std::size_t k = 0; k < slots; ++k) release(k);
}

void TimeStepper::regroup() { ensembles_.regroup(members()); }

void step_alone(TimeStepper& stepper, const StepInterval& interval) {
  if (!(interval.dt > 0)) throw std::invalid_argument("time step: dt must be positive");
  TimeStepper::Intervals intervals{};
  intervals[0] = interval;
  stepper.step(intervals);
  if (stepper.fault(0)) throw solver::Fault(*stepper.fault(0));
}

}  // namespace pulsewright::models
