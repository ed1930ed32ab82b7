#include "cases/header_network.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <optional>
#include <set>
#include <stdexcept>

namespace pulsewright::cases {
namespace {

using models::PipeEnd;
using models::Side;

using IndexByName = std::map<std::string, std::size_t>;

std::size_t junction_index(const IndexByName& junctions, const std::string& name) {
  const auto found = junctions.find(name);
  if (found == junctions.end()) {
    throw std::invalid_argument(fmt::format("there is no junction {}", name));
  }
  return found->second;
}

void connect(NetworkBuilder& builder, const IndexByName& junctions, const NetworkPipe& pipe,
             const NetworkEnd& end, PipeEnd at) {
  models::EngineSpecification& engine = builder.engine();
  switch (end.kind) {
    case NodeKind::cylinder:
      builder.connect_exhaust(end.cylinder, at);
      break;
    case NodeKind::junction:
      engine.junctions[junction_index(junctions, end.junction)].branches.push_back(
          {at, end.direction});
      break;
    case NodeKind::open: {
      models::OpenEndSpecification open = pipe.open_end;
      open.end = at;
      engine.open_ends.push_back(open);
      break;
    }
    case NodeKind::closed:
      engine.closed_ends.push_back({at});
      break;
    case NodeKind::anechoic:
      engine.anechoic_ends.push_back({at});
      break;
  }
}

// The ways of the pulses through the pipes of a header.
class Ways {
 public:
  explicit Ways(const HeaderDesign& header) : pipes_(header.pipes) {
    for (std::size_t i = 0; i < pipes_.size(); ++i) {
      if (pipes_[i].from.kind == NodeKind::junction) leaving_[pipes_[i].from.junction].push_back(i);
      if (pipes_[i].to.kind == NodeKind::junction) ++entering_[pipes_[i].to.junction];
    }
  }

  std::vector<std::size_t> from(std::size_t first) const {
    std::vector<std::size_t> way;
    std::set<std::size_t> seen;
    std::optional<std::size_t> pipe = first;
    while (pipe && seen.insert(*pipe).second) {
      way.push_back(*pipe);
      pipe = next(*pipe);
    }
    return way;
  }

 private:
  std::optional<std::size_t> next(std::size_t pipe) const {
    const NetworkEnd& to = pipes_[pipe].to;
    const auto leaving =
        to.kind == NodeKind::junction ? leaving_.find(to.junction) : leaving_.end();
    if (leaving == leaving_.end()) return std::nullopt;
    std::optional<std::size_t> best;
    double straightest = 0;
    for (const bool side : {false, true}) {
      for (const std::size_t i : leaving->second) {
        std::set<std::string> seen;
        if ((is_balance(i) || !leads_out(i, seen)) != side) continue;
        const double straight = -to.direction.dot(pipes_[i].from.direction);
        // Directions come from sines and cosines: equal ones differ in the last digits.
        if (best && straight < straightest + 1e-9) continue;
        best = i;
        straightest = straight;
      }
      if (best) return best;
    }
    return best;
  }

  bool leads_out(std::size_t i, std::set<std::string>& seen) const {
    const NetworkEnd& to = pipes_[i].to;
    if (to.kind != NodeKind::junction) return to.kind != NodeKind::closed;
    const auto leaving = leaving_.find(to.junction);
    if (leaving == leaving_.end() || !seen.insert(to.junction).second) return false;
    return std::any_of(leaving->second.begin(), leaving->second.end(),
                       [&](std::size_t next) { return leads_out(next, seen); });
  }

  bool is_balance(std::size_t i) const {
    const NetworkEnd& from = pipes_[i].from;
    const NetworkEnd& to = pipes_[i].to;
    if (from.kind != NodeKind::junction || to.kind != NodeKind::junction) return false;
    if (leaving_.at(from.junction).size() < 2 || entering_.at(to.junction) < 2) return false;
    std::set<std::string> seen;
    return !leads_to(from.junction, to.junction, i, seen);
  }

  // Whether a way from one junction to another does without a pipe.
  bool leads_to(const std::string& from, const std::string& target, std::size_t without,
                std::set<std::string>& seen) const {
    if (from == target) return true;
    const auto leaving = leaving_.find(from);
    if (leaving == leaving_.end() || !seen.insert(from).second) return false;
    return std::any_of(leaving->second.begin(), leaving->second.end(), [&](std::size_t i) {
      const NetworkEnd& to = pipes_[i].to;
      return i != without && to.kind == NodeKind::junction &&
             leads_to(to.junction, target, without, seen);
    });
  }

  const std::vector<NetworkPipe>& pipes_;
  std::map<std::string, std::vector<std::size_t>> leaving_;
  std::map<std::string, int> entering_;
};

}  // namespace

void build_network(NetworkBuilder& builder, const HeaderDesign& header,
                   const BuildOptions& options) {
  IndexByName junctions;
  for (const NetworkJunction& junction : header.junctions) {
    junctions.emplace(junction.name, junctions.size());
    models::JunctionSpecification& made = builder.add_junction(junction.name);
    if (junction.law && !options.law) made.law = *junction.law;
    made.volume = junction.volume;
    made.vent_area = junction.vent_area;
  }
  for (const NetworkPipe& pipe : header.pipes) {
    const int index = builder.add_pipe(pipe.pipe);
    connect(builder, junctions, pipe, pipe.from, {index, Side::left});
    connect(builder, junctions, pipe, pipe.to, {index, Side::right});
  }
  const Ways ways(header);
  for (std::size_t i = 0; i < header.pipes.size(); ++i) {
    const NetworkEnd& from = header.pipes[i].from;
    if (from.kind != NodeKind::cylinder) continue;
    for (const std::size_t pipe : ways.from(i)) {
      builder.extend_path(from.cylinder, static_cast<int>(pipe));
    }
  }
}

}  // namespace pulsewright::cases
