#include "tools/report/header_drawing.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <nlohmann/json.hpp>
#include <numbers>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "cases/collector_order.hpp"
#include "cases/grouping.hpp"
#include "cases/header_builder.hpp"
#include "tools/report/drawn_bodies.hpp"
#include "tools/report/drawn_parts.hpp"

namespace pulsewright::tools {

using nlohmann::json;

json valve_events(const cases::CaseFile& case_file) {
  json firing = json::object();
  for (const int cylinder : case_file.engine.firing_order) {
    firing[std::to_string(cylinder)] = cases::firing_angle(case_file.engine, cylinder);
  }
  return {{"exhaust_opens", case_file.exhaust_valve.opens_deg},
          {"exhaust_closes", case_file.exhaust_valve.closes_deg},
          {"intake_opens", case_file.intake_valve.opens_deg},
          {"intake_closes", case_file.intake_valve.closes_deg},
          {"firing", firing}};
}

namespace {

using models::PipeEnd;
using models::PipeSpecification;
using models::Side;

// The exhaust pipes of a network and what they begin and end at. The pieces of a primary with
// sudden steps are one pipe here.
class ExhaustSide {
 public:
  ExhaustSide(const models::EngineSpecification& engine, cases::HeaderKind kind) : engine_(engine) {
    const std::set<int> runners = intake_pipes(engine);
    const std::map<int, int> next = next_pieces(kind);
    std::set<int> later;
    for (const auto& [before, behind] : next) later.insert(behind);
    for (int pipe = 0; pipe < static_cast<int>(engine.pipes.size()); ++pipe) {
      if (runners.contains(pipe) || later.contains(pipe)) continue;
      pipes_.push_back({pipe});
      for (auto at = next.find(pipe); at != next.end(); at = next.find(at->second)) {
        pipes_.back().push_back(at->second);
      }
    }
    from_.resize(engine.pipes.size(), -1);
    to_.resize(engine.pipes.size(), -1);
    for (const auto& cylinder : engine.cylinders) {
      add_node({{"kind", "cylinder"}, {"cylinder", cylinder.number}}, {cylinder.exhaust});
    }
    for (const auto& junction : engine.junctions) {
      if (is_joint(junction, kind)) continue;
      std::vector<PipeEnd> ends;
      for (const auto& branch : junction.branches) ends.push_back(branch.end);
      if (std::all_of(ends.begin(), ends.end(),
                      [&](const PipeEnd& end) { return runners.contains(end.pipe); })) {
        continue;  // plenum or air box of the intake
      }
      add_node({{"kind", "junction"}, {"name", junction.name}}, ends);
    }
    for (const auto& holes : engine.perforates) {
      std::vector<PipeEnd> ends;
      for (const auto* side : {&holes.core, &holes.space}) {
        for (const auto& branch : side->branches) ends.push_back(branch.end);
      }
      add_node({{"kind", "junction"}, {"name", holes.core.name}}, ends);
    }
    for (const auto& end : engine.open_ends) {
      if (!runners.contains(end.end.pipe)) add_node({{"kind", "open"}}, {end.end});
    }
    for (const auto& end : engine.closed_ends) add_node({{"kind", "closed"}}, {end.end});
    for (const auto& end : engine.anechoic_ends) add_node({{"kind", "anechoic"}}, {end.end});
  }

  // Indices into the network's, of the pieces of each.
  const std::vector<std::vector<int>>& pipes() const { return pipes_; }
  const json& nodes() const { return nodes_; }
  int from(int pipe) const { return from_[static_cast<std::size_t>(pipe)]; }
  int to(int pipe) const { return to_[static_cast<std::size_t>(pipe)]; }
  // Place of a pipe of the network among the exhaust pipes.
  std::size_t place(int pipe) const {
    const auto has = [pipe](const std::vector<int>& pieces) {
      return std::find(pieces.begin(), pieces.end(), pipe) != pieces.end();
    };
    return static_cast<std::size_t>(std::find_if(pipes_.begin(), pipes_.end(), has) -
                                    pipes_.begin());
  }
  const PipeSpecification& pipe(int index) const {
    return engine_.pipes[static_cast<std::size_t>(index)];
  }
  // Numbers of the cylinders whose pulses pass a pipe on their way out, ascending.
  std::vector<int> cylinders_through(int pipe) const {
    std::vector<int> numbers;
    for (const auto& path : engine_.exhaust_paths) {
      if (std::find(path.pipes.begin(), path.pipes.end(), pipe) == path.pipes.end()) continue;
      numbers.push_back(engine_.cylinders[static_cast<std::size_t>(path.cylinder)].number);
    }
    std::sort(numbers.begin(), numbers.end());
    return numbers;
  }

