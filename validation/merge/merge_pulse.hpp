// A case of the reference as a network of pipes, and how far its traces are from the reference.
//
// Gas of gamma 1.35, R 287 J/(kg K); no friction, no heat. Each tube is a pipe from its closed
// outer end to the plane of the merge, the collector one from there to its closed end; outer ends
// and stations stand where they stand in the reference, wherever that plane is.
#pragma once

#include <optional>

#include "models/network/specification.hpp"
#include "validation/merge/merge_reference.hpp"

namespace pulsewright::validation {

// How the merge is computed.
struct MergeModel {
  models::JunctionLaw law = models::JunctionLaw::momentum;
  double volume = 0;            // m3, of the junction; 0 = the default of the law
  std::optional<double> plane;  // m, z of the merge; none = see merge_plane()
  double cell_size = 2.5e-3;    // m
};

// z of the merge of that law, m, see models/boundary/merge_place.hpp.
double merge_plane(const MergeGeometry& geometry, models::JunctionLaw law);

// Pipes: the tubes in the order of the geometry, then the collector. Without blocks.
models::EngineSpecification merge_network(const MergeGeometry& geometry, const MergeModel& model);

// The traces of the case at the times and the stations of the reference.
MergeTraces merge_pulse(const MergeCase& merge_case, const MergeModel& model,
                        const MergeTraces& reference);

// Height of the wave that the last block sends into the gas at rest, Pa: half of its amplitude X =
// (p/p_0)^((gamma-1)/(2 gamma)) goes each way (Benson (1982), chapter 3).
double driving_wave(const MergeCase& merge_case);

// Figures of a pressure over time.
struct WaveFigures {
  double peak = 0;     // Pa, of greatest distance from the gas at rest, with its sign
  double impulse = 0;  // Pa s, integral of the distance
  double arrival = 0;  // s, where it first reaches half the peak
  double rise = 0;     // s, from 10 to 90 % of the peak
};

struct StationComparison {
  std::string station;
  double rms = 0;  // of the difference of the pressures, of the driving wave
  // In a pipe that starts with a block: of the wave away from the merge (split as homentropic
  // waves); elsewhere of the pressure itself.
  WaveFigures reference, computed;
};

// Station by station, in the order of the reference. Each from the beginning to the time at which
// what comes from the merge could be back from the closed end of the pipe, with 3 % to spare.
std::vector<StationComparison> compare_stations(const MergeCase& merge_case,
                                                const MergeTraces& reference,
                                                const MergeTraces& computed);

}  // namespace pulsewright::validation
