#include "tools/report/drawn_parts.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "cases/joined_collectors.hpp"
#include "tools/study/tube_text.hpp"

namespace pulsewright::tools {

using models::PipeSpecification;
using nlohmann::json;

namespace {

json part(std::string_view name, double from, double to, const std::string& tube) {
  return {{"name", name}, {"from", from}, {"to", to}, {"tube", tube}};
}

// The tube of a network's pipe; empty where it has a profile, or goes by its inside diameter.
std::string network_tube(const cases::CaseFile& case_file, const PipeSpecification& pipe) {
  const cases::Tube tube{pipe.profile.front().diameter, pipe.wall.thickness};
  const bool straight =
      pipe.profile.size() == 2 && pipe.profile.back().diameter == tube.inside_diameter;
  // The wall of [exhaust] is that of every pipe that names none: then a stock size tells.
  const bool own_wall = std::abs(tube.wall - case_file.exhaust.wall.thickness) > slack;
  return straight && (own_wall || is_inch_size(tube)) ? tube_text(tube) : std::string();
}

// m from a collector's merge, along it and its tail, to the beginning of a pipe behind a balance
// pipe.
double begin_of_piece(const cases::HeaderDesign& header, std::string_view name) {
  for (std::size_t i = 0; i < header.balance.size(); ++i) {
    for (const auto& group : header.groups) {
      if (name == fmt::format("{} {}", cases::numbered("tail", i), group.name)) {
        return header.collector_length + header.balance[i].at;
      }
    }
  }
  return header.kind == cases::HeaderKind::divided_collector ? header.divider_length : 0;
}

// What of a joined collector and its tail is cut from one tube.
json joined_parts(const cases::HeaderDesign& header, const PipeSpecification& pipe) {
  const std::string_view name = pipe.name;
  for (std::size_t i = 0; i < header.balance.size(); ++i) {
    if (name != cases::numbered("H pipe", i)) continue;
    return json::array({part(name, 0, pipe.length, tube_text(header.balance[i].tube))});
  }
  if (name == "tail") {
    return json::array({part(name, 0, pipe.length, tube_text(header.tail_tube))});
  }
  const std::string group(name.substr(name.rfind(' ') + 1));
  const double collector =
      std::clamp(header.collector_length - begin_of_piece(header, name), 0.0, pipe.length);
  json parts = json::array();
  if (collector > slack) {
    parts.push_back(part("collector " + group, 0, collector, tube_text(header.collector_tube)));
  }
  if (pipe.length - collector > slack) {
    parts.push_back(part("tail " + group, collector, pipe.length, tube_text(header.tail_tube)));
  }
  return parts;
}

}  // namespace

// What of a primary is cut from one tube: m from the valve. A part begins behind its step.
json primary_parts(const cases::HeaderDesign& header, int cylinder, double port, double end) {
  const cases::Primary& primary = header.primaries.at(cylinder);
  json parts = json::array();
  double from = port;
  std::string name = fmt::format("primary {}", cylinder);
  cases::Tube tube = primary.tube;
  for (std::size_t i = 0; i < primary.steps.size(); ++i) {
    const double at = port + primary.steps[i].at;
    parts.push_back(part(name, from, at, tube_text(tube)));
    from = at + slack;
    name = fmt::format("step {} of primary {}", i + 1, cylinder);
    tube = primary.steps[i].tube;
  }
  parts.push_back(part(name, from, end, tube_text(tube)));
  return parts;
}

// What of a pipe is cut from one tube. The names of pipes are those of the key header.probe.pipe.
json parts_of(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
              const PipeSpecification& pipe, double port) {
  const std::string_view name = pipe.name;
  const double end = pipe.length;
  if (header.kind == cases::HeaderKind::network) {
    return json::array({part(name, port, end, network_tube(case_file, pipe))});
  }
  if (name.starts_with("part ")) {  // cases/tail_parts.hpp
    const bool tube = name.find(" pipe") != std::string_view::npos;
    return json::array({part(name, 0, end, tube ? network_tube(case_file, pipe) : std::string())});
  }
  if (name.starts_with("secondary ")) {
    return json::array({part(name, 0, end, tube_text(header.secondary_tube))});
  }
  if (name.starts_with("half ")) {
    return json::array({part("collector " + pipe.name, 0, end, tube_text(header.collector_tube))});
  }
  if (cases::has_joined_collectors(header)) return joined_parts(header, pipe);
  const double collector = end - header.tail_length;
  json parts = json::array({part(name, 0, collector, tube_text(header.collector_tube))});
  if (header.tail_length > 0) {
    parts.push_back(part("tail " + pipe.name.substr(std::string_view("collector ").size()),
                         collector, end, tube_text(header.tail_tube)));
  }
  return parts;
}

}  // namespace pulsewright::tools