 private:
  // Where a network of its own joins two pipes, it means a junction.
  bool is_joint(const models::JunctionSpecification& junction, cases::HeaderKind kind) const {
    if (kind == cases::HeaderKind::network || junction.branches.size() != 2) return false;
    return junction.vent_area == 0 &&
           !pipe(junction.branches[1].end.pipe).name.starts_with("part ");  // behind a collector
  }
  std::map<int, int> next_pieces(cases::HeaderKind kind) const {
    std::map<int, int> next;
    for (const auto& junction : engine_.junctions) {
      if (!is_joint(junction, kind)) continue;
      next[junction.branches[0].end.pipe] = junction.branches[1].end.pipe;
    }
    return next;
  }
  // Runners, and what they draw through.
  static std::set<int> intake_pipes(const models::EngineSpecification& engine) {
    std::set<int> found;
    for (const auto& cylinder : engine.cylinders) found.insert(cylinder.intake.pipe);
    for (std::size_t before = 0; before != found.size();) {
      before = found.size();
      for (const auto& junction : engine.junctions) {
        const auto& branches = junction.branches;
        if (std::any_of(branches.begin(), branches.end(),
                        [&](const auto& branch) { return found.contains(branch.end.pipe); })) {
          for (const auto& branch : branches) found.insert(branch.end.pipe);
        }
      }
    }
    return found;
  }

  void add_node(json node, const std::vector<PipeEnd>& ends) {
    const int index = static_cast<int>(nodes_.size());
    nodes_.push_back(std::move(node));
    for (const PipeEnd& end : ends) {
      (end.side == Side::left ? from_ : to_)[static_cast<std::size_t>(end.pipe)] = index;
    }
  }

