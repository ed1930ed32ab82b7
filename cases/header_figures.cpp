#include "cases/header_figures.hpp"

#include <algorithm>

#include "cases/engine_figures.hpp"
#include "cases/header_parts.hpp"
#include "models/sizing/circle.hpp"
#include "models/sizing/hand_rules.hpp"

namespace pulsewright::cases {
namespace {

double bore_area(const Tube& tube) { return models::circle_area(tube.inside_diameter); }

HeaderFigures::Rules rules_of(const CaseFile& case_file, const HeaderDesign& header) {
  HeaderFigures::Rules out;
  const EngineFigures engine = engine_figures(case_file);
  const double exhaust_opens = 180 - engine.exhaust.advertised.opens_deg;  // deg BBDC
  out.torque_peak =
      models::torque_peak_of_area(bore_area(header.primary_tube), engine.cylinder_volume);
  const auto [shortest, longest] =
      std::minmax_element(header.primary_length.begin(), header.primary_length.end(),
                          [](const auto& a, const auto& b) { return a.second < b.second; });
  const double beside_primary = case_file.exhaust.port_length + header.secondary_length;
  out.shortest = beside_primary + shortest->second;
  out.longest = beside_primary + longest->second;
  out.shortest_speed = models::speed_of_length(out.shortest, exhaust_opens);
  out.longest_speed = models::speed_of_length(out.longest, exhaust_opens);
  out.bore = models::bore_of_length((out.shortest + out.longest) / 2, engine.cylinder_volume);
  return out;
}

}  // namespace

HeaderFigures header_figures(const CaseFile& case_file, const HeaderDesign& header) {
  HeaderFigures out;
  const bool paired = has_secondaries(header.kind);
  double tube = bore_area(header.secondary_tube);
  for (const auto& group : header.groups) {
    const std::size_t tubes = paired ? group.subgroups.size() : group.cylinders.size();
    if (tubes <= out.tubes) continue;
    out.tubes = tubes;
    if (!paired) tube = models::circle_area(merging_bore(header, group.cylinders));
  }
  const double collector = bore_area(header.collector_tube);
  if (collector > 0 && tube > 0 && out.tubes > 0) {
    out.collector_over_tube = collector / tube;
    out.collector_over_tubes = collector / tube / static_cast<double>(out.tubes);
  }
  if (header.merge_diameter > 0 && out.collector_over_tube) {
    out.entry_over_tube = models::circle_area(header.merge_diameter) / tube;
    out.entry_over_tubes = *out.entry_over_tube / static_cast<double>(out.tubes);
  }
  if (!header.primary_length.empty()) out.rules = rules_of(case_file, header);
  return out;
}

}  // namespace pulsewright::cases
