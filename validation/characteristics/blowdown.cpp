// The two methods compared with each other: a blowdown pulse in one pipe, and the cycle of a
// single-cylinder engine. They share the gas, the walls and the boundary fluxes of valve and open
// end.
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "models/engine/point_simulation.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "validation/characteristics/characteristics.hpp"
#include "validation/rig/one_cylinder.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::validation {

namespace {

using models::Method;
using models::Side;

constexpr double speed = 100;         // rev/s
constexpr double evo = 110;           // deg, exhaust valve opening
constexpr double open_for = 250;      // deg
constexpr double recorded_for = 200;  // deg

struct PressureHistory {
  std::vector<double> angle, valve, middle;  // deg after EVO, Pa at the valve and at 0.45 m
};

// An invented cylinder whose exhaust valve opens into a pipe of 0.9 m with an open end.
models::EngineSpecification blowdown_rig(double cell_size, bool anechoic_end) {
  models::EngineSpecification e;
  e.geometry = {0.086, 0.086, 0.143, 0.0, 10.5};
  e.cylinder_heat.multiplier = 0;
  e.exhaust_valve.opens_deg = evo;
  e.exhaust_valve.closes_deg = evo + open_for;
  e.intake_valve.opens_deg = evo + open_for;
  e.intake_valve.closes_deg = 600;
  models::PipeSpecification pipe;
  pipe.name = "primary";
  pipe.length = 0.9;
  pipe.profile = {{0.0, 0.040}};
  pipe.roughness = 30e-6;
  pipe.cell_size = cell_size;
  pipe.wall.temperature = 600;
  pipe.initial_temperature = 800;
  pipe.initial_burnt = 1;
  e.pipes.push_back(pipe);
  if (anechoic_end) {
    e.anechoic_ends.push_back({{0, Side::right}});
  } else {
    models::OpenEndSpecification open;
    open.end = {0, Side::right};
    open.entry_loss = 0.5;
    e.open_ends.push_back(open);
  }
  return e;
}

double mean_pressure(const solver::Pipe& pipe, double x) {
  const double cell = x / pipe.dx() - 0.5;
  const auto k = static_cast<std::ptrdiff_t>(cell);
  const double t = cell - static_cast<double>(k);
  return (1 - t) * pipe.p[k] + t * pipe.p[k + 1];
}

PressureHistory blow_down(Method method, double cell_size, bool anechoic_end) {
  const auto gas = solver::air_and_products(1.87);
  auto spec = blowdown_rig(cell_size, anechoic_end);
  models::EngineSpecification engine = spec;
  engine.cylinders.resize(1);
  OneCylinder cylinder(engine, speed);
  cylinder.fill(gas, 3.5e5, 1250, 1.0, evo);
  double angle = evo;
  double dt = 0;
  const double full_area = 0.5 * 0.25 * std::numbers::pi * 0.04 * 0.04;
  const double pipe_area = 0.25 * std::numbers::pi * 0.04 * 0.04;
  models::OrificeEndSpecification valve;
  valve.end = {0, Side::left};
  valve.reservoir = [&](double) {
    const auto seen = cylinder.reservoir(gas, dt);
    return models::GasState{seen.p, gas.temperature_from_enthalpy(seen.h_total, seen.Y), seen.Y};
  };
  valve.area_ratio = [&](double) {
    const double middle = angle + 0.5 * 360 * speed * dt;
    const double s = std::sin(std::numbers::pi * (middle - evo) / open_for);
    return full_area * s * s / pipe_area;
  };
  spec.orifice_ends.push_back(valve);
  PipeRig rig(spec, gas, method);
  PressureHistory history;
  while (angle < evo + recorded_for) {
    dt = std::min(rig.network().stable_step(0.9), 0.25 / (360 * speed));
    rig.step(dt);
    const auto& flux = rig.network().boundaries().of<models::OrificeEnd>()[0].flux(0);
    const double d_angle = 360 * speed * dt;
    cylinder.step(gas, angle, d_angle, dt,
                  {-pipe_area * flux.mass, -pipe_area * flux.energy, -pipe_area * flux.burnt}, {});
    angle += d_angle;
    history.angle.push_back(angle - evo);
    history.valve.push_back(flux.p);
    history.middle.push_back(mean_pressure(rig.pipe(0), 0.45));
  }
  return history;
}

struct Features {
  double height;        // Pa gauge, peak of the pulse at 0.45 m
  double arrival;       // deg after opening at which it has risen to half of that
  double low;           // Pa below ambient, at the valve
  double return_angle;  // deg: the pressure at the valve falls through ambient
};

double crossing(const std::vector<double>& x, const std::vector<double>& y, double level,
                bool rising, std::size_t from) {
  for (std::size_t i = from + 1; i < x.size(); ++i) {
    const double a = (y[i - 1] - level) * (rising ? 1 : -1);
    const double b = (y[i] - level) * (rising ? 1 : -1);
    if (a < 0 && b >= 0) return x[i - 1] + (x[i] - x[i - 1]) * a / (a - b);
  }
  return std::nan("");
}

Features features_of(const PressureHistory& w) {
  constexpr double p_out = 101325;
  const auto top = std::max_element(w.middle.begin(), w.middle.end());
  const auto peak = std::max_element(w.valve.begin(), w.valve.end());
  Features f{};
  f.height = *top - p_out;
  f.arrival = crossing(w.angle, w.middle, p_out + 0.5 * f.height, true, 0);
  f.low = p_out - *std::min_element(peak, w.valve.end());
  f.return_angle =
      crossing(w.angle, w.valve, p_out, false, static_cast<std::size_t>(peak - w.valve.begin()));
  return f;
}

// Greatest difference of the pressures at the valve at equal angles, Pa.
double greatest_difference(const PressureHistory& a, const PressureHistory& b) {
  double most = 0;
  std::size_t k = 0;
  for (std::size_t i = 0; i < a.angle.size(); ++i) {
    while (k + 1 < b.angle.size() && b.angle[k + 1] < a.angle[i]) ++k;
    if (a.angle[i] < b.angle[k] || k + 1 >= b.angle.size()) continue;
    const double t = (a.angle[i] - b.angle[k]) / (b.angle[k + 1] - b.angle[k]);
    most = std::max(most, std::abs(a.valve[i] - (b.valve[k] + t * (b.valve[k + 1] - b.valve[k]))));
  }
  return most;
}

}  // namespace

