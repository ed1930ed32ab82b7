// Effective valve area from flow-bench figures or discharge coefficients.
//
// A bench gives the volume flow, at the state of the air before the port, that a pressure
// difference drives through it. The effective area is the throat of the ideal nozzle that passes
// the same flow: isentropic, subsonic,
//   G = p0 / sqrt(R T0) sqrt(2 gamma / (gamma - 1) (r^(2/gamma) - r^((gamma+1)/gamma))),
//   r = 1 - depression / p0,   area = flow rho0 / G
// (Heywood, Internal Combustion Engine Fundamentals, 1988, appendix C and section 6.3.2). The
// common incompressible figure is 4 % larger at 28 inches of water and is not used. Valid below the
// critical pressure ratio 0.528; air with gamma 1.4.
#pragma once

#include <vector>

#include "models/network/specification.hpp"
#include "solver/gas/gas.hpp"

namespace pulsewright::cases {

inline constexpr double air_gamma = 1.4;
inline constexpr double air_gas_constant = solver::Constituent{}.R;  // J/(kg K), dry

struct BenchState {
  double pressure = 101325;     // Pa, before the port
  double temperature = 293.15;  // K, before the port
  double depression = 0;        // Pa, > 0
};

// Ideal mass flow per area in kg/(s m2). Throws std::invalid_argument outside the range of
// validity.
double ideal_mass_flux(const BenchState& bench);

// Ideal volume flow per area, at the density before the port: m/s. Throws as above.
double ideal_volume_flux(const BenchState& bench);

// Mass flow in kg/s of a volume flow (m3/s) of air at the state before the port.
double bench_mass_flow(const BenchState& bench, double volume_flow);

// Effective area in m2 of a volume flow in m3/s. Throws as above.
double effective_area(const BenchState& bench, double volume_flow);

// Effective area of one valve of `count` equal ones against lift, from the flow of all of them.
// Lifts (m) rising from above 0 or 0; the point at zero lift is added where it is missing.
models::FlowCurve flow_curve(const BenchState& bench, const std::vector<double>& lift,
                             const std::vector<double>& volume_flow, int count);

// The curve of one valve of which only the flow at one lift (m, > 0) is known, by its effective
// area there (m2): of the shape of Heywood (1988), figures 6-20 and 6-21, exhaust valves (discharge
// coefficients on the curtain area 0.68 at a lift of 0.05 and 0.10 of the diameter, 0.66, 0.63,
// 0.58, 0.52 at 0.15 to 0.30, read off by eye, from memory), saturating beyond, and never above the
// curtain area.
models::FlowCurve typical_flow_curve(double seat_diameter, double lift, double area);

// Reference areas of discharge coefficients: curtain pi d L, or the bore of the seat less the
// stem, in m2.
double curtain_area(double seat_diameter, double lift);
double seat_area(double seat_diameter, double stem_diameter);

}  // namespace pulsewright::cases
