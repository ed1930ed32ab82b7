// The process group as the processes of an MPI job. Only the main thread of each calls MPI.
#pragma once

#include <memory>

#include "tools/spread/process_group.hpp"

namespace pulsewright::tools {

// The job that this process was started in; null where it was started by hand or is alone. The
// output of all but the coordinator goes nowhere. Throws std::runtime_error for an MPI that allows
// no threads.
std::unique_ptr<ProcessGroup> join_mpi_job(int& argc, char**& argv);

}  // namespace pulsewright::tools
