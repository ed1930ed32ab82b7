#include "tools/spread/process_group.hpp"

#ifdef PULSEWRIGHT_WITH_MPI
#include "tools/spread/mpi_process_group.hpp"
#endif

namespace pulsewright::tools {

#ifdef PULSEWRIGHT_WITH_MPI
std::unique_ptr<ProcessGroup> join_process_group(int& argc, char**& argv) {
  return join_mpi_job(argc, argv);
}
#else
std::unique_ptr<ProcessGroup> join_process_group(int& /*argc*/, char**& /*argv*/) {
  return nullptr;
}
#endif

}  // namespace pulsewright::tools
