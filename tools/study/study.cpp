#include "tools/study/study.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>
#include <stdexcept>

#include "models/figures/absorbed_pulse.hpp"
#include "models/figures/cycle_record.hpp"
#include "models/figures/merge_figures.hpp"
#include "models/network/repeated_parts.hpp"
#include "tools/study/run_list.hpp"
#include "tools/version.hpp"

namespace pulsewright::tools {

namespace {

// Heat of combustion of the variant with cooler gas over that of the case: combustion efficiency
// 0.86 for 0.92. A rich mixture at full load releases between about 0.85 and 0.95 of the heat
// (common practice, no source), so the temperature of the exhaust gas is known no better.
constexpr double cooler_factor = 0.86 / 0.92;

// Names become groups of the results file: letters, digits, '_' and '-' only.
std::string plain_name(const std::string& name, std::size_t number) {
  std::string safe;
  for (const char c : name) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                       c == '-' || c == '_';
    safe += plain ? c : '_';
  }
  return safe == name ? safe : fmt::format("{}_{}", safe, number);
}

// One group for each header: what is added to a name may make it that of another one.
std::vector<std::string> group_names(const std::vector<const cases::HeaderDesign*>& headers) {
  std::vector<std::string> names;
  for (const auto* header : headers) {
    std::string name = plain_name(header->name, names.size() + 1);
    while (std::find(names.begin(), names.end(), name) != names.end()) name += '_';
    names.push_back(std::move(name));
  }
  return names;
}

// Whether a junction joins the end of a pipe to one other pipe alone, as at a sudden step.
bool joins_two(const models::EngineSpecification& engine, int pipe) {
  return std::any_of(engine.junctions.begin(), engine.junctions.end(), [&](const auto& junction) {
    return junction.branches.size() == 2 &&
           std::any_of(junction.branches.begin(), junction.branches.end(), [&](const auto& branch) {
             return branch.end.pipe == pipe && branch.end.side == models::Side::right;
           });
  });
}

// Of a primary in several pieces the last one, which ends at the merge or in the open.
void lengthen_primaries(models::EngineSpecification& engine, double added) {
  for (const auto& path : engine.exhaust_paths) {
    if (path.pipes.empty()) continue;
    auto last = path.pipes.begin();
    while (last + 1 != path.pipes.end() && joins_two(engine, *last)) ++last;
    engine.pipes[static_cast<std::size_t>(*last)].length += added;
  }
}

models::EngineSpecification without_pulse(const models::EngineSpecification& engine, int number) {
  const auto at = std::find_if(engine.cylinders.begin(), engine.cylinders.end(),
                               [&](const auto& cylinder) { return cylinder.number == number; });
  return models::with_pulse_absorbed(engine,
                                     static_cast<std::size_t>(at - engine.cylinders.begin()));
}

}  // namespace

Study::Study(const cases::CaseFile& case_file, StudyOptions options)
    : case_(case_file), options_(std::move(options)) {
  if (!case_.has_engine()) {
    throw std::invalid_argument("the case has pipes only, no engine to compare headers on");
  }
  choose_headers_and_speeds();
  choose_variants();
  plan_study();
}

void Study::choose_headers_and_speeds() {
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
}

void Study::choose_variants() {
  std::vector<RunVariant> of_all{production_grid, coarse_grid};
  if (!options_.quick) {
    if (*options_.law == models::JunctionLaw::momentum) {  // the others have no such constants
      of_all.push_back(with_coupling(models::MergeCoupling::weak));
      of_all.push_back(with_coupling(models::MergeCoupling::strong));
    }
    if (case_.build_tolerance > 0) of_all.push_back(longer_primaries);
    of_all.push_back(cooler_gas);
  }
  variants_.assign(headers_.size(), of_all);
  if (options_.interference) add_absorbed_pulses();
  add_companions();
}

// One variant per cylinder.
void Study::add_absorbed_pulses() {
  for (std::size_t h = 0; h < headers_.size(); ++h) {
    const auto spec = engine(h, 0);
    for (std::size_t i = 0; i < spec.cylinders.size(); ++i) {
      if (!models::has_merge_entry(spec, i)) {
        throw std::invalid_argument(
            fmt::format("interference: in header '{}' the exhaust of cylinder {} meets no other "
                        "one at a merge; leave the header out or do without",
                        headers_[h]->name, spec.cylinders[i].number));
      }
      if (h > 0) continue;
      for (auto& own : variants_) own.push_back(without_pulse_of(spec.cylinders[i].number));
    }
  }
}

// In an order that does not depend on which were asked for first.
void Study::add_companions() {
  const auto number_of = [&](const std::string& name) {
    const auto at = std::find_if(headers_.begin(), headers_.end(),
                                 [&](const auto* header) { return header->name == name; });
    return static_cast<std::size_t>(at - headers_.begin());
  };
  for (std::size_t h = 0; h < headers_.size(); ++h) {
    std::set<std::pair<std::size_t, cases::HeaderParts>> chosen;  // source, parts
    for (const Companion& companion : options_.companions) {
      const std::size_t source = number_of(companion.source);
      if (companion.header != headers_[h]->name || source == headers_.size()) continue;
      try {
        cases::mixed_header(case_, *headers_[h], *headers_[source], companion.parts);
        chosen.emplace(source, companion.parts);
      } catch (const std::invalid_argument&) {  // a case that was changed
      }
    }
    for (const auto& [source, parts] : chosen) {
      variants_[h].push_back(with_parts(parts, static_cast<int>(source) + 1));
    }
  }
}

bool Study::has_run(std::size_t header, std::size_t speed, std::size_t variant) const {
  const auto& own = options_.companion_speeds;
  return variants_[header][variant].kind != VariantKind::mixed_header ||
         std::find(own.begin(), own.end(), plan_.speeds[speed]) != own.end();
}

