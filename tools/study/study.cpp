#include "tools/study/study.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "models/figures/absorbed_pulse.hpp"
#include "tools/version.hpp"

namespace pulsewright::tools {

namespace {

constexpr double coarse_factor = 3.0;

// Names become groups of the results file: letters, digits, '.', '_' and '-' only.
std::string group_name(const std::string& name, std::size_t number) {
  std::string safe;
  for (const char c : name) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                       c == '-' || c == '_';
    safe += plain ? c : '_';
  }
  return safe == name ? safe : fmt::format("{}_{}", safe, number);
}

std::string grouping_json(const cases::HeaderDesign& header) {
  nlohmann::json groups = nlohmann::json::array();
  for (const auto& group : header.groups) {
    groups.push_back({{"name", group.name},
                      {"cylinders", group.cylinders},
                      {"interval_deg", group.interval_deg},
                      {"position", group.position},
                      {"parts", group.parts}});
  }
  nlohmann::json lengths = nlohmann::json::object();
  for (const auto& [number, length] : header.primary_length) {
    lengths[std::to_string(number)] = length;
  }
  return nlohmann::json{{"groups", groups}, {"primary_length_m", lengths}}.dump();
}

void lengthen_primaries(models::EngineSpecification& engine, double added) {
  for (const auto& path : engine.exhaust_paths) {
    if (!path.pipes.empty())
      engine.pipes[static_cast<std::size_t>(path.pipes.front())].length += added;
  }
}

}  // namespace

Study::Study(const cases::CaseFile& case_file, StudyOptions options)
    : case_(case_file), options_(std::move(options)) {
  if (!case_.has_engine()) {
    throw std::invalid_argument("the case has pipes only, no engine to compare headers on");
  }
  if (options_.headers.empty()) {
    for (const auto& header : case_.headers) headers_.push_back(&header);
  }
  for (const auto& name : options_.headers) headers_.push_back(&cases::find_header(case_, name));
  if (options_.speeds.empty()) options_.speeds = case_.run.speeds;
  std::sort(options_.speeds.begin(), options_.speeds.end());
  options_.speeds.erase(std::unique(options_.speeds.begin(), options_.speeds.end()),
                        options_.speeds.end());
  if (options_.cell_size <= 0) options_.cell_size = case_.run.cell_size;
  if (!options_.law) options_.law = case_.exhaust.law;

  variants_.push_back({"", 1.0, std::nullopt, 0.0, std::nullopt});
  variants_.push_back({"coarse", coarse_factor, std::nullopt, 0.0, std::nullopt});
  if (!options_.quick) {
    for (const auto law : {models::JunctionLaw::momentum, models::JunctionLaw::constant_pressure,
                           models::JunctionLaw::plenum}) {
      if (law == *options_.law) continue;
      std::string suffix = "law-" + std::string(cases::law_name(law));
      std::replace(suffix.begin(), suffix.end(), '_', '-');
      variants_.push_back({suffix, coarse_factor, law, 0.0, std::nullopt});
    }
    if (case_.build_tolerance > 0) {
      variants_.push_back(
          {"longer", coarse_factor, std::nullopt, case_.build_tolerance, std::nullopt});
    }
  }
  if (options_.interference) add_absorbed_pulses();

  const auto& settings = case_.run.settings;
  plan_.title = case_.title;
  plan_.case_text = case_.text;
  plan_.case_file = case_.file_name;
  plan_.program_version = std::string(program_version);
  plan_.commit = std::string(program_commit);
  plan_.settings_json = nlohmann::json{{"courant", settings.courant},
                                       {"tolerance", settings.tolerance},
                                       {"most_cycles", settings.most_cycles},
                                       {"quick", options_.quick},
                                       {"band_from_rpm", 60.0 * case_.run.band_from},
                                       {"band_to_rpm", 60.0 * case_.run.band_to},
                                       {"build_tolerance_m", case_.build_tolerance}}
                            .dump();
  plan_.ambient_pressure = case_.ambient.pressure;
  plan_.ambient_temperature = case_.ambient.temperature;
  plan_.speeds = options_.speeds;
  plan_.trace_points = static_cast<std::size_t>(settings.trace_points);
  plan_.wave_angles = static_cast<std::size_t>(settings.wave_angles);
  for (std::size_t i = 0; i < plan_.speeds.size(); ++i) {
    for (const double wanted : case_.run.wave_speeds) {
      if (std::abs(wanted - plan_.speeds[i]) < 1e-6) plan_.wave_speed_indices.push_back(i);
    }
  }
  for (std::size_t h = 0; h < headers_.size(); ++h) {
    for (std::size_t v = 0; v < variants_.size(); ++v) plan_.headers.push_back(plan_header(h, v));
  }
}

