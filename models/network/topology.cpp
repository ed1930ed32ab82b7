#include "models/network/topology.hpp"

#include <stdexcept>
#include <string>

namespace pulsewright::models {

std::vector<PipeEnd> ends_of(const JunctionSpecification& junction) {
  std::vector<PipeEnd> ends;
  for (const Branch& branch : junction.branches) ends.push_back(branch.end);
  return ends;
}

std::vector<PipeEnd> ends_of(const PerforateSpecification& perforate) {
  std::vector<PipeEnd> ends = ends_of(perforate.core);
  for (const PipeEnd& end : ends_of(perforate.space)) ends.push_back(end);
  return ends;
}

void check_topology(const std::vector<PipeSpecification>& pipes, const std::vector<PipeEnd>& ends) {
  std::vector<int> used(2 * pipes.size(), 0);
  for (const PipeEnd& end : ends) {
    if (end.pipe < 0 || static_cast<std::size_t>(end.pipe) >= pipes.size()) {
      throw std::invalid_argument("network: an end names a pipe that does not exist");
    }
    ++used[2 * static_cast<std::size_t>(end.pipe) + (end.side == Side::right ? 1 : 0)];
  }
  for (std::size_t i = 0; i < used.size(); ++i) {
    if (used[i] != 1) {
      throw std::invalid_argument("network: the " + std::string(i % 2 ? "right" : "left") +
                                  " end of pipe '" + pipes[i / 2].name + "' is used " +
                                  std::to_string(used[i]) + " times, not once");
    }
  }
}

}  // namespace pulsewright::models
