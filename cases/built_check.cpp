#include "cases/built_check.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <set>
#include <string>

#include "cases/counted.hpp"
#include "cases/header_builder.hpp"
#include "models/boundary/poppet_valve.hpp"
#include "models/sizing/circle.hpp"

namespace pulsewright::cases {
namespace {

constexpr long most_cells = 200000;

struct BuiltHeader {
  const CaseFile& case_file;
  const HeaderDesign& header;
  std::string key;  // "header[2]"
  models::EngineSpecification engine;
};

void check_cells(const BuiltHeader& built, Problems& problems) {
  const long cells = cell_count(built.engine);
  if (cells <= most_cells) return;
  problems.add(
      {"", problems.line_of("run.cell_size"), "run.cell_size",
       problems.shown().length(built.case_file.run.cell_size),
       fmt::format("cuts header \"{}\" into {}", built.header.name, counted(cells, "cell")),
       fmt::format("at most {} cells", most_cells),
       "make cell_size larger, for example: cell_size = \"10 mm\""});
}

template <class Parts>
void check_names_of(const BuiltHeader& built, const Parts& parts, std::string_view kind,
                    Problems& problems) {
  std::set<std::string> names;
  for (const auto& part : parts) {
    if (names.insert(part.name).second) continue;
    if (built.header.kind == HeaderKind::network) {
      problems.add(
          built.key + "." + std::string(kind),
          fmt::format("names a {} \"{}\", and the intake has one of that name", kind, part.name),
          "give it another name");
    } else {
      problems.add(
          "engine.banks",
          fmt::format("makes two {}s \"{}\" in header \"{}\", one of a bank and one of a pair "
                      "of cylinders",
                      kind, part.name, built.header.name),
          "name the banks otherwise, for example left and right");
    }
    return;
  }
}

// Key of the flow of a valve in one direction, as far as the file has it.
std::string flow_key(const Problems& problems, const std::string& valve, bool reverse) {
  const std::string table = valve + ".flow.";
  if (reverse) {
    for (const char* key : {"reverse", "reverse_discharge"}) {
      if (problems.has(table + key)) return table + key;
    }
  }
  return table + (problems.has(table + "forward") ? "forward" : "discharge");
}

// What gives the diameter of a pipe at its valve.
std::string port_key(const BuiltHeader& built, bool exhaust) {
  if (!exhaust) {
    return built.case_file.intake.valve_diameter != built.case_file.intake.entry_diameter
               ? "intake.valve_diameter"
               : "intake.entry_diameter";
  }
  if (built.header.kind == HeaderKind::network) return built.key + ".pipe";
  if (built.case_file.exhaust.port_valve_diameter != built.case_file.exhaust.port_diameter) {
    return "exhaust.port_valve_diameter";
  }
  return built.case_file.exhaust.port_length > 0 ? "exhaust.port_diameter"
                                                 : built.key + ".primary_tube";
}

// A valve passes no more than its port does: no boundary could be made of them
// (models/boundary/valve.hpp).
// `remarked` is set where the flow is limited to the port, which is said once.
void check_port(const BuiltHeader& built, bool exhaust, Problems& problems, bool& remarked) {
  const models::ValveSpecification& spec =
      exhaust ? built.engine.exhaust_valve : built.engine.intake_valve;
  const double widest = models::PoppetValve(spec).widest();
  const double measured =
      models::PoppetValve(exhaust ? built.case_file.exhaust_valve : built.case_file.intake_valve)
          .widest();
  const auto greatest = [](const models::FlowCurve& curve) {
    return curve.area.empty() ? 0.0 : *std::max_element(curve.area.begin(), curve.area.end());
  };
  for (const auto& cylinder : built.engine.cylinders) {
    const models::PipeEnd end = exhaust ? cylinder.exhaust : cylinder.intake;
    const double area = port_area(built.engine, end);
    if (measured <= area) continue;
    const bool reverse = greatest(spec.reverse) > greatest(spec.forward);
    const std::string key = flow_key(problems, exhaust ? "exhaust_valve" : "intake_valve", reverse);
    const std::string message = fmt::format(
        "opens an effective area of {}, but the port of cylinder {} in header "
        "\"{}\" has {} ({}, {} in line {})",
        problems.shown().area(measured), cylinder.number, built.header.name,
        problems.shown().area(area), problems.shown().length(models::circle_diameter(area)),
        port_key(built, exhaust), problems.line_of(port_key(built, exhaust)));
    const std::string advice =
        "a port passes at least what its valve does: check flow, depression and count, or make the "
        "port wider";
    if (widest > area) {
      problems.add(key, message, advice);
    } else if (!remarked) {
      problems.remark(key, message + ", which is used instead", advice);
      remarked = true;
    }
    return;
  }
}

}  // namespace

void check_built(const CaseFile& case_file, Problems& problems) {
  bool exhaust_remarked = false, intake_remarked = false;
  for (std::size_t i = 0; i < case_file.headers.size(); ++i) {
    const HeaderDesign& header = case_file.headers[i];
    const BuiltHeader built{case_file, header, fmt::format("header[{}]", i + 1),
                            build_engine(case_file, header)};
    check_cells(built, problems);
    check_names_of(built, built.engine.pipes, "pipe", problems);
    check_names_of(built, built.engine.junctions, "junction", problems);
    if (problems.any() || !case_file.has_engine()) continue;
    check_port(built, true, problems, exhaust_remarked);
    check_port(built, false, problems, intake_remarked);
  }
}

}  // namespace pulsewright::cases
