#include "models/network/pipe_wall.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "solver/gas/fault.hpp"

namespace pulsewright::models {

namespace {

constexpr double stefan_boltzmann = 5.670374419e-8;  // W/(m2 K4), CODATA 2018

// Crane TP-410: equivalent length over diameter of a 90 degree bend against r/d.
constexpr std::array<double, 8> bend_radius{1, 1.5, 2, 3, 4, 6, 8, 10};
constexpr std::array<double, 8> bend_length{20, 14, 12, 12, 14, 17, 24, 30};

double equivalent_length(double r_over_d) {
  if (r_over_d <= bend_radius.front()) return bend_length.front();
  for (std::size_t i = 1; i < bend_radius.size(); ++i) {
    if (r_over_d <= bend_radius[i]) {
      const double t = (r_over_d - bend_radius[i - 1]) / (bend_radius[i] - bend_radius[i - 1]);
      return bend_length[i - 1] + t * (bend_length[i] - bend_length[i - 1]);
    }
  }
  return bend_length.back() * r_over_d / bend_radius.back();
}

// The roughness term of Haaland's logarithm, which does not change with the flow.
double haaland_roughness(double relative_roughness) {
  return std::pow(relative_roughness / 3.7, 1.11);
}

template <class Real>
Real haaland(const Real& Re, const Real& roughness) {
  const Real root = -1.8 / std::numbers::ln10 * solver::log(Real(roughness + 6.9 / Re));
  return 1.0 / (root * root);
}

template <class Real>
Real exhaust_nusselt(const Real& Re) {
  return 0.0483 * solver::pow(Re, Real(0.783));
}

template <class Real>
Real manifold_nusselt(const Real& Re) {
  const Real root = solver::sqrt(Re);
  return 0.07 * root * solver::sqrt(root);
}

// Pr^(-2/3) of the Chilton-Colburn analogy.
const double colburn = std::pow(solver::prandtl_number, -2.0 / 3.0);

}  // namespace

double friction_factor_haaland(double Re, double relative_roughness) {
  return haaland(Re, haaland_roughness(relative_roughness));
}

double bend_loss(const Bend& bend, double diameter, double roughness) {
  const double r_over_d = bend.centreline_radius / diameter;
  const double f_rough = friction_factor_haaland(1e9, std::max(roughness, 1e-6) / diameter);
  const double arc = std::numbers::pi / 2.0 * r_over_d;
  return f_rough * std::max(0.0, equivalent_length(r_over_d) - arc) * bend.angle_deg / 90.0;
}

double diffuser_loss(double angle_deg, double area_ratio) {
  const double half = std::min(0.5 * angle_deg, 89.0) * std::numbers::pi / 180.0;
  const double sudden = 1.0 - 1.0 / area_ratio;
  return std::min(1.0, 3.2 * std::pow(std::tan(half), 1.25)) * sudden * sudden;
}

double contraction_loss(double area_ratio) { return 0.5 * std::pow(1.0 - area_ratio, 0.75); }

double nusselt_exhaust(double Re) { return exhaust_nusselt(Re); }

double balanced_wall_temperature(const Wall& wall, double h, double T_gas, double diameter) {
  if (wall.finish == WallFinish::fixed) return wall.temperature;
  const double r_in = 0.5 * diameter;
  const double r_metal = r_in + wall.thickness;
  const double r_out = r_metal + wall.layer_thickness;
  // Thermal resistance per metre of pipe, K m/W.
  const double two_pi = 2.0 * std::numbers::pi;
  const double inside = 1.0 / (two_pi * r_in * std::max(h, 1e-9));
  double through = std::log(r_metal / r_in) / (two_pi * wall.conductivity);
  if (wall.layer_thickness > 0) {
    through += std::log(r_out / r_metal) / (two_pi * wall.layer_conductivity);
  }
  const double T_a = wall.outside_temperature;
  const auto given_off = [&](double T_s) {  // W per metre
    return two_pi * r_out *
           (wall.outside_coefficient * (T_s - T_a) +
            wall.emissivity * stefan_boltzmann * (T_s * T_s * T_s * T_s - T_a * T_a * T_a * T_a));
  };
  // Heat given off minus heat supplied rises with T_s, is convex, and is positive at the
  // hotter of both: from there Newton's steps come down to the root and never pass it.
  double T_s = std::max(T_gas, T_a);
  for (int i = 0; i < 40; ++i) {
    const double slope = two_pi * r_out *
                             (wall.outside_coefficient +
                              4.0 * wall.emissivity * stefan_boltzmann * T_s * T_s * T_s) +
                         1.0 / (inside + through);
    const double step = (given_off(T_s) - (T_gas - T_s) / (inside + through)) / slope;
    T_s -= step;
    if (std::abs(step) < 1e-12 * T_s) return T_s + given_off(T_s) * through;
  }
  return std::numeric_limits<double>::quiet_NaN();
}

PipeWall::PipeWall(const PipeSpecification& spec, solver::Pipe& pipe)
    : spec_(spec), loss_per_length_(spec.extra_loss / spec.length) {
  double mean_diameter = 0;
  for (std::size_t i = 0; i < pipe.cells(); ++i) {
    const auto k = static_cast<std::ptrdiff_t>(i);
    mean_diameter += pipe.hydraulic_diameter[k] / static_cast<double>(pipe.cells());
    pipe.hydraulic_diameter[k] *= spec.hydraulic_ratio;
    if (spec.channel_diameter > 0) pipe.hydraulic_diameter[k] = spec.channel_diameter;
    pipe.T_wall[k] = spec.wall.temperature;
    roughness_.push_back(haaland_roughness(spec.roughness / pipe.hydraulic_diameter[k]));
  }
  for (const Bend& bend : spec.bends) {
    loss_per_length_ += bend_loss(bend, mean_diameter, spec.roughness) / spec.length;
  }
  if (spec.friction) {
    spread_cones(pipe);
    spread_entries(pipe);
  }
  hold_cooled(pipe);
}

void PipeWall::hold_cooled(solver::Pipe& pipe) const {
  for (std::size_t i = 0; i < pipe.cells() && pipe.centre(i) < spec_.cooled_length; ++i) {
    pipe.T_wall[static_cast<std::ptrdiff_t>(i)] = spec_.cooled_temperature;
  }
}

void PipeWall::spread_cones(const solver::Pipe& pipe) {
  for (std::size_t s = 1; s < spec_.profile.size(); ++s) {
    const ProfilePoint& a = spec_.profile[s - 1];
    const ProfilePoint& b = spec_.profile[s];
    if (a.diameter == b.diameter) continue;
    const double narrow = std::min(a.diameter, b.diameter);
    const double wide = std::max(a.diameter, b.diameter);
    const double length = b.x - a.x;
    const double angle = 360.0 / std::numbers::pi * std::atan2(0.5 * (wide - narrow), length);
    const double K = diffuser_loss(angle, wide * wide / (narrow * narrow));
    auto& cones = b.diameter > a.diameter ? local_right_ : local_left_;
    cones.resize(pipe.cells(), 0.0);
    for (std::size_t i = 0; i < pipe.cells(); ++i) {
      const double from = std::max(a.x, pipe.centre(i) - 0.5 * pipe.dx());
      const double to = std::min(b.x, pipe.centre(i) + 0.5 * pipe.dx());
      if (!(to > from)) continue;
      // The head falls with the square of the area, the loss per length is the same along the cone.
      const double widening = diameter_at(spec_.profile, 0.5 * (from + to)) / narrow;
      cones[i] += K * std::pow(widening, 4) * (to - from) / (length * pipe.dx());
    }
  }
}

void PipeWall::spread_entries(const solver::Pipe& pipe) {
  const auto spread = [&](double K, double diameter, std::vector<double>& losses, bool from_left) {
    if (!(K > 0)) return;
    losses.resize(pipe.cells(), 0.0);
    const double length = std::min(diameter, pipe.length());
    for (std::size_t i = 0; i < pipe.cells(); ++i) {
      const double near = static_cast<double>(i) * pipe.dx();  // m from the end to the cell
      const double within = std::min(length - near, pipe.dx());
      if (!(within > 0)) break;
      losses[from_left ? i : pipe.cells() - 1 - i] += K * within / (length * pipe.dx());
    }
  };
  spread(spec_.left_entry_loss, spec_.profile.front().diameter, local_right_, true);
  spread(spec_.right_entry_loss, spec_.profile.back().diameter, local_left_, false);
}

void PipeWall::accumulate_heat_transfer(solver::Pipe& pipe) {
  for (std::size_t i = 0; i < pipe.cells(); ++i) {
    const auto k = static_cast<std::ptrdiff_t>(i);
    pipe.heat_transfer_dt[k] += pipe.heat_transfer[k] * pipe.heat_transfer_time;
  }
  pipe.heat_transfer_time = 0;
}

void PipeWall::renew(const solver::Gas& gas, solver::Pipe& pipe) const {
  using Real = solver::Pack;
  accumulate_heat_transfer(pipe);
  const double laminar_factor = 0.5 * spec_.laminar_friction;
  for (std::size_t first = 0; first < pipe.cells(); first += solver::lanes<Real>) {
    // The last pack repeats the last cell.
    const auto cell = [&](std::size_t lane) { return std::min(first + lane, pipe.cells() - 1); };
    const auto at = [&](const solver::CellArray& w) {
      return Real([&](auto lane) { return w[static_cast<std::ptrdiff_t>(cell(lane))]; });
    };
    const auto of_cells = [&](const std::vector<double>& w) {
      return w.empty() ? Real(0.0) : Real([&](auto lane) { return w[cell(lane)]; });
    };
    const auto put = [&](solver::CellArray& w, const Real& values) {
      for (std::size_t lane = 0; lane < solver::lanes<Real>; ++lane) {
        w[static_cast<std::ptrdiff_t>(cell(lane))] = values[lane];
      }
    };
    const Real D = at(pipe.hydraulic_diameter);
    const Real T = at(pipe.T);
    const Real u = at(pipe.u);
    const Real mu = solver::viscosity_sutherland(T);
    const Real flow = at(pipe.rho) * solver::abs(u);
    const Real Re = flow * D / mu;
    const auto laminar = Re < 2300.0;
    const Real f = haaland(solver::max(Re, Real(2300.0)), of_cells(roughness_));
    const Real local =
        loss_per_length_ + solver::select(u > 0.0, of_cells(local_right_), of_cells(local_left_));
    const Real none = 0.0;
    put(pipe.laminar,
        spec_.friction ? solver::select(laminar, Real(laminar_factor * mu / (D * D)), none) : none);
    put(pipe.turbulent,
        (spec_.friction ? solver::select(laminar, none, Real(f / (2.0 * D))) : none) + 0.5 * local);
    if (spec_.heat == PipeHeatLaw::none) {
      put(pipe.heat_transfer, none);
      continue;
    }
    const Real cp = gas.cp(T, at(pipe.Y));
    const Real k_gas = solver::conductivity(T, cp);
    Real h = 3.66 * k_gas / D;
    if (spec_.heat == PipeHeatLaw::reynolds_analogy) {
      h = solver::select(laminar, h, solver::max(h, Real(f / 8.0 * flow * cp * colburn)));
    } else {
      const bool port = spec_.heat == PipeHeatLaw::exhaust_correlation;
      const Real nusselt = port ? exhaust_nusselt(Re) : manifold_nusselt(Re);
      h = solver::max(h, Real(nusselt * k_gas / D));
    }
    put(pipe.heat_transfer, spec_.heat_multiplier * h * 4.0 / D);
  }
}

double PipeWall::heat_to_gas(const solver::Pipe& pipe) {
  double sum = 0;
  for (std::size_t i = 0; i < pipe.cells(); ++i) {
    const auto k = static_cast<std::ptrdiff_t>(i);
    sum += pipe.volume[k] * pipe.wall_heat[k];
  }
  return sum;
}

double PipeWall::balance_temperature(solver::Pipe& pipe, double elapsed) const {
  accumulate_heat_transfer(pipe);
  double largest = 0;
  for (std::size_t i = 0; i < pipe.cells(); ++i) {
    const auto k = static_cast<std::ptrdiff_t>(i);
    const bool balanced =
        spec_.wall.finish != WallFinish::fixed && pipe.centre(i) >= spec_.cooled_length;
    if (pipe.heat_transfer_dt[k] > 0 && balanced) {
      const double D = pipe.hydraulic_diameter[k];
      const double h = pipe.heat_transfer_dt[k] / elapsed * D / 4.0;
      // Mean gas temperature weighted with heat_transfer: heat = sum of heat_transfer (T_wall - T)
      // dt.
      const double T_gas = pipe.T_wall[k] - pipe.wall_heat[k] / pipe.heat_transfer_dt[k];
      const double T_new = balanced_wall_temperature(spec_.wall, h, T_gas, D);
      if (!std::isfinite(T_new)) {
        throw solver::Fault(pipe.name(), "wall temperature in K", T_new, pipe.centre(i));
      }
      largest = std::max(largest, std::abs(T_new - pipe.T_wall[k]));
      pipe.T_wall[k] = T_new;
    }
    pipe.heat_transfer_dt[k] = 0;
    pipe.wall_heat[k] = 0;
  }
  return largest;
}

double PipeWall::mean_temperature(const solver::Pipe& pipe) {
  double sum = 0;
  for (std::size_t i = 0; i < pipe.cells(); ++i) sum += pipe.T_wall[static_cast<std::ptrdiff_t>(i)];
  return sum / static_cast<double>(pipe.cells());
}

}  // namespace pulsewright::models
