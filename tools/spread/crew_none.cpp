#include "tools/spread/crew.hpp"

namespace pulsewright::tools {

std::unique_ptr<Crew> join_crew(int& /*argc*/, char**& /*argv*/) { return nullptr; }

}  // namespace pulsewright::tools
