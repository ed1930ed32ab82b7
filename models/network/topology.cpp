#include "models/network/topology.hpp"

#include <stdexcept>
#include <string>

namespace pulsewright::models {

std::vector<PipeEnd> ends_of(const JunctionSpecification& junction) {
  std::vector<PipeEnd> ends;
  for (const Branch& branch : junction.branches) ends.push_back(branch.end);
  return ends;
}

void check_topology(const EngineSpecification& engine) {
  std::vector<int> used(2 * engine.pipes.size(), 0);
  const auto use = [&](const PipeEnd& end) {
    if (end.pipe < 0 || static_cast<std::size_t>(end.pipe) >= engine.pipes.size()) {
      throw std::invalid_argument("network: an end names a pipe that does not exist");
    }
    ++used[2 * static_cast<std::size_t>(end.pipe) + (end.side == Side::right ? 1 : 0)];
  };
  const auto use_all = [&](const auto& specifications) {
    for (const auto& spec : specifications) {
      for (const PipeEnd& end : ends_of(spec)) use(end);
    }
  };
  use_all(engine.junctions);
  use_all(engine.open_ends);
  use_all(engine.closed_ends);
  use_all(engine.anechoic_ends);
  use_all(engine.prescribed_ends);
  use_all(engine.orifice_ends);
  for (const CylinderSpecification& cylinder : engine.cylinders) {
    use(cylinder.exhaust);
    use(cylinder.intake);
  }
  for (std::size_t i = 0; i < used.size(); ++i) {
    if (used[i] != 1) {
      throw std::invalid_argument("network: the " + std::string(i % 2 ? "right" : "left") +
                                  " end of pipe '" + engine.pipes[i / 2].name + "' is used " +
                                  std::to_string(used[i]) + " times, not once");
    }
  }
}

}  // namespace pulsewright::models
