#include "tools/report/header_drawing.hpp"

#include <algorithm>
#include <map>
#include <nlohmann/json.hpp>

#include "cases/case_reader.hpp"
#include "cases/grouping.hpp"

namespace pulsewright::tools {

using nlohmann::json;

std::optional<cases::Case> case_of(const StudyPlan& plan) {
  try {
    return cases::read_case_text(plan.case_text, plan.case_file);
  } catch (const cases::CaseError&) {
    return std::nullopt;  // another version's case: the page says that there is no drawing
  }
}

json valve_events(const cases::Case& a_case) {
  json firing = json::object();
  for (const int cylinder : a_case.engine.firing_order) {
    firing[std::to_string(cylinder)] = cases::firing_angle(a_case.engine, cylinder);
  }
  return {{"exhaust_opens", a_case.exhaust_valve.opens_deg},
          {"exhaust_closes", a_case.exhaust_valve.closes_deg},
          {"intake_opens", a_case.intake_valve.opens_deg},
          {"intake_closes", a_case.intake_valve.closes_deg},
          {"firing", firing}};
}

json header_drawing(const cases::Case& a_case, const ConceptPlan& concept_plan) {
  const auto found = std::find_if(a_case.concepts.begin(), a_case.concepts.end(),
                                  [&](const auto& c) { return c.name == concept_plan.name; });
  if (found == a_case.concepts.end()) return nullptr;
  const auto engine = cases::build_engine(a_case, *found);
  json pipes = json::array();
  json paths = json::array();
  std::map<int, std::size_t> place;  // of a pipe of the network among those drawn
  for (const auto& path : engine.exhaust_paths) {
    json indices = json::array();
    for (const int pipe : path.pipes) {
      const auto [at, is_new] = place.emplace(pipe, pipes.size());
      indices.push_back(at->second);
      if (!is_new) continue;
      const auto& spec = engine.pipes[static_cast<std::size_t>(pipe)];
      json profile = json::array();
      for (const auto& point : spec.profile) profile.push_back({point.x, point.diameter});
      pipes.push_back({{"name", spec.name}, {"length", spec.length}, {"profile", profile}});
    }
    paths.push_back({{"cylinder", engine.cylinders[static_cast<std::size_t>(path.cylinder)].number},
                     {"pipes", indices}});
  }
  json groups = json::array();
  for (const auto& group : found->groups) {
    groups.push_back({{"name", group.name},
                      {"cylinders", group.cylinders},
                      {"position", group.position},
                      {"interval_deg", group.interval_deg}});
  }
  return {{"pipes", pipes},
          {"paths", paths},
          {"groups", groups},
          {"port_length", found->groups.empty() ? 0.0 : a_case.exhaust.port_length}};
}

}  // namespace pulsewright::tools