models::EngineSpecification Study::engine(std::size_t header, std::size_t variant) const {
  const StudyVariant& v = variants_[variant];
  cases::BuildOptions build;
  build.cell_size = options_.cell_size * v.cell_factor;
  build.law = v.law ? v.law : options_.law;
  models::EngineSpecification engine = cases::build_engine(case_, *headers_[header], build);
  if (v.added_length != 0) lengthen_primaries(engine, v.added_length);
  return v.absorbed ? models::with_pulse_absorbed(engine, *v.absorbed) : engine;
}

// One variant per cylinder.
void Study::add_absorbed_pulses() {
  const std::size_t whole = 0;  // number of the variant without changes
  for (std::size_t h = 0; h < headers_.size(); ++h) {
    const auto spec = engine(h, whole);
    for (std::size_t i = 0; i < spec.cylinders.size(); ++i) {
      if (!models::has_merge_entry(spec, i)) {
        throw std::invalid_argument(
            fmt::format("interference: in header '{}' the exhaust of cylinder {} meets no other "
                        "one at a merge; leave the header out or do without",
                        headers_[h]->name, spec.cylinders[i].number));
      }
      if (h > 0) continue;
      variants_.push_back({fmt::format("absorbed-{}", spec.cylinders[i].number), coarse_factor,
                           std::nullopt, 0.0, i});
    }
  }
}

HeaderPlan Study::plan_header(std::size_t header, std::size_t variant) const {
  const cases::HeaderDesign& header_ = *headers_[header];
  const StudyVariant& v = variants_[variant];
  const models::EngineSpecification spec = engine(header, variant);
  HeaderPlan plan;
  plan.group = group_name(header_.name, header + 1);
  plan.name = header_.name;
  plan.kind = std::string(cases::kind_name(header_.kind));
  if (!v.suffix.empty()) plan.group += "/variants/" + v.suffix;
  plan.junction_law = std::string(cases::law_name(v.law ? *v.law : *options_.law));
  plan.cell_size = options_.cell_size * v.cell_factor;
  for (const auto& cylinder : spec.cylinders) plan.cylinder_numbers.push_back(cylinder.number);
  plan.merges = models::merge_names(spec);
  plan.merge_slots = spec.cylinders.size();
  for (const auto& pipe : spec.pipes) plan.pipes.push_back(pipe.name);
  for (const std::size_t i : models::tail_ends(spec)) {
    plan.tails.push_back(spec.pipes[static_cast<std::size_t>(spec.open_ends[i].end.pipe)].name);
  }
  plan.grouping_json = grouping_json(header_);
  plan.traces = v.suffix.empty();
  if (plan.traces && !plan_.wave_speed_indices.empty()) {
    const models::PointSimulation run(spec, plan_.speeds.front(), case_.run.settings);
    const models::WaveDiagram axes =
        models::wave_axes(spec, case_.run.settings.wave_cylinder, case_.run.settings.wave_angles,
                          run.network().pipes());
    plan.wave_distance = axes.distance;
    plan.wave_pipe_start = axes.pipe_start;
    plan.wave_pipe_names = axes.pipe_name;
  }
  return plan;
}

models::RunSettings Study::settings_at(std::size_t speed, bool production_grid) const {
  models::RunSettings settings = case_.run.settings;
  const auto& stored = plan_.wave_speed_indices;
  settings.store_traces = production_grid;
  settings.store_wave_diagram =
      production_grid && std::find(stored.begin(), stored.end(), speed) != stored.end();
  return settings;
}

std::unique_ptr<models::PointSimulation> Study::make_run(
    std::size_t header, std::size_t speed, std::size_t variant,
    const models::PointSimulation* start) const {
  auto run = std::make_unique<models::PointSimulation>(engine(header, variant), plan_.speeds[speed],
                                                       settings_at(speed, variant == 0));
  if (start) run->start_from(*start);
  return run;
}

std::vector<std::size_t> Study::cells_of_pipes(std::size_t header, std::size_t variant) const {
  std::vector<std::size_t> cells;
  for (const auto& pipe : engine(header, variant).pipes) cells.push_back(pipe.cells());
  return cells;
}

}  // namespace pulsewright::tools
