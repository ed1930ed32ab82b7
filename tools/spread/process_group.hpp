// Processes that compute one study together, each on its own core or machine.
//
// The first one, the coordinator, has queue and results file. The workers, which are the other
// processes and threads of its own, request work units from it and send back what they computed.
// Numbers are those of a single process, bit for bit, since a point is computed in the same way
// everywhere.
#pragma once

#include <atomic>
#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "tools/study/work_queue.hpp"

namespace pulsewright::tools {

class ProcessGroup {
 public:
  ProcessGroup() = default;
  virtual ~ProcessGroup() = default;
  ProcessGroup(const ProcessGroup&) = delete;
  ProcessGroup& operator=(const ProcessGroup&) = delete;

  virtual bool is_coordinator() const = 0;

  // In the coordinator: as run_study(), computed by the other processes and by so many threads of
  // its own, which may be none. For what went wrong with a worker beyond the fault of a run throws
  // std::invalid_argument, when the input is to blame, or std::runtime_error.
  virtual QueueReport coordinate(const Study& study, unsigned threads,
                                 const std::atomic<bool>& stop, const PointFilter& selected,
                                 const OutcomeSink& consume, const PointDone& point_done) = 0;

  // In the others: computes points until there are none.
  virtual void work(const Study& study, const std::atomic<bool>& stop) = 0;

  // For work that every process does in the same way (tools/search/shared_trials.hpp): which
  // process this is, of how many.
  virtual std::size_t rank() const = 0;
  virtual std::size_t size() const = 0;
  // The texts of all processes, by rank, for that of this one. Every process must call it as often;
  // it waits for the others.
  virtual std::vector<std::string> exchange(const std::string& own) = 0;

  // To be called once, last thing in main(), in whatever way the process ends: the coordinator
  // shuts down the workers.
  virtual void shut_down(int exit_code) = 0;
};

// The group that this process was started in; null where it is alone or the program was built
// without MPI. To be called once, first thing in main().
std::unique_ptr<ProcessGroup> join_process_group(int& argc, char**& argv);

}  // namespace pulsewright::tools
