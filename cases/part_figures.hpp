// What the parts behind a collector come to, in figures: losses, resonances. From the case alone,
// nothing is simulated. The gas is exhaust of 900 K, about what it has there at full load (common
// practice, no source); the flow is what the engine would pass at its highest speed if it filled
// its displacement with air of the day, shared between the outlets.
#pragma once

#include <optional>
#include <vector>

#include "cases/case_file.hpp"

namespace pulsewright::cases {

struct PartFigures {
  std::size_t part = 0;  // of the header
  double bore = 0;       // m, of the tube behind it
  double flow = 0;       // kg/s; 0 = no engine
  // Of a catalyst.
  std::optional<double> open_share, channel_diameter;                   // of the face; m
  std::optional<double> laminar_loss, entrance_loss, channel_reynolds;  // Pa, Pa at the flow
  // Of a back pressure: K on rho u^2 / 2, effective area of an orifice in free air that passes the
  // same (m2), Pa at the flow.
  std::optional<double> loss_coefficient, orifice_area, back_pressure;
  std::optional<double> space_volume;  // m3, of a straight-through muffler between core and shell
  // Of a chamber or shell: area over that of the tube; of it and resonators: first frequency of
  // most loss, Hz; of a chamber the loss there, dB, that its length gives without tubes that reach
  // into it.
  std::optional<double> area_ratio, frequency, chamber_loss;
};

// Of the parts behind the first outlet that has any; behind every outlet of a network.
std::vector<PartFigures> part_figures(const CaseFile& case_file, const HeaderDesign& header);

// What passes the engine at its highest speed with a volumetric efficiency of 1: m3/s of air of the
// day. 0 without an engine.
double air_demand(const CaseFile& case_file);

inline constexpr double part_gas_temperature = 900;  // K

}  // namespace pulsewright::cases