CaseReport blowdown_two_methods(Broken broken) {
  CaseReport report;
  report.title =
      "Blowdown pulse in 0.9 m of pipe: finite-volume method and method of characteristics";
  report.text =
      "An invented cylinder of half a litre at 3.5 bar and 1250 K discharges at 6000 rpm into a "
      "pipe of 40 mm and 0.9 m with friction, wall heat, gas of 800 K and an open end. Both "
      "methods on cells of 20, 10, 5 and 2.5 mm; the reference is the finite-volume method, the "
      "computed value that of the method of characteristics, on 2.5 mm unless stated otherwise.";
  const Source source{"the finite-volume method of this program, an independent method",
                      Confidence::computed};
  constexpr std::array<double, 4> cell_sizes{0.020, 0.010, 0.005, 0.0025};
  std::array<Features, 4> volumes{};
  std::array<Features, 4> lines{};
  std::array<double, 4> difference{};
  Plot valve{"pressure at the valve", "deg after EVO", "p, kPa", {}};
  Plot middle{"pressure at 0.45 m", "deg after EVO", "p, kPa", {}};
  for (std::size_t k = 0; k < cell_sizes.size(); ++k) {
    const PressureHistory a = blow_down(Method::finite_volume, cell_sizes[k], false);
    const PressureHistory b =
        blow_down(Method::characteristics, cell_sizes[k], broken == Broken::end_reflection);
    volumes[k] = features_of(a);
    lines[k] = features_of(b);
    difference[k] = greatest_difference(a, b);
    if (k != 0 && k + 1 != cell_sizes.size()) continue;
    const auto add = [&](const char* method, const PressureHistory& w) {
      Curve at_valve{fmt::format("{}, {} mm", method, 1e3 * cell_sizes[k]), w.angle, {}};
      Curve at_middle = at_valve;
      for (const double p : w.valve) at_valve.y.push_back(1e-3 * p);
      for (const double p : w.middle) at_middle.y.push_back(1e-3 * p);
      valve.curves.push_back(at_valve);
      middle.curves.push_back(at_middle);
    };
    add("finite-volume method", a);
    add("characteristics", b);
  }
  const double height = volumes[3].height;
  const std::string percent =
      "1 % of the height of the pulse: agreement to be expected of two methods";
  const std::string degree = "1 degree of crank";
  report.figures = {
      {"height of the pulse at 0.45 m", "Pa", height, lines[3].height, 0.01 * height, false,
       percent, source},
      {"arrival of the pulse at 0.45 m", "deg", volumes[3].arrival, lines[3].arrival, 1, false,
       degree, source},
      {"depression at the valve", "Pa", volumes[3].low, lines[3].low, 0.01 * height, false, percent,
       source},
      {"pressure at the valve falls below ambient", "deg", volumes[3].return_angle,
       lines[3].return_angle, 1, false, degree, source},
      {"greatest difference of the pressures at the valve", "Pa", 0, difference[3], 0.01 * height,
       false, percent, source},
      {"the same difference, 20 mm over 2.5 mm", "", 6, difference[0] / difference[3], 0, false,
       "both converge to one solution, at least at first order because of the start of the valve "
       "opening",
       source, Sense::at_least}};
  Curve gap{"greatest difference at the valve", {}, {}, true};
  for (std::size_t k = 0; k < cell_sizes.size(); ++k) {
    report.figures.push_back({fmt::format("height at 0.45 m, cells of {} mm", 1e3 * cell_sizes[k]),
                              "Pa", volumes[k].height, lines[k].height, 0.01 * height, false,
                              percent, source});
    report.figures.push_back({fmt::format("arrival at 0.45 m, cells of {} mm", 1e3 * cell_sizes[k]),
                              "deg", volumes[k].arrival, lines[k].arrival, 1, false, degree,
                              source});
    gap.x.push_back(1e3 * cell_sizes[k]);
    gap.y.push_back(difference[k]);
  }
  report.plots = {valve, middle, {"refinement", "cell size, mm", "Pa", {gap}, true, true}};
  return report;
}

