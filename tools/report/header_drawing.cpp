#include "tools/report/header_drawing.hpp"

#include <algorithm>
#include <map>
#include <nlohmann/json.hpp>

#include "cases/case_reader.hpp"
#include "cases/grouping.hpp"

namespace pulsewright::tools {

using nlohmann::json;

std::optional<cases::CaseFile> case_of(const StudyPlan& plan) {
  try {
    return cases::read_case_text(plan.case_text, plan.case_file);
  } catch (const cases::CaseError&) {
    return std::nullopt;  // another version's case: the page says that there is no drawing
  }
}

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

json header_drawing(const cases::CaseFile& case_file, const HeaderPlan& header_plan) {
  const auto found = std::find_if(case_file.headers.begin(), case_file.headers.end(),
                                  [&](const auto& c) { return c.name == header_plan.name; });
  if (found == case_file.headers.end()) return nullptr;
  cases::BuildOptions options;
  options.as_measured = true;
  const auto engine = cases::build_engine(case_file, *found, options);
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
                      {"position", group.collector_position},
                      {"interval_deg", group.interval_deg}});
  }
  return {{"pipes", pipes},
          {"paths", paths},
          {"groups", groups},
          {"port_length", found->groups.empty() ? 0.0 : case_file.exhaust.port_length}};
}

}  // namespace pulsewright::tools
