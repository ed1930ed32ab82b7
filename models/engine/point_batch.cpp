#include "models/engine/point_batch.hpp"

#include <algorithm>
#include <chrono>
#include <exception>

namespace pulsewright::models {

namespace {

constexpr int steps_between_calls = 64;  // for the next run, while slots are free

}  // namespace

bool PointBatch::fill_slots(const Next& next) {
  for (std::size_t k = 0; k < slots; ++k) {
    Slot& slot = slots_[k];
    if (slot.run) continue;
    PointSimulation* const run = next();
    if (!run) break;
    run->start();
    stepper_.assign(k, run->network(), run);
    slot = {};
    slot.run = run;
  }
  return std::any_of(slots_.begin(), slots_.end(), [](const Slot& s) { return s.run != nullptr; });
}

void PointBatch::step(const std::function<bool()>& keep_going) {
  const auto begin = std::chrono::steady_clock::now();
  TimeStepper::Intervals intervals{};
  const auto fail = [](Slot& slot, const solver::Fault& fault) {
    slot.end.failure = slot.run->fault(fault).what();
    slot.complete = true;
  };
  double stepped = 0;
  for (std::size_t k = 0; k < slots; ++k) {
    Slot& slot = slots_[k];
    if (!slot.run) continue;
    try {
      if (const auto interval = slot.run->begin_step(keep_going)) {
        intervals[k] = *interval;
        ++stepped;
      } else {
        slot.complete = true;
      }
    } catch (const solver::Fault& fault) {
      fail(slot, fault);
    }
  }
  stepper_.step(intervals);
  const double seconds =
      std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  for (std::size_t k = 0; k < slots; ++k) {
    if (!(intervals[k].dt > 0)) continue;
    slots_[k].end.seconds += seconds / stepped;
    if (stepper_.fault(k)) fail(slots_[k], *stepper_.fault(k));
  }
}

void PointBatch::end_runs(const Done& done) {
  for (std::size_t k = 0; k < slots; ++k) {
    Slot& slot = slots_[k];
    if (!slot.run || !slot.complete) continue;
    PointSimulation& run = *slot.run;
    stepper_.release(k);
    slot.run = nullptr;
    done(run, slot.end);
  }
}

void PointBatch::release_all() {
  stepper_.clear();
  for (Slot& slot : slots_) slot.run = nullptr;
}

void PointBatch::run(const Next& next, const Done& done, const std::function<bool()>& keep_going) {
  // Whatever is thrown, no run stays in a slot.
  struct ReleaseAll {
    PointBatch& batch;
    ~ReleaseAll() { batch.release_all(); }
  } release{*this};
  int until_call = 0;
  while (true) {
    if (until_call-- <= 0) {
      if (!fill_slots(next)) return;
      stepper_.regroup();
      until_call = steps_between_calls;
    }
    step(keep_going);
    const auto complete = [](const Slot& s) { return s.run && s.complete; };
    if (std::any_of(slots_.begin(), slots_.end(), complete)) {
      end_runs(done);
      until_call = 0;
    }
  }
}

}  // namespace pulsewright::models
