#include "tools/study/point_text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cases/counted.hpp"
#include "cases/quantity_text.hpp"
#include "cases/wrapped_text.hpp"
#include "models/boundary/crank_angle.hpp"
#include "tools/study/figure_rows.hpp"
#include "tools/study/pattern_words.hpp"
#include "tools/study/supersonic.hpp"
#include "tools/study/text_table.hpp"

namespace pulsewright::tools {

namespace {

std::string fixed(double value, int digits) { return fmt::format("{:.{}f}", value, digits); }

// A sentence in lines of 80 characters.
std::string line_text(const std::string& text) { return cases::wrapped(text, 2) + "\n"; }

// Shown here alone. Factors: NIST Special Publication 811 (2008), appendix B, from memory.
DisplayUnit velocity_unit(UnitSystem system) {
  return system == UnitSystem::metric ? DisplayUnit{1.0, "m/s"} : DisplayUnit{1.0 / 0.3048, "ft/s"};
}
DisplayUnit density_unit(UnitSystem system) {
  return system == UnitSystem::metric ? DisplayUnit{1.0, "kg/m3"}
                                      : DisplayUnit{1.0 / 16.01846337, "lb/ft3"};
}

std::string ledger_text(const models::Ledger& ledger) {
  TextTable t;
  t.row({"ledger of a cycle", "in", "made", "out", "lost", "stored", "imbalance"});
  t.rule();
  const auto row = [&](const char* name, const models::LedgerLine& l, double factor) {
    t.row({name, fixed(l.in * factor, 3), fixed(l.source * factor, 3), fixed(l.out * factor, 3),
           fixed(l.lost * factor, 3), fixed(l.stored * factor, 3),
           fmt::format("{:.1e}", l.imbalance)});
  };
  row("mass, g", ledger.mass, 1e3);
  row("burnt gas, g", ledger.burnt, 1e3);
  row("energy, kJ", ledger.energy, 1e-3);
  return t.text() + "made of mass: fuel; lost of energy: work and walls\n";
}

void add_probes(std::string& out, const std::vector<models::ProbeTraces>& probes, UnitSystem system,
                int digits) {
  if (probes.empty()) return;
  const DisplayUnits u(system);
  const DisplayUnit velocity = velocity_unit(system);
  TextTable t;
  const std::string pressure(u.pressure.name);
  t.row({"probe", "pressure", "", "velocity", "", "mass flow", ""});
  t.row({"", pressure + " abs", "", std::string(velocity.name), "", "g/s", ""});
  t.row({"", "lowest", "highest", "lowest", "highest", "lowest", "highest"});
  t.rule();
  const auto range = [](const std::vector<float>& values, double factor, int places) {
    const auto [least, most] = std::minmax_element(values.begin(), values.end());
    return std::array{fixed(factor * *least, places), fixed(factor * *most, places)};
  };
  for (const auto& probe : probes) {
    if (probe.pressure.empty()) continue;
    const auto p = range(probe.pressure, u.pressure.factor, digits);
    const auto v = range(probe.velocity, velocity.factor, 1);
    const auto flow = range(probe.mass_flow, 1e3, 1);
    t.row({probe.name, p[0], p[1], v[0], v[1], flow[0], flow[1]});
  }
  out += "\n" + t.text();
}

// One object for each probe: its traces by their names.
nlohmann::json probes_json(const std::vector<models::ProbeTraces>& probes) {
  auto list = nlohmann::json::array();
  for (const auto& probe : probes) {
    auto& one = list.emplace_back(nlohmann::json{{"probe", probe.name}});
    models::for_each_probe_trace([&](const auto& trace) { one[trace.key] = probe.*trace.member; });
  }
  return list;
}

}  // namespace

std::vector<std::string> point_faults(const models::PointResult& p, int most_cycles) {
  std::vector<std::string> faults;
  if (!p.converged) {
    faults.push_back(
        p.cycles < most_cycles
            ? fmt::format("the point does not repeat: after {} the changes from one to the next no "
                          "longer fall, or too slowly for run.most_cycles",
                          cases::counted(p.cycles, "cycle"))
            : fmt::format("the point does not repeat within {}; raise run.most_cycles",
                          cases::counted(most_cycles, "cycle")));
  }
  if (p.clipped > 0) {
    faults.push_back(
        fmt::format("values were clipped {}, where the gas came close to a vacuum; the point "
                    "is not to be trusted. Smaller cells (run.cell_size) may help",
                    cases::counted(p.clipped, "time")));
  }
  return faults;
}

std::string point_text(const std::string& title, const models::PointResult& p, UnitSystem system) {
  const DisplayUnits u(system);
  const bool metric = system == UnitSystem::metric;
  const int digits = metric ? 1 : 2;
  const auto number = [](double si, const DisplayUnit& unit, int places) {
    return fixed(si * unit.factor, places);
  };
  std::string out = title + "\n";
  const cases::QuantityText shown(metric ? cases::MessageUnits::metric : cases::MessageUnits::inch);
  out +=
      fmt::format("{:.0f} rpm; {} of {}; {} after {}", 60 * p.speed,
                  cases::counted(p.cells, "cell"), shown.length(p.cell_size, 3),
                  p.converged ? "repeats" : "DOES NOT REPEAT", cases::counted(p.cycles, "cycle"));
  out += p.period > 1 ? fmt::format(", repeats every {} cycles\n\n", p.period) : "\n\n";
  out += fmt::format("torque {} {}, power {} {}\n", number(p.torque, u.torque, 1), u.torque.name,
                     number(p.power, u.power, 1), u.power.name);
  out += line_text(fmt::format(
      "mean effective pressures in {}: brake {}, indicated {}, gas exchange {}, friction {}",
      u.high_pressure.name, number(p.bmep, u.high_pressure, 2), number(p.imep, u.high_pressure, 2),
      number(p.pmep, u.high_pressure, 2), number(p.fmep, u.high_pressure, 2)));
  out += line_text(fmt::format(
      "volumetric efficiency {:.1f} % (air through the intake), charging efficiency {:.1f} % (air "
      "trapped), of ambient air in the swept volume",
      100 * p.volumetric_efficiency, 100 * p.charging_efficiency));
  out += line_text(fmt::format(
      "residual gas {:.2f} %, fresh charge lost through the exhaust {:.2f} %, fuel {:.2f} g/s",
      100 * p.residual_fraction, 100 * p.short_circuit_fraction, 1e3 * p.fuel_flow));
  out += line_text(fmt::format(
      "exhaust valve, {} gauge: overlap {} (weighted with lift {}), exhaust stroke {}, blowdown "
      "pulse {}, peak suction {} at {:.0f} deg",
      u.pressure.name, number(p.overlap_exhaust_pressure, u.pressure, digits),
      number(p.overlap_exhaust_pressure_by_lift, u.pressure, digits),
      number(p.exhaust_stroke_pressure, u.pressure, digits),
      number(p.blowdown_pulse, u.pressure, digits), number(p.depression, u.pressure, digits),
      p.depression_angle));
  out += fmt::format("intake port less exhaust port over overlap: {} {}\n",
                     number(p.overlap_difference, u.pressure, digits), u.pressure.name);
  std::string gas =
      fmt::format("gas at the exhaust port {:.0f} {}",
                  shown_temperature(system, p.exhaust_temperature), temperature_name(system));
  const auto fastest = static_cast<std::size_t>(p.exhaust_peak_mach_pipe);
  if (fastest < p.pipes.size()) {
    const models::PipeFigures& pipe = p.pipes[fastest];
    gas += fmt::format(
        "; highest Mach number in the exhaust {:.2f}: {}, {} {} from its start, at "
        "{:.0f} deg of the engine",
        p.exhaust_peak_mach, pipe.name, number(pipe.peak_mach_distance, u.length, metric ? 0 : 1),
        u.length.name, pipe.peak_mach_angle);
  }
  out += line_text(gas) + "\n";

  TextTable t;
  t.row({"cylinder", "VE", "residual", "imep", "peak", "at", "overlap", "suction", "at", "pulse",
         "at"});
  const std::string gauge = fmt::format("{} g", u.pressure.name);
  t.row({"", "%", "%", std::string(u.high_pressure.name), std::string(u.high_pressure.name), "deg",
         gauge, gauge, "deg", gauge, "deg"});
  t.rule();
  for (const auto& c : p.cylinders) {
    t.row({std::to_string(c.number), fixed(100 * c.volumetric_efficiency, 1),
           fixed(100 * c.residual_fraction, 2), number(c.imep, u.high_pressure, metric ? 2 : 1),
           number(c.peak_pressure, u.high_pressure, metric ? 1 : 0),
           fixed(c.peak_pressure_angle, 0), number(c.overlap_exhaust_pressure, u.pressure, digits),
           number(c.depression, u.pressure, digits), fixed(c.depression_angle, 0),
           number(c.blowdown_pulse, u.pressure, digits), fixed(c.blowdown_pulse_angle, 0)});
  }
  out += t.text() + "\n";

  for (const auto& m : p.merges) {
    std::string merge = fmt::format("{}: ", m.name);
    for (std::size_t i = 0; i < m.cylinders.size(); ++i) {
      merge +=
          fmt::format("{}cylinder {} at {:.1f}", i > 0 ? ", " : "", m.cylinders[i], m.arrival[i]);
    }
    merge +=
        fmt::format(" deg; evenness {:.2f}; {} of tube = {:.2f} deg; {} {} to make the gaps equal",
                    m.evenness, u.small_length_name, m.degrees_per_metre * u.small_length_step,
                    number(m.length_to_even, u.length, metric ? 0 : 1), u.length.name);
    out += line_text(merge);
  }
  TextTable pipes;
  pipes.row({"pipe", "gas", "wall", "peak Mach", "at", "at", "fast cone"});
  pipes.row({"", std::string(temperature_name(system)), std::string(temperature_name(system)), "",
             std::string(u.length.name), "deg", "deg"});
  pipes.rule();
  for (const auto& pipe : p.pipes) {
    pipes.row({pipe.name, fixed(shown_temperature(system, pipe.gas_temperature), 0),
               fixed(shown_temperature(system, pipe.wall_temperature), 0), fixed(pipe.peak_mach, 2),
               number(pipe.peak_mach_distance, u.length, metric ? 0 : 1),
               fixed(pipe.peak_mach_angle, 0), fixed(pipe.fast_cone_angle, 0)});
  }
  out += "\n" + pipes.text();
  add_probes(out, p.probes, system, digits);
  out += "\n" + ledger_text(p.ledger);
  if (p.clipped > 0) {
    out += fmt::format("! values were clipped {}\n", cases::counted(p.clipped, "time"));
  }
  if (const auto uneven = uneven_point(p)) {
    out += line_text("! " + pattern_words(*uneven, system));
  }
  if (const auto supersonic = supersonic_point(p); supersonic && p.converged) {
    out += line_text("! " + supersonic_words(*supersonic, system));
  }
  if (!p.converged) {
    out += "! the cycle does not repeat: these figures are not to be trusted\n";
  }
  return out;
}

nlohmann::json ledger_json(const models::Ledger& ledger) {
  nlohmann::json j;
  models::for_each_ledger_line([&](const auto& line) {
    j[line.key] = figures_json(ledger.*line.member,
                               [](const auto& visit) { models::for_each_ledger_column(visit); });
  });
  return j;
}

nlohmann::json point_json(const models::PointResult& p) {
  auto j = figures_json(p, [](const auto& visit) { models::for_each_point_figure(visit); });
  j["speed_rpm"] = 60 * p.speed;
  j["converged"] = p.converged;
  j["ledger"] = ledger_json(p.ledger);
  j["cylinders"] = nlohmann::json::array();
  for (const auto& cylinder : p.cylinders) {
    auto& one = j["cylinders"].emplace_back(
        figures_json(cylinder, [](const auto& visit) { models::for_each_cylinder_figure(visit); }));
    one["number"] = cylinder.number;
  }
  j["merges"] = nlohmann::json::array();
  for (const auto& merge : p.merges) {
    auto& one = j["merges"].emplace_back(merge_json(merge));
    one["merge"] = merge.name;
  }
  j["pipes"] = nlohmann::json::array();
  for (const auto& pipe : p.pipes) {
    auto& one = j["pipes"].emplace_back(
        figures_json(pipe, [](const auto& visit) { models::for_each_pipe_figure(visit); }));
    one["pipe"] = pipe.name;
  }
  if (!p.probes.empty()) {
    j["probe_angle_deg"] = models::even_angles(p.probes.front().pressure.size());
    j["probes"] = probes_json(p.probes);
  }
  return j;
}

std::string pipes_text(const std::string& title, const models::PipeSimulationResult& r,
                       UnitSystem system) {
  const DisplayUnits u(system);
  const DisplayUnit velocity = velocity_unit(system);
  const DisplayUnit density = density_unit(system);
  std::string out = fmt::format(
      "{}\nafter {:.6g} s, {}; imbalance of mass {:.1e}, of energy "
      "{:.1e}\n\n",
      title, r.time, cases::counted(r.steps, "step"), r.mass_imbalance, r.energy_imbalance);
  for (const auto& pipe : r.pipes) {
    TextTable t;
    t.row({pipe.name, "pressure", "velocity", "temperature", "density", "burnt"});
    t.row({std::string(u.length.name), std::string(u.pressure.name), std::string(velocity.name),
           std::string(temperature_name(system)), std::string(density.name), ""});
    t.rule();
    const std::size_t stride = std::max<std::size_t>(1, pipe.x.size() / 40);
    for (std::size_t i = 0; i < pipe.x.size(); i += stride) {
      t.row({fixed(pipe.x[i] * u.length.factor, 1), fixed(pipe.pressure[i] * u.pressure.factor, 3),
             fixed(pipe.velocity[i] * velocity.factor, 3),
             fixed(shown_temperature(system, pipe.temperature[i]), 2),
             fixed(pipe.density[i] * density.factor, 5), fixed(pipe.burnt[i], 4)});
    }
    out += t.text() + "\n";
  }
  add_probes(out, r.probes, system, 3);
  return out;
}

nlohmann::json pipes_json(const models::PipeSimulationResult& r) {
  nlohmann::json j{{"time", r.time},
                   {"steps", r.steps},
                   {"mass_imbalance", r.mass_imbalance},
                   {"energy_imbalance", r.energy_imbalance}};
  for (const auto& pipe : r.pipes) {
    j["pipes"].push_back({{"name", pipe.name},
                          {"x", pipe.x},
                          {"pressure", pipe.pressure},
                          {"velocity", pipe.velocity},
                          {"temperature", pipe.temperature},
                          {"density", pipe.density},
                          {"burnt", pipe.burnt}});
  }
  if (!r.probes.empty()) {
    j["probe_time"] = r.probe_time;
    j["probes"] = probes_json(r.probes);
  }
  return j;
}

}  // namespace pulsewright::tools