CaseReport engine_two_methods(Broken broken) {
  CaseReport report;
  report.title =
      "Cycle of a single-cylinder engine: finite-volume method and method of characteristics";
  report.text =
      "The engine of the blowdown case with both valves, a runner of 0.3 m and a primary of 0.7 m, "
      "full load at 6000 rpm, until the cycle repeats; cells of 2.5 mm. The reference is the "
      "finite-volume method. The method of characteristics is not conservative: where gas of "
      "another temperature flows back and forth at a valve some mass is lost, at an order of about "
      "3/4 in the cell size. The ledger states it. The residual fraction, a small number, is "
      "sensitive to it and is extrapolated from 10 and 2.5 mm with the order observed in the "
      "ledger.";
  const Source source{"the finite-volume method of this program, an independent method",
                      Confidence::computed};
  const auto engine = [](double cell_size, bool anechoic_end) {
    models::EngineSpecification e = blowdown_rig(cell_size, anechoic_end);
    e.cylinder_heat.multiplier = 1;
    const auto valve = [](models::ValveSpecification& v, double opens, double closes, double area) {
      v.opens_deg = opens;
      v.closes_deg = closes;
      for (int i = 0; i <= 60; ++i) {
        const double s = std::sin(std::numbers::pi * i / 60);
        v.lift.angle_deg.push_back(opens + (closes - opens) * i / 60);
        v.lift.lift.push_back(0.01 * s * s);
      }
      v.forward = v.reverse = {{0.0, 0.01}, {0.0, area}};
    };
    valve(e.exhaust_valve, 115, 385, 6e-4);
    valve(e.intake_valve, 335, 600, 8e-4);
    e.pipes[0].length = 0.7;
    models::PipeSpecification runner = e.pipes[0];
    runner.name = "runner";
    runner.length = 0.3;
    runner.profile = {{0.0, 0.042}};
    runner.wall.temperature = 330;
    runner.initial_temperature = 0;
    runner.initial_burnt = 0;
    e.pipes.push_back(runner);
    models::OpenEndSpecification inlet;
    inlet.end = {1, Side::left};
    inlet.entry_loss = 0.05;
    e.open_ends.push_back(inlet);
    models::CylinderSpecification c;
    c.exhaust = {0, Side::left};
    c.intake = {1, Side::right};
    e.cylinders = {c};
    e.exhaust_paths = {{0, {0}}};
    return e;
  };
  const auto run = [&](Method method, double cell_size, bool anechoic_end) {
    models::RunSettings settings;
    settings.method = method;
    settings.most_cycles = 60;
    return models::PointSimulation(engine(cell_size, anechoic_end), speed, settings).run();
  };
  const bool anechoic = broken == Broken::end_reflection;
  const auto volumes = run(Method::finite_volume, 0.0025, false);
  const auto coarse = run(Method::characteristics, 0.010, anechoic);
  const auto lines = run(Method::characteristics, 0.0025, anechoic);
  const std::string percent = "1 %: smaller than the error of the models";
  const auto add = [&](const char* quantity, const char* unit, double expected, double computed,
                       double tolerance, bool relative, const std::string& why) {
    report.figures.push_back(
        {quantity, unit, expected, computed, tolerance, relative, why, source});
  };
  add("cycles that repeat", "", 1, lines.converged ? 1 : 0, 0, false, "must converge");
  add("torque", "N m", volumes.torque, lines.torque, 0.01, true, percent);
  add("charging efficiency", "", volumes.charging_efficiency, lines.charging_efficiency, 0.01, true,
      percent);
  const double loss = lines.ledger.mass.imbalance;
  const double fall = coarse.ledger.mass.imbalance / loss;
  add("residual fraction, extrapolated", "", volumes.residual_fraction,
      lines.residual_fraction + (lines.residual_fraction - coarse.residual_fraction) / (fall - 1),
      0.02, true, "2 %: a small number");
  add("mean pressure at the exhaust valve over overlap, gauge", "Pa",
      volumes.overlap_exhaust_pressure, lines.overlap_exhaust_pressure, 500, false,
      "1 % of the height of the pulse");
  add("crank angle of the lowest pressure", "deg", volumes.depression_angle, lines.depression_angle,
      1, false, "1 degree of crank");
  add("mass imbalance over the mass flow of the cycle", "", 0, loss, 0.01, false,
      "1 %: truncation error, not round-off");
  report.figures.push_back(
      {"mass imbalance, 10 mm over 2.5 mm", "", 2, fall, 0, false,
       "must decrease with the cell size, at least at the order 1/2 of contacts", source,
       Sense::at_least});
  Plot plot{"pressure at the exhaust valve", "deg", "p, kPa", {}};
  for (const auto& [name, r] :
       {std::pair{"finite-volume method", &volumes}, std::pair{"characteristics", &lines}}) {
    Curve curve{name, {}, {}};
    const auto& trace = r->traces.at(0).exhaust_pressure;
    for (std::size_t i = 0; i < trace.size(); ++i) {
      curve.x.push_back(720.0 * static_cast<double>(i) / static_cast<double>(trace.size()));
      curve.y.push_back(1e-3 * static_cast<double>(trace[i]));
    }
    plot.curves.push_back(curve);
  }
  report.plots.push_back(plot);
  return report;
}

}  // namespace pulsewright::validation
