#include "cases/header_builder.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "cases/case_error.hpp"
#include "cases/divided_collector.hpp"
#include "cases/four_two_one.hpp"
#include "cases/header_network.hpp"
#include "cases/header_probes.hpp"
#include "cases/intake_network.hpp"
#include "cases/joined_collectors.hpp"
#include "cases/nearest_key.hpp"
#include "cases/network_builder.hpp"
#include "cases/single_merge.hpp"
#include "cases/tail_parts.hpp"
#include "models/boundary/poppet_valve.hpp"
#include "models/sizing/circle.hpp"

namespace pulsewright::cases {
namespace {

void build_header(NetworkBuilder& builder, const CaseFile& case_file, const HeaderDesign& header) {
  const double middle = (static_cast<double>(header.groups.size()) - 1) / 2;
  for (std::size_t i = 0; i < header.groups.size(); ++i) {
    const CollectorGroup& group = header.groups[i];
    const Eigen::Vector3d outlet(
        0, (static_cast<double>(i) - middle) * case_file.exhaust.outlet_spacing, 0);
    if (has_secondaries(header.kind)) {
      build_four_two_one(builder, header, group, outlet);
    } else if (header.kind == HeaderKind::divided_collector) {
      build_divided_collector(builder, header, group, outlet);
    } else {
      build_single_merge(builder, header, group, outlet);
    }
  }
  if (has_joined_collectors(header)) join_collectors(builder, header);
}

// How far above its port a valve is taken for a good port on a bench, not for a slip (common
// practice, no source).
constexpr double most_over_port = 1.25;

// A valve passes no more than its port does. What a bench showed beyond that is left out; what is
// far beyond it stays, and the reader refuses it.
void limit_to_ports(models::EngineSpecification& engine, models::ValveSpecification& valve,
                    models::PipeEnd models::CylinderSpecification::*end) {
  const double widest = models::PoppetValve(valve).widest();
  double least = widest;
  for (const auto& cylinder : engine.cylinders) {
    least = std::min(least, port_area(engine, cylinder.*end));
  }
  if (least >= widest || widest > most_over_port * least) return;
  constexpr double rounding = 1 - 1e-12;
  for (models::FlowCurve* curve : {&valve.forward, &valve.reverse}) {
    for (double& area : curve->area) area = std::min(area, rounding * least / valve.count);
  }
}

}  // namespace

double port_area(const models::EngineSpecification& engine, const models::PipeEnd& end) {
  const auto& pipe = engine.pipes[static_cast<std::size_t>(end.pipe)];
  return models::circle_area(
      models::diameter_at(pipe.profile, end.side == models::Side::left ? 0 : pipe.length));
}

models::EngineSpecification build_engine(const CaseFile& case_file, const HeaderDesign& header,
                                         const BuildOptions& options) {
  NetworkBuilder builder(case_file, options, header.name);
  if (header.kind == HeaderKind::network) {
    build_network(builder, header, options);
  } else {
    build_header(builder, case_file, header);
  }
  add_parts(builder, header);
  add_intake(builder, case_file);
  models::EngineSpecification& engine = builder.engine();
  limit_to_ports(engine, engine.exhaust_valve, &models::CylinderSpecification::exhaust);
  limit_to_ports(engine, engine.intake_valve, &models::CylinderSpecification::intake);
  add_probes(builder.engine(), header);
  return std::move(builder.engine());
}

long cell_count(const models::EngineSpecification& engine) {
  long cells = 0;
  for (const models::PipeSpecification& pipe : engine.pipes) {
    cells += static_cast<long>(pipe.cells());
  }
  return cells;
}

std::vector<std::string> header_names(const CaseFile& case_file) {
  std::vector<std::string> out;
  for (const HeaderDesign& header : case_file.headers) out.push_back(header.name);
  return out;
}

const HeaderDesign& find_header(const CaseFile& case_file, std::string_view name) {
  for (const HeaderDesign& header : case_file.headers) {
    if (header.name == name) return header;
  }
  const std::vector<std::string> known = header_names(case_file);
  const std::string near = nearest_key(name, known);
  Problem problem;
  problem.file = case_file.file_name;
  problem.key = "header";
  problem.value = fmt::format("\"{}\"", name);
  problem.message = "the case has no header of this name";
  problem.allowed = fmt::format("{}", fmt::join(known, ", "));
  if (!near.empty()) problem.advice = fmt::format("did you mean \"{}\"?", near);
  throw CaseError({problem});
}

}  // namespace pulsewright::cases
