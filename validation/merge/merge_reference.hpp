// The reference of a pulse at a merge: a three-dimensional computation, stored as traces at
// stations in the tubes and in the collector, with tables of its geometries and cases
// (merge_reference/).
//
// Own Euler computation without heat, friction and viscosity, gas of gamma 1.35 and R 287 J/(kg K);
// nothing here is measured. The axes of the tubes meet that of the collector (z, with the gas) in
// the origin at the half angle. Crotch: where the walls of neighbouring tubes first meet. z_m: the
// datum of the lengths. Each tube goes from its closed outer end to z_m along its axis, the
// collector from z_m to its closed end.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace pulsewright::validation {

// The gas of the reference, of one entropy at first.
inline constexpr double merge_gas_gamma = 1.35;
inline constexpr double merge_gas_R = 287;  // J/(kg K)
inline constexpr double merge_gas_p = 1e5;  // Pa, where there is no block
inline constexpr double merge_gas_T = 800;  // K, likewise
double merge_gas_density(double p);         // kg/m3, of that entropy, at a pressure in Pa

struct MergeTube {
  std::string station;  // that records it; a mirrored tube has that of its image
  double clock_deg;     // round the axis of the collector
};

// A cone at the beginning of the collector, m.
struct MergeCone {
  double from, to;  // z of its ends; the tubes end in a plate at the first
  double diameter;  // at its beginning
};

struct MergeGeometry {
  std::string name;
  std::vector<MergeTube> tubes;  // all of them, those mirrored at a plane of symmetry too
  double half_angle_deg;
  double tube_diameter, collector_diameter;  // m
  double z_crotch, z_m;                      // m
  double tube_length, collector_length;      // m, to and from z_m
  std::optional<MergeCone> cone;
};

// Stations: before z_m in the tubes, behind it in the collector, m.
inline constexpr double merge_tube_station = 0.15;
inline constexpr double merge_collector_stations[] = {0.2, 0.4};

// Gas at rest in the outer part of a pipe, with the entropy of the rest: of one pressure, or p(s) =
// p_0 + (p - p_0) (1 + cos(pi s / length)) / 2 at the distance s from the closed end.
struct MergeBlock {
  std::string pipe;  // station of the tubes, or "collector"
  bool cosine;
  double length;    // m, from the closed end
  double pressure;  // Pa, p
};

// Pressure of the block at the distance s (m) from the closed end, Pa; that of the rest beyond it.
double block_pressure(const MergeBlock& block, double s);

struct MergeCase {
  std::string geometry, name;
  std::vector<MergeBlock> blocks;  // the last one is the pulse that drives
  bool fitted;  // a constant of the default law was fitted to it; the others only check
};

// At one place over time.
struct MergeTrace {
  std::string station;            // of a tube, "coll200" or "coll400"
  std::vector<double> p;          // Pa
  std::vector<double> mass_flow;  // kg/s, towards the end of the collector
};

struct MergeTraces {
  std::vector<double> t;  // s
  std::vector<MergeTrace> stations;
};

const std::vector<MergeGeometry>& merge_geometries();
const std::vector<MergeCase>& merge_cases();

// By name; throws std::invalid_argument.
const MergeGeometry& merge_geometry(const std::string& name);

// By its names; throws std::invalid_argument.
const MergeCase& merge_case_named(const std::string& geometry, const std::string& name);

struct MergeReference {
  double grid;  // m, cells of the three-dimensional computation
  MergeTraces traces;
};

// On the finest grid that is stored, but none finer than h (m). Throws std::invalid_argument for a
// case without such a trace.
MergeReference merge_reference(const MergeCase& merge_case, double h = 0);

}  // namespace pulsewright::validation
