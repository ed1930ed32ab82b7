#include "tools/spread/process_group.hpp"

namespace pulsewright::tools {

std::unique_ptr<ProcessGroup> join_process_group(int& /*argc*/, char**& /*argv*/) {
  return nullptr;
}

}  // namespace pulsewright::tools
