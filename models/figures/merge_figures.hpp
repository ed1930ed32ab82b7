// Pulse spacing at the merges, from the arrivals that PulseTracer found.
#pragma once

#include "models/figures/cycle_figures.hpp"
#include "models/figures/point_result.hpp"
#include "models/figures/pulse_tracer.hpp"

namespace pulsewright::models {

// Evenness of gaps (deg) that sum to 720: 1 when all are equal, 0 when all pulses come together.
//   1 - sum |gap - 720/n| / (2 * 720 (1 - 1/n))
double evenness_of(const std::vector<double>& gaps);

// Sorts arrivals (deg, any value) into one cycle, and fills order, gaps, evenness and the lengths
// that would make the gaps equal by lengthening only. degrees_per_metre > 0.
void space_pulses(MergeFigures& merge, std::vector<std::pair<double, int>> arrivals);

// All merges of the engine: junctions that are reached from two or more of its pipes.
// pulse_angle: deg of each cylinder at which its pulse left the valve. speed in rev/s.
std::vector<MergeFigures> merge_figures(const EngineSpecification& engine,
                                        const PulseTracer& tracer,
                                        const std::vector<solver::Pipe>& pipes,
                                        const std::vector<double>& pulse_angle, double speed);

// Their indices into engine.junctions, in the order of merge_figures.
std::vector<std::size_t> merges_of(const EngineSpecification& engine);

// Names of the merges in the order of merge_figures, without running.
std::vector<std::string> merge_names(const EngineSpecification& engine);

}  // namespace pulsewright::models
