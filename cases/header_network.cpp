#include "cases/header_network.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <set>
#include <stdexcept>

namespace pulsewright::cases {
namespace {

using models::PipeEnd;
using models::Side;

std::size_t junction_index(const HeaderDesign& header, const std::string& name) {
  const auto found = std::find_if(header.junctions.begin(), header.junctions.end(),
                                  [&](const NetworkJunction& j) { return j.name == name; });
  if (found == header.junctions.end()) {
    throw std::invalid_argument(fmt::format("there is no junction {}", name));
  }
  return static_cast<std::size_t>(found - header.junctions.begin());
}

void connect(NetworkBuilder& builder, const HeaderDesign& header, const NetworkPipe& pipe,
             const NetworkEnd& end, PipeEnd at) {
  models::EngineSpecification& engine = builder.engine();
  switch (end.kind) {
    case NodeKind::cylinder:
      builder.connect_exhaust(end.cylinder, at);
      break;
    case NodeKind::junction:
      engine.junctions[junction_index(header, end.junction)].branches.push_back(
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

void follow(NetworkBuilder& builder, const HeaderDesign& header, int cylinder, std::size_t first) {
  std::set<std::size_t> seen;
  std::size_t pipe = first;
  while (seen.insert(pipe).second) {
    builder.extend_path(cylinder, static_cast<int>(pipe));
    const NetworkEnd& to = header.pipes[pipe].to;
    if (to.kind != NodeKind::junction) return;
    const auto next = std::find_if(header.pipes.begin(), header.pipes.end(), [&](const auto& p) {
      return p.from.kind == NodeKind::junction && p.from.junction == to.junction;
    });
    if (next == header.pipes.end()) return;
    pipe = static_cast<std::size_t>(next - header.pipes.begin());
  }
}

}  // namespace

void build_network(NetworkBuilder& builder, const HeaderDesign& header,
                   const BuildOptions& options) {
  for (const NetworkJunction& junction : header.junctions) {
    models::JunctionSpecification& made = builder.add_junction(junction.name);
    if (junction.law && !options.law) made.law = *junction.law;
    made.volume = junction.volume;
    made.vent_area = junction.vent_area;
  }
  for (const NetworkPipe& pipe : header.pipes) {
    const int index = builder.add_pipe(pipe.pipe);
    connect(builder, header, pipe, pipe.from, {index, Side::left});
    connect(builder, header, pipe, pipe.to, {index, Side::right});
  }
  for (std::size_t i = 0; i < header.pipes.size(); ++i) {
    const NetworkEnd& from = header.pipes[i].from;
    if (from.kind == NodeKind::cylinder) follow(builder, header, from.cylinder, i);
  }
}

}  // namespace pulsewright::cases
