// Specification of an engine with its pipes: the input of the simulation.
//
// Plain data, SI units, no behaviour beyond look-up in tables. A case file becomes one
// EngineSpecification per header (see cases/); tests build it by hand. What pipes
// end in: boundary/specification.hpp; cylinders: cylinder/specification.hpp.
//
// Conventions
//   crank angle   degrees, 0 = firing top dead centre of the cylinder in question, 0..720
//   pipe          runs from its left end to its right end; exhaust pipes run with the gas (left
//                 end at the valve), intake runners too (right end at the valve)
#pragma once

#include <string>
#include <vector>

#include "models/boundary/specification.hpp"
#include "models/cylinder/specification.hpp"

namespace pulsewright::models {

// ---------------------------------------------------------------- pipes

struct ProfilePoint {
  double x = 0;         // m from the left end, along the centreline
  double diameter = 0;  // m, circle of the same area

  bool operator==(const ProfilePoint&) const = default;
};

struct Bend {
  double centreline_radius = 0;  // m
  double angle_deg = 0;          // deg turned

  bool operator==(const Bend&) const = default;
};

// Which balance gives the inner wall temperature.
enum class WallFinish { fixed, bare, wrapped, coated };

struct Wall {
  WallFinish finish = WallFinish::fixed;
  double temperature = 293.15;          // K, fixed value or the first guess of the balance
  double thickness = 1.65e-3;           // m of metal
  double conductivity = 25.0;           // W/(m K) of the metal
  double emissivity = 0.7;              // of the outer surface
  double layer_thickness = 0;           // m of wrap or coating
  double layer_conductivity = 0.1;      // W/(m K) of wrap or coating
  double outside_coefficient = 30.0;    // W/(m2 K), convection to the air outside
  double outside_temperature = 293.15;  // K

  bool operator==(const Wall&) const = default;
};

// Heat transfer from the gas to the inner wall.
enum class PipeHeatLaw { none, reynolds_analogy, exhaust_correlation, manifold_correlation };

struct PipeSpecification {
  std::string name;
  double length = 0;                  // m, centreline
  std::vector<ProfilePoint> profile;  // at least one point; linear in diameter between points
  double hydraulic_ratio = 1;  // hydraulic diameter / diameter of the circle of the same area
  // Many equal parallel channels in place of one tube, as in a catalyst: their hydraulic diameter,
  // m (0 = one tube); the profile then gives their area together.
  double channel_diameter = 0;
  double laminar_friction = 64;  // Darcy factor times Re of laminar flow: 64 in round channels
  double roughness = 0;          // m, absolute
  std::vector<Bend> bends;       // their losses are spread over the pipe
  double extra_loss = 0;         // further loss coefficient on rho u^2 / 2, spread over the pipe
  // Loss coefficient on rho u^2 / 2 of gas that comes in at an end, spread over the first diameter.
  double left_entry_loss = 0;
  double right_entry_loss = 0;
  bool friction = true;  // wall friction on
  PipeHeatLaw heat = PipeHeatLaw::manifold_correlation;
  double heat_multiplier = 1;  // on the heat transfer coefficient
  Wall wall;
  double cooled_length = 0;         // m from the left end whose wall coolant holds, as of a port
  double cooled_temperature = 500;  // K of that wall
  double cell_size = 0.01;          // m, target
  double initial_temperature = 0;   // K, 0 = ambient
  double initial_pressure = 0;      // Pa, 0 = ambient
  double initial_burnt = 0;         // mass fraction

  bool operator==(const PipeSpecification&) const = default;

  // How many it gets: as many as come nearest to the target size, four at least.
  std::size_t cells() const;
};

// Diameter at x (m) of a profile that is not empty: linear between its points, and that of the
// first or last point beyond them.
double diameter_at(const std::vector<ProfilePoint>& profile, double x);

// Where the centres of the cells of a pipe lie, m from its left end.
std::vector<double> cell_centres(const PipeSpecification& pipe);

// A place at which the gas is recorded over time, see probe.hpp.
struct ProbeSpecification {
  std::string name;
  int pipe = -1;        // index into NetworkSpecification::pipes
  double distance = 0;  // m from the left end of the pipe
};

// ---------------------------------------------------------------- network and engine

// Pipes and what they end in. Every pipe end is used once: by a junction, an end, or a valve.
struct NetworkSpecification {
  Ambient ambient;
  std::vector<PipeSpecification> pipes;
  std::vector<JunctionSpecification> junctions;
  std::vector<PerforateSpecification> perforates;
  std::vector<OpenEndSpecification> open_ends;
  std::vector<ClosedEndSpecification> closed_ends;
  std::vector<AnechoicEndSpecification> anechoic_ends;
  std::vector<PrescribedEndSpecification> prescribed_ends;
  std::vector<OrificeEndSpecification> orifice_ends;
  std::vector<ProbeSpecification> probes;
};

// The way of one cylinder's pulse: the pipes it passes from the valve outwards.
struct ExhaustPath {
  int cylinder = 0;        // index into cylinders
  std::vector<int> pipes;  // indices into pipes, in flow order
};

// Without cylinders it is a network of pipes alone.
struct EngineSpecification : CylindersSpecification, NetworkSpecification {
  std::string name;
  std::vector<ExhaustPath> exhaust_paths;  // one per cylinder, same order
};

// ---------------------------------------------------------------- numerics

enum class LimiterChoice { monotonized_central, van_leer, minmod };

// How the gas in the pipes is computed: finite volumes for everything, the method of
// characteristics as a second opinion where no strong shock runs (see
// solver/pipe/characteristics.hpp).
enum class Method { finite_volume, characteristics };

// Whether parts of an engine that are the same but for a shift of crank angle are computed once for
// all of them, or each by itself (repeated_parts.hpp).
enum class SameParts { once, each };

struct RunSettings {
  Method method = Method::finite_volume;
  LimiterChoice limiter = LimiterChoice::monotonized_central;
  double courant = 0.9;  // of the one-dimensional limit
  int least_cycles = 3;
  int most_cycles = 100;
  double tolerance = 1e-3;  // relative change from cycle to cycle
  // Whether cycles are accelerated towards the periodic one (engine/cycle_acceleration.hpp): fewer
  // of them, but not the course of the engine, so it is not found out whether that settles.
  bool accelerate = false;
  // Where cylinders that are the same by symmetry settle differently: whether a run goes on to find
  // out if they stay alike when they start alike.
  bool second_pattern = true;
  SameParts same_parts = SameParts::once;
  // Whether a cycle is recorded: traces, wave diagram, figures of the pipes and pulses at the
  // merges. Without, these are empty, and a run may end a cycle earlier, as none has to be
  // recorded: its figures then differ within the tolerance.
  bool record = true;
  int trace_points = 720;  // per cycle
  bool store_traces = true;
  bool store_wave_diagram = false;
  int wave_cylinder = 0;  // index of the cylinder whose path is stored
  int wave_angles = 360;  // rows of the wave diagram
};

}  // namespace pulsewright::models
