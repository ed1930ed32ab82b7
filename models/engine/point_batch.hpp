// Several engines stepped side by side: whole operating points at once, each with its own speed,
// time step and state of convergence.
//
// They share what costs most. The orifices of all of them - valves, mouths, merges - are solved in
// common batches (orifice_batch.hpp), which fills the packs; and while enough of them have pipes of
// the same numbers of cells, these stand side by side too, one engine per lane
// (solver/pipe/pipe_ensemble.hpp). A seat that falls free is taken by the next run. What a run
// computes does not depend on its company, to the last bit, and is what PointSimulation::run()
// computes.
#pragma once

#include <array>
#include <functional>
#include <string>
#include <vector>

#include "models/engine/point_simulation.hpp"
#include "solver/pipe/pipe_ensemble.hpp"

namespace pulsewright::models {

class PointBatch {
 public:
  static constexpr std::size_t seats = solver::lane_count;

  // How a run ended.
  struct End {
    std::string failure;  // empty where result() holds the answer
    double seconds = 0;   // its share of the time that passed
  };
  // The next run to be taken in, null when there is none for the time being: it is asked again
  // when a run has ended, and every now and then. The run must stay where it is until it ends.
  using Next = std::function<PointSimulation*()>;
  using Done = std::function<void(PointSimulation&, const End&)>;

  PointBatch() = default;
  ~PointBatch();
  PointBatch(const PointBatch&) = delete;
  PointBatch& operator=(const PointBatch&) = delete;

  // Runs engines until none is left and there is no next one. keep_going is asked after every cycle
  // of each. Throws RunStopped, and what the functions throw; runs under way are then given up.
  void run(const Next& next, const Done& done, const std::function<bool()>& keep_going = {});

 private:
  struct Seat {
    PointSimulation* run = nullptr;
    bool asks = false;  // its ends are not answered yet in this step
    bool complete = false;
    End end;
  };

  bool fill_seats(const Next& next);
  void step(const std::function<bool()>& keep_going);
  void advance_side_by_side(const solver::LaneValues& dt);
  void answer_ends();
  void end_runs(const Done& done);
  void arrange();
  void part();
  // Does something with every run that goes on; a fault ends that run.
  template <class Action>
  void for_each_run(const Action& action);
  std::size_t first_orifice(std::size_t seat) const { return seat * orifices_per_slot; }

  static constexpr std::size_t orifices_per_slot = 1024;

  std::array<Seat, seats> seats_;
  OrificeBatch orifices_;
  std::vector<solver::PipeEnsemble> lanes_;  // one per pipe, while side by side
  bool side_by_side_ = false;
};

}  // namespace pulsewright::models
