// Traces over crank angle and the wave diagram of the recorded cycle.
#pragma once

#include "models/figures/cycle_figures.hpp"
#include "models/figures/point_result.hpp"
#include "models/network/network.hpp"
#include "models/network/probe.hpp"

namespace pulsewright::models {

// A pressure split into the wave that runs down the pipe and the one that comes back, Pa gauge to
// p_0, from pressure, velocity (m/s, down the pipe), sound speed and gamma at one place:
// X = (p/p_0)^((gamma-1)/(2 gamma)) = X_1 + X_2 - 1, u = 2 c_0/(gamma-1) (X_1 - X_2), c_0 = c/X.
// Superposition of homentropic waves: Blair (1999), section 2.2; Benson (1982), chapter 3.
struct SplitWave {
  double outgoing, returning;
};
SplitWave split_wave(double p, double u, double c, double gamma, double p_0);

// Axes and names of the wave diagram along the exhaust path of one cylinder (an index into
// engine.exhaust_paths), values left empty. From the specification alone: no network is built.
WaveDiagram wave_axes(const EngineSpecification& engine, int cylinder, int rows);

// Open ends that exhaust gas leaves by: indices into engine.open_ends.
std::vector<std::size_t> tail_ends(const EngineSpecification& engine);

class CycleRecord {
 public:
  CycleRecord(const EngineSpecification& engine, const RunSettings& settings);

  // One step of cylinder i; samples where the step passes a point of the crank angle grid.
  void add(std::size_t i, const CylinderStep& step, const solver::Pipe& exhaust_pipe,
           const solver::Gas& gas);
  // The network after a step that ends at the engine crank angle (deg, within the cycle).
  void add_network(double angle_before, double angle_after, const Network& network);

  void finish(PointResult& result) const;

 private:
  void start_traces(const EngineSpecification& engine);
  // Mach number and temperatures of a pipe at an engine crank angle (deg); span: of the samples.
  void add_pipe(std::size_t i, double angle, double span, const solver::Pipe& pipe);
  void add_tails(double before, double after, const Network& network);
  void add_probes(double before, double after, const Network& network);

  // One value of every trace of a cylinder.
  struct Sample {
#define CYLINDER_TRACE(member, unit, text) double member = 0;
#include "models/figures/figure_table.inc"
    double after = 0;   // Pa, cylinder pressure at the end of the step
    double middle = 0;  // deg, crank angle of the middle of the step, which the values hold at
    bool valid = false;
  };

  // One value of every trace of a tail.
  struct TailSample {
#define TAIL_TRACE(member, unit, text) double member = 0;
#include "models/figures/figure_table.inc"
  };

  RunSettings settings_;
  double ambient_;
  std::vector<int> path_;  // pipes of the wave diagram
  std::vector<CylinderTraces> traces_;
  std::vector<Sample> last_;
  std::vector<std::size_t> tail_ends_;
  std::vector<TailTrace> tails_;
  std::vector<TailSample> tail_samples_;       // of this step
  std::vector<TailSample> last_tail_samples_;  // of the step before; empty before the first
  double last_middle_ = 0;                     // deg, middle of the step before
  std::vector<ProbeSpecification> probe_places_;
  std::vector<ProbeState> probe_states_;   // at the end of the step
  std::vector<ProbeState> before_probes_;  // at its beginning; empty before the first
  std::vector<ProbeTraces> probes_;
  WaveDiagram wave_;
  std::vector<PipeFigures> pipes_;
  std::vector<std::size_t> exhaust_;      // pipes that exhaust gas passes, ascending
  std::vector<std::vector<int>> widens_;  // by pipe, cell: 1 to the right, -1 to the left, 0
  long samples_ = 0;
};

}  // namespace pulsewright::models
