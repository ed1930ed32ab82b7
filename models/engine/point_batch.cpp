#include "models/engine/point_batch.hpp"

#include <algorithm>
#include <chrono>
#include <stdexcept>

namespace pulsewright::models {

namespace {

// A sweep costs the same whether its lanes are taken or not; with fewer runs than this it is
// cheaper to step pipe by pipe. The second number keeps them from changing places all the time.
constexpr long worth_sitting_down = 6;
constexpr long worth_staying = 5;

constexpr int steps_between_calls = 64;  // for the next run, while seats are free

}  // namespace

PointBatch::~PointBatch() { part(); }

template <class Action>
void PointBatch::for_each_run(const Action& action) {
  for (std::size_t k = 0; k < seats; ++k) {
    Seat& seat = seats_[k];
    if (!seat.run || seat.complete) continue;
    try {
      action(seat, k);
    } catch (const solver::Fault& fault) {
      seat.end.failure = seat.run->fault(fault).what();
      seat.complete = true;
    }
  }
}

bool PointBatch::fill_seats(const Next& next) {
  for (std::size_t k = 0; k < seats; ++k) {
    Seat& seat = seats_[k];
    if (seat.run) continue;
    PointSimulation* const run = next();
    if (!run) break;
    if (run->orifices() > orifices_per_slot) {
      throw std::invalid_argument("lanes: the network has too many orifices");
    }
    orifices_.forget(first_orifice(k), orifices_per_slot);
    run->start();
    if (side_by_side_ && !run->network().alike(lanes_)) part();
    if (side_by_side_) run->network().seat(lanes_, k);
    seat = {};
    seat.run = run;
  }
  return std::any_of(seats_.begin(), seats_.end(), [](const Seat& s) { return s.run != nullptr; });
}

void PointBatch::part() {
  if (!side_by_side_) return;
  for (std::size_t k = 0; k < seats; ++k) {
    if (seats_[k].run) Network::leave(lanes_, k);
  }
  side_by_side_ = false;
}

// Puts the pipes side by side, or apart, as it pays.
void PointBatch::arrange() {
  const auto taken =
      std::count_if(seats_.begin(), seats_.end(), [](const Seat& s) { return s.run != nullptr; });
  if (side_by_side_) {
    if (taken < worth_staying) part();
    return;
  }
  if (taken < worth_sitting_down) return;
  const PointSimulation& first =
      *std::find_if(seats_.begin(), seats_.end(), [](const Seat& s) { return s.run; })->run;
  if (lanes_.empty() || !first.network().alike(lanes_)) lanes_ = first.network().lanes();
  if (lanes_.empty()) return;
  for (const Seat& seat : seats_) {
    if (seat.run && !seat.run->network().alike(lanes_)) return;
  }
  for (std::size_t k = 0; k < seats; ++k) {
    if (seats_[k].run) seats_[k].run->network().seat(lanes_, k);
  }
  side_by_side_ = true;
}

void PointBatch::answer_ends() {
  for_each_run([](Seat& seat, std::size_t) {
    seat.run->begin_ends();
    seat.asks = true;
  });
  while (true) {
    orifices_.clear();
    bool any = false;
    const solver::Gas* gas = nullptr;
    for_each_run([&](Seat& seat, std::size_t k) {
      if (!seat.asks) return;  // its ends are answered
      seat.asks = seat.run->ask(orifices_, first_orifice(k));
      any = any || seat.asks;
      gas = &seat.run->network().gas();
    });
    if (!any) return;
    orifices_.solve(*gas);
    for_each_run([&](Seat& seat, std::size_t k) {
      if (seat.asks) seat.run->take(orifices_, first_orifice(k));
    });
  }
}

void PointBatch::advance_side_by_side(const solver::LaneValues& dt) {
  for (auto& pipe : lanes_) pipe.advance(dt);
  for_each_run([&](Seat& seat, std::size_t k) { seat.run->network().collect(lanes_, k); });
}

void PointBatch::step(const std::function<bool()>& keep_going) {
  const auto begin = std::chrono::steady_clock::now();
  solver::LaneValues dt{};
  double runs = 0;
  for_each_run([&](Seat& seat, std::size_t k) {
    if (seat.run->begin_step(keep_going)) {
      dt.at[k] = seat.run->dt();
      ++runs;
    } else {
      seat.complete = true;
    }
  });
  if (side_by_side_) {
    for_each_run([](Seat& seat, std::size_t) { seat.run->network().renew_walls(); });
    for (auto& pipe : lanes_) pipe.predict(dt);
  } else {
    for_each_run([](Seat& seat, std::size_t) { seat.run->network().predict(seat.run->dt()); });
  }
  answer_ends();
  if (side_by_side_) {
    advance_side_by_side(dt);
  } else {
    for_each_run([](Seat& seat, std::size_t) { seat.run->network().advance(seat.run->dt()); });
  }
  for_each_run([](Seat& seat, std::size_t) { seat.run->end_step(); });
  const double seconds =
      std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  for_each_run([&](Seat& seat, std::size_t) { seat.end.seconds += seconds / runs; });
}

void PointBatch::end_runs(const Done& done) {
  for (std::size_t k = 0; k < seats; ++k) {
    Seat& seat = seats_[k];
    if (!seat.run || !seat.complete) continue;
    PointSimulation& run = *seat.run;
    if (side_by_side_) Network::leave(lanes_, k);
    seat.run = nullptr;
    done(run, seat.end);
  }
}

void PointBatch::run(const Next& next, const Done& done, const std::function<bool()>& keep_going) {
  // Whatever is thrown, nobody stays seated.
  struct Leaving {
    PointBatch& lanes;
    ~Leaving() {
      lanes.part();
      for (Seat& seat : lanes.seats_) seat.run = nullptr;
    }
  } leaving{*this};
  int until_call = 0;
  bool going_on = true;
  while (going_on) {
    if (until_call-- <= 0) {
      going_on = fill_seats(next);
      arrange();
      until_call = steps_between_calls;
      if (!going_on) return;
    }
    step(keep_going);
    const auto complete = [](const Seat& s) { return s.run && s.complete; };
    if (std::any_of(seats_.begin(), seats_.end(), complete)) {
      end_runs(done);
      until_call = 0;
    }
  }
}

}  // namespace pulsewright::models