void Study::plan_study() {
  const auto& settings = case_.run.settings;
  plan_.title = case_.title;
  plan_.case_text = case_.text;
  plan_.case_file = case_.file_name;
  plan_.program_version = std::string(program_version);
  plan_.commit = std::string(program_commit);
  plan_.settings = {.courant = settings.courant,
                    .tolerance = settings.tolerance,
                    .most_cycles = settings.most_cycles,
                    .quick = options_.quick,
                    .band_from = options_.band ? options_.band->first : case_.run.band_from,
                    .band_to = options_.band ? options_.band->second : case_.run.band_to,
                    .build_tolerance = case_.build_tolerance};
  plan_.ambient_pressure = case_.ambient.pressure;
  plan_.ambient_temperature = case_.ambient.temperature;
  plan_.speeds = options_.speeds;
  plan_.trace_points = static_cast<std::size_t>(settings.trace_points);
  plan_.wave_angles = static_cast<std::size_t>(settings.wave_angles);
  for (std::size_t i = 0; i < plan_.speeds.size(); ++i) {
    for (const double wave_speed : case_.run.wave_speeds) {
      if (std::abs(wave_speed - plan_.speeds[i]) < 1e-6) plan_.wave_speed_indices.push_back(i);
    }
  }
  const std::vector<std::string> groups = group_names(headers_);
  for (std::size_t h = 0; h < headers_.size(); ++h) {
    first_run_.push_back(plan_.headers.size());
    for (std::size_t v = 0; v < variants_[h].size(); ++v) {
      const models::EngineSpecification spec = engine(h, v);
      plan_.headers.push_back(plan_header(h, variants_[h][v], spec));
      plan_.headers.back().group = groups[h];
      auto& cells = cells_.emplace_back();
      const auto parts = models::parts_to_compute(spec, settings);
      for (const auto& pipe : parts.computed.pipes) cells.push_back(pipe.cells());
    }
  }
}

double Study::cell_size(const RunVariant& variant) const {
  return options_.cell_size * (variant == production_grid ? 1.0 : coarse_grid_ratio);
}

cases::HeaderDesign Study::design(std::size_t header, const RunVariant& variant) const {
  if (variant.kind != VariantKind::mixed_header) return *headers_[header];
  return cases::mixed_header(case_, *headers_[header],
                             *headers_[static_cast<std::size_t>(variant.source) - 1],
                             variant.parts);
}

models::EngineSpecification Study::engine(std::size_t header, std::size_t variant) const {
  const RunVariant& v = variants_[header][variant];
  cases::BuildOptions build;
  build.cell_size = cell_size(v);
  build.law = *options_.law;
  build.coupling = v.coupling;
  models::EngineSpecification engine = cases::build_engine(case_, design(header, v), build);
  if (v.kind == VariantKind::cooler_gas) engine.combustion.efficiency *= cooler_factor;
  if (v.kind == VariantKind::longer_primaries) lengthen_primaries(engine, case_.build_tolerance);
  return v.kind == VariantKind::absorbed_pulse ? without_pulse(engine, v.cylinder) : engine;
}

HeaderPlan Study::plan_header(std::size_t header, const RunVariant& variant,
                              const models::EngineSpecification& engine) const {
  const cases::HeaderDesign planned = design(header, variant);
  HeaderPlan plan;
  plan.variant = variant;
  plan.name = planned.name;
  plan.kind = planned.kind;
  plan.junction_law = *options_.law;
  plan.cell_size = cell_size(variant);
  plan.groups = planned.groups;
  plan.primary_length = planned.primary_length;
  for (const auto& cylinder : engine.cylinders) plan.cylinder_numbers.push_back(cylinder.number);
  plan.merges = models::merge_names(engine);
  plan.merge_slots = engine.cylinders.size();
  for (const auto& pipe : engine.pipes) plan.pipes.push_back(pipe.name);
  for (const std::size_t i : models::tail_ends(engine)) {
    plan.tails.push_back(engine.pipes[static_cast<std::size_t>(engine.open_ends[i].end.pipe)].name);
  }
  for (const auto& probe : engine.probes) plan.probes.push_back(probe.name);
  plan.traces = variant == production_grid;
  if (plan.traces && !plan_.wave_speed_indices.empty()) {
    const auto& settings = case_.run.settings;
    const models::WaveDiagram axes =
        models::wave_axes(engine, settings.wave_cylinder, settings.wave_angles);
    plan.wave_distance = axes.distance;
    plan.wave_pipe_start = axes.pipe_start;
    plan.wave_pipe_names = axes.pipe_name;
  }
  return plan;
}

models::RunSettings Study::settings_at(std::size_t speed, const RunVariant& variant) const {
  models::RunSettings settings = case_.run.settings;
  const auto& stored = plan_.wave_speed_indices;
  settings.store_traces = settings.second_pattern = variant == production_grid;
  settings.store_wave_diagram =
      settings.store_traces && std::find(stored.begin(), stored.end(), speed) != stored.end();
  return settings;
}

std::unique_ptr<models::PointSimulation> Study::make_run(
    std::size_t header, std::size_t speed, std::size_t variant,
    const models::PointSimulation* start) const {
  models::RunSettings settings = settings_at(speed, variants_[header][variant]);
  if (start) {
    settings.least_cycles = least_cycles_after_start(settings.least_cycles);
    // Whether the engine repeats is found out on the production grid.
    settings.accelerate = variants_[header][variant] != production_grid;
  }
  auto run = std::make_unique<models::PointSimulation>(engine(header, variant), plan_.speeds[speed],
                                                       settings);
  if (start) run->start_from(*start);
  return run;
}

}  // namespace pulsewright::tools
