#include "cases/header_network.hpp"

#include <fmt/format.h>
#include <map>
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

// first_out: the first pipe of the list that leaves each junction.
void follow(NetworkBuilder& builder, const HeaderDesign& header, const IndexByName& first_out,
            int cylinder, std::size_t first) {
  std::set<std::size_t> seen;
  std::size_t pipe = first;
  while (seen.insert(pipe).second) {
    builder.extend_path(cylinder, static_cast<int>(pipe));
    const NetworkEnd& to = header.pipes[pipe].to;
    if (to.kind != NodeKind::junction) return;
    const auto next = first_out.find(to.junction);
    if (next == first_out.end()) return;
    pipe = next->second;
  }
}

}  // namespace

void build_network(NetworkBuilder& builder, const HeaderDesign& header,
                   const BuildOptions& options) {
  IndexByName junctions;
  IndexByName first_out;
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
    if (pipe.from.kind == NodeKind::junction) first_out.emplace(pipe.from.junction, index);
  }
  for (std::size_t i = 0; i < header.pipes.size(); ++i) {
    const NetworkEnd& from = header.pipes[i].from;
    if (from.kind == NodeKind::cylinder) follow(builder, header, first_out, from.cylinder, i);
  }
}

}  // namespace pulsewright::cases
