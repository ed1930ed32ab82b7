// Processes that compute one study together, each on its own core or machine.
//
// The first one, which leads, holds queue and results file; the others, and a thread of its own,
// ask it for points and send back what they found. Numbers are those of a single process, bit for
// bit, since a point is computed in the same way everywhere. Built with MPI (process_group_mpi.cpp)
// or without (process_group_single.cpp).
#pragma once

#include <atomic>
#include <memory>

#include "tools/study/work_queue.hpp"

namespace pulsewright::tools {

class ProcessGroup {
 public:
  ProcessGroup() = default;
  virtual ~ProcessGroup() = default;
  ProcessGroup(const ProcessGroup&) = delete;
  ProcessGroup& operator=(const ProcessGroup&) = delete;

  virtual bool leads() const = 0;

  // In the process that leads: as run_study(), computed by the others and by so many threads of its
  // own, which may be none. For what went wrong with one of them beyond the fault of a run throws
  // std::invalid_argument, when the input is to blame, or std::runtime_error.
  virtual QueueReport lead(const Study& study, unsigned threads, const std::atomic<bool>& stop,
                           const WantedPoint& wanted, const OutcomeSink& consume,
                           const PointDone& point_done) = 0;

  // In the others: computes points until there are none.
  virtual void serve(const Study& study, const std::atomic<bool>& stop) = 0;

  // To be called once, last thing in main(), in whatever way the process ends: lets the others go.
  virtual void end(int exit_code) = 0;
};

// The process_group that this process was started in; null where it is alone. To be called once,
// first thing in main().
std::unique_ptr<ProcessGroup> join_process_group(int& argc, char**& argv);

}  // namespace pulsewright::tools
