#include "cases/part_figures.hpp"

#include <cmath>
#include <numbers>

#include "cases/engine_figures.hpp"
#include "cases/flow_bench.hpp"
#include "cases/header_builder.hpp"
#include "cases/tail_parts.hpp"
#include "models/sizing/circle.hpp"
#include "solver/gas/gas.hpp"

namespace pulsewright::cases {
namespace {

constexpr double exhaust_gamma = 1.33;  // at 900 K, from memory

double exhaust_sound_speed() {
  return std::sqrt(exhaust_gamma * air_gas_constant * part_gas_temperature);
}

void add_catalyst(const CaseFile& case_file, const TailPart& part, PartFigures& out) {
  const Brick brick = brick_of(part);
  out.open_share = brick.open_share;
  out.channel_diameter = brick.channel_diameter;
  if (out.flow == 0) return;
  const double area = brick.open_share * models::circle_area(part.diameter);
  const double rho = case_file.ambient.pressure / (air_gas_constant * part_gas_temperature);
  const double u = out.flow / (rho * area);
  const double mu = solver::viscosity_sutherland(part_gas_temperature);
  const double d = brick.channel_diameter;
  out.laminar_loss = 0.5 * brick.laminar_friction * mu * part.length * u / (d * d);
  out.entrance_loss = 0.5 * brick.entrance_loss * rho * u * u;
  out.channel_reynolds = rho * u * d / mu;
}

void add_back_pressure(const CaseFile& case_file, const TailPart& part, PartFigures& out) {
  const double ambient = case_file.ambient.pressure;
  const double K = back_pressure_loss(part, models::circle_area(out.bore), ambient);
  out.loss_coefficient = K;
  // m = A sqrt(2 rho p), rho at the air outside.
  const double rho = ambient / (air_gas_constant * part.temperature);
  out.orifice_area = part.mass_flow / std::sqrt(2 * rho * part.pressure);
  if (out.flow == 0) return;
  const double flux = out.flow / models::circle_area(out.bore);
  const double beyond = K * air_gas_constant * part_gas_temperature * flux * flux;
  out.back_pressure = std::sqrt(ambient * ambient + beyond) - ambient;
}

void add_chamber(const TailPart& part, double bore, PartFigures& out) {
  const double m = models::circle_area(part.diameter) / models::circle_area(bore);
  out.area_ratio = m;
  out.frequency = exhaust_sound_speed() / (4 * part.length);
  out.chamber_loss = 10 * std::log10(1 + 0.25 * (m - 1 / m) * (m - 1 / m));
}

PartFigures figures_of(const CaseFile& case_file, const TailPart& part, double bore, double flow) {
  PartFigures out;
  out.bore = bore_behind(part, bore);
  out.flow = flow;
  switch (part.kind) {
    case PartKind::pipe:
      break;
    case PartKind::catalyst:
      add_catalyst(case_file, part, out);
      break;
    case PartKind::straight_through:
      add_chamber(part, out.bore, out);
      out.space_volume = part.length * (models::circle_area(part.diameter) -
                                        models::circle_area(out.bore + 2 * part.core_wall));
      break;
    case PartKind::chamber:
      add_chamber(part, bore, out);
      break;
    case PartKind::quarter_wave:
      out.frequency = exhaust_sound_speed() / (4 * resonator_length(part, bore));
      break;
    case PartKind::helmholtz: {
      const double neck =
          models::circle_area(part.tube.inside_diameter) / resonator_length(part, bore);
      out.frequency =
          exhaust_sound_speed() / (2 * std::numbers::pi) * std::sqrt(neck / part.volume);
      break;
    }
    case PartKind::back_pressure:
      add_back_pressure(case_file, part, out);
      break;
  }
  return out;
}

}  // namespace

std::vector<PartFigures> part_figures(const CaseFile& case_file, const HeaderDesign& header) {
  std::vector<PartFigures> figures;
  if (header.parts.empty()) return figures;
  HeaderDesign bare = header;
  bare.parts.clear();
  bare.probes.clear();
  const models::EngineSpecification engine = build_engine(case_file, bare);
  const std::vector<TailChain> chains = tail_chains(engine, header);
  std::size_t outlets = 0;
  for (const auto& open : engine.open_ends) outlets += open.end.side == models::Side::right;
  const double density =
      case_file.ambient.pressure / (air_gas_constant * case_file.ambient.temperature);
  const double flow = air_demand(case_file) * density / static_cast<double>(outlets);
  for (const TailChain& chain : chains) {
    double bore = chain.bore;
    for (const std::size_t i : chain.parts) {
      figures.push_back(figures_of(case_file, header.parts[i], bore, flow));
      figures.back().part = i;
      bore = bore_behind(header.parts[i], bore);
    }
    if (header.kind != HeaderKind::network) break;
  }
  return figures;
}

double air_demand(const CaseFile& case_file) {
  if (!case_file.has_engine() || case_file.run.speeds.empty()) return 0;
  return engine_figures(case_file).displacement * case_file.run.speeds.back() / 2;
}

}  // namespace pulsewright::cases