  const models::EngineSpecification& engine_;
  std::vector<std::vector<int>> pipes_;
  std::vector<int> from_, to_;
  json nodes_ = json::array();
};

// m at the start of a pipe that lie in the head. A network writes its ports out: they are known
// where the pipe begins with the port of [exhaust].
double port_of(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
               const PipeSpecification& pipe, bool from_cylinder) {
  const double port = case_file.exhaust.port_length;
  if (!from_cylinder || !(port > 0)) return 0;
  if (header.kind != cases::HeaderKind::network) return port;
  const double diameter = case_file.exhaust.port_diameter;
  if (std::abs(pipe.profile.front().diameter - diameter) > slack) return 0;
  for (const auto& point : pipe.profile) {
    if (std::abs(point.diameter - diameter) > slack) return 0;
    if (std::abs(point.x - port) < slack) return point.x < pipe.length ? port : 0;
  }
  return 0;
}

json face_of(const cases::CaseFile& case_file, const std::string& name, json tubes,
             const std::vector<int>& cylinders, json walls = json::array()) {
  const auto fired = cases::make_group(case_file.engine, name, cylinders);
  return {{"name", name},
          {"tubes", std::move(tubes)},
          {"cylinders", fired.cylinders},
          {"interval_deg", fired.interval_deg},
          {"walls", std::move(walls)}};
}

json tube_at(const std::string& label, double diameter, double clock) {
  return {{"label", label}, {"diameter", diameter}, {"clock", std::fmod(clock + 720, 360.0)}};
}

// The face of a collector into which all tubes of its group go. Around a divider its edges lie
// halfway between the tubes of its two halves.
json group_face(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
                const cases::CollectorGroup& group) {
  const auto clock = [&](double position) {
    return cases::collector_clock(group.cylinders.size(), position);
  };
  json tubes = json::array();
  for (std::size_t i = 0; i < group.cylinders.size(); ++i) {
    tubes.push_back(tube_at(std::to_string(group.cylinders[i]),
                            header.primaries.at(group.cylinders[i]).last_tube().inside_diameter,
                            clock(group.collector_position[i])));
  }
  json walls = json::array();
  if (header.kind == cases::HeaderKind::divided_collector) {
    const auto half_of = [&](int position) {  // of the tube there
      const auto at =
          std::find(group.collector_position.begin(), group.collector_position.end(), position);
      const int cylinder =
          group.cylinders[static_cast<std::size_t>(at - group.collector_position.begin())];
      return std::find_if(group.subgroups.begin(), group.subgroups.end(), [&](const auto& half) {
        return std::find(half.begin(), half.end(), cylinder) != half.end();
      });
    };
    const int count = static_cast<int>(group.cylinders.size());
    for (int position = 1; position <= count; ++position) {
      if (half_of(position) == half_of(position % count + 1)) continue;
      walls.push_back(clock(position + 0.5));
    }
  }
  return face_of(case_file, "collector " + group.name, tubes, group.cylinders, walls);
}

// The face of a junction, from the directions of the pipes that end there: null where fewer than
// two do, or where they do not stand round the +x axis.
json junction_face(const cases::CaseFile& case_file, const models::JunctionSpecification& junction,
                   const ExhaustSide& side, double turned) {
  json tubes = json::array();
  std::set<int> cylinders;
  for (const auto& branch : junction.branches) {
    if (branch.end.side != Side::right) continue;
    const auto& d = branch.direction;
    if (d.x() > 0 || std::hypot(d.y(), d.z()) < slack) return nullptr;
    const auto through = side.cylinders_through(branch.end.pipe);
    cylinders.insert(through.begin(), through.end());
    const PipeSpecification& pipe = side.pipe(branch.end.pipe);
    tubes.push_back(
        tube_at(through.empty() ? pipe.name : fmt::format("{}", fmt::join(through, "+")),
                models::diameter_at(pipe.profile, pipe.length),
                std::atan2(d.z(), d.y()) * 180 / std::numbers::pi - turned));
  }
  if (tubes.size() < 2) return nullptr;
  return face_of(case_file, junction.name, tubes, {cylinders.begin(), cylinders.end()});
}

json faces_of(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
              const models::EngineSpecification& engine, const ExhaustSide& side) {
  using cases::HeaderKind;
  json faces = json::array();
  if (header.kind == HeaderKind::network || cases::has_secondaries(header.kind)) {
    // The tubes of a secondary lie side by side; a network gives its own clock.
    const double turned = header.kind == HeaderKind::network ? 0 : 90;
    for (const auto& junction : engine.junctions) {
      json face = junction_face(case_file, junction, side, turned);
      if (!face.is_null()) faces.push_back(std::move(face));
    }
    return faces;
  }
  for (const auto& group : header.groups) {
    if (group.cylinders.size() > 1) faces.push_back(group_face(case_file, header, group));
  }
  return faces;
}

json pipes_of(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
              const ExhaustSide& side) {
  json pipes = json::array();
  for (const std::vector<int>& pieces : side.pipes()) {
    const PipeSpecification& pipe = side.pipe(pieces.front());
    json profile = json::array();
    double length = 0;
    for (const int index : pieces) {
      const PipeSpecification& piece = side.pipe(index);
      const double begin = length > 0 ? length + slack : 0;  // behind the step
      for (const auto& point : piece.profile) {
        profile.push_back({std::max(begin, length + point.x), point.diameter});
      }
      length += piece.length;
    }
    const int from = side.from(pieces.front());
    const json node = from >= 0 ? side.nodes()[static_cast<std::size_t>(from)] : json::object();
    const bool from_cylinder = node.value("kind", "") == "cylinder";
    const double port = port_of(case_file, header, pipe, from_cylinder);
    const bool primary = from_cylinder && header.kind != cases::HeaderKind::network;
    const int cylinder = primary ? node["cylinder"].get<int>() : 0;
    pipes.push_back({{"name", primary ? fmt::format("primary {}", cylinder) : pipe.name},
                     {"length", length},
                     {"profile", profile},
                     {"port", port},
                     {"from", from},
                     {"to", side.to(pieces.back())},
                     {"parts", primary ? primary_parts(header, cylinder, port, length)
                                       : parts_of(case_file, header, pipe, port)}});
  }
  return pipes;
}

}  // namespace

json header_drawing(const cases::CaseFile& case_file, const std::string& name) {
  const auto found = std::find_if(case_file.headers.begin(), case_file.headers.end(),
                                  [&](const auto& c) { return c.name == name; });
  if (found == case_file.headers.end()) return nullptr;
  cases::BuildOptions options;
  options.as_measured = true;
  const auto engine = cases::build_engine(case_file, *found, options);
  const ExhaustSide side(engine, found->kind);
  json paths = json::array();
  for (const auto& path : engine.exhaust_paths) {
    json indices = json::array();
    for (const int pipe : path.pipes) {
      const std::size_t place = side.place(pipe);
      if (indices.empty() || indices.back() != place) indices.push_back(place);
    }
    paths.push_back({{"cylinder", engine.cylinders[static_cast<std::size_t>(path.cylinder)].number},
                     {"pipes", indices}});
  }
  json groups = json::array();
  for (const auto& group : found->groups) {
    groups.push_back({{"name", group.name},
                      {"cylinders", group.cylinders},
                      {"position", group.collector_position},
                      {"interval_deg", group.interval_deg}});
  }
  return with_bodies({{"pipes", pipes_of(case_file, *found, side)},
                      {"nodes", side.nodes()},
                      {"paths", paths},
                      {"groups", groups},
                      {"faces", faces_of(case_file, *found, engine, side)}},
                     *found);
}

}  // namespace pulsewright::tools
