// What an engine with its pipes is made of, in numbers only: the input of the simulation.
//
// Plain data, SI units, no behaviour beyond look-up in tables. A case file becomes one
// EngineSpecification per header (see cases/); tests build it by hand.
//
// Conventions
//   crank angle   degrees, 0 = firing top dead centre of the cylinder in question, 0..720
//   pipe          runs from its left end to its right end; exhaust pipes run with the gas (left
//                 end at the valve), intake runners too (right end at the valve)
//   direction     unit vector that points from a junction into the pipe
#pragma once

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

namespace pulsewright::models {

// ---------------------------------------------------------------- pipes

struct ProfilePoint {
  double x = 0;         // m from the left end, along the centreline
  double diameter = 0;  // m, circle of the same area
};

struct Bend {
  double centreline_radius = 0;  // m
  double angle_deg = 0;          // deg turned
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
};

// Heat transfer from the gas to the inner wall.
enum class PipeHeatLaw { none, reynolds_analogy, exhaust_correlation };

struct PipeSpecification {
  std::string name;
  double length = 0;                  // m, centreline
  std::vector<ProfilePoint> profile;  // at least one point; linear in diameter between points
  double hydraulic_ratio = 1;  // hydraulic diameter / diameter of the circle of the same area
  double roughness = 0;        // m, absolute
  std::vector<Bend> bends;     // their losses are spread over the pipe
  double extra_loss = 0;       // further loss coefficient on rho u^2 / 2, spread over the pipe
  bool friction = true;        // wall friction on
  PipeHeatLaw heat = PipeHeatLaw::reynolds_analogy;
  double heat_multiplier = 1;  // on the heat transfer coefficient
  Wall wall;
  double cell_size = 0.01;         // m, wanted
  double initial_temperature = 0;  // K, 0 = ambient
  double initial_pressure = 0;     // Pa, 0 = ambient
  double initial_burnt = 0;        // mass fraction

  // How many it gets: as many as come nearest to the size wanted, four at least.
  std::size_t cells() const {
    return static_cast<std::size_t>(std::max(4L, std::lround(length / cell_size)));
  }
};

enum class Side { left, right };

struct PipeEnd {
  int pipe = -1;  // index into EngineSpecification::pipes
  Side side = Side::left;
};

// ---------------------------------------------------------------- where pipes end

enum class JunctionLaw {
  momentum,           // control volume with a momentum vector: jets keep their direction
  constant_pressure,  // one static pressure at every pipe end
  plenum              // inflowing kinetic energy is dissipated
};

struct Branch {
  PipeEnd end;
  Eigen::Vector3d direction = Eigen::Vector3d::UnitX();  // from the junction into the pipe
};

struct JunctionSpecification {
  std::string name;
  JunctionLaw law = JunctionLaw::momentum;
  double volume = 0;  // m3; 0 = largest pipe area times half its diameter
  std::vector<Branch> branches;
  double opening_area = 0;  // m2, effective area of an opening to the atmosphere (0 = none)
};

struct OpenEndSpecification {
  PipeEnd end;
  double effective_area_ratio = 1;  // < 1: an orifice plate at the end
  double entry_loss = 0;            // on rho u^2 / 2 when gas flows in (0.5 sharp, 0.03 bellmouth)
  bool end_correction = true;       // inertia and radiation of the air outside, see radiation.hpp
  Eigen::Vector3d position = Eigen::Vector3d::Zero();  // m, of the outlet, for sound
};

struct ClosedEndSpecification {
  PipeEnd end;
};

struct AnechoicEndSpecification {
  PipeEnd end;
};

// ---------------------------------------------------------------- valves and cylinders

// Lift against crank angle, piecewise linear between points; closed outside them.
struct LiftCurve {
  std::vector<double> angle_deg;  // strictly increasing, within 0..720 or beyond 720 for a wrap
  std::vector<double> lift;       // m
};

// Effective area (discharge coefficient times area) of one valve against lift.
struct FlowCurve {
  std::vector<double> lift;  // m, strictly increasing from 0
  std::vector<double> area;  // m2, starts at 0
};

struct ValveSpecification {
  int count = 1;             // equal valves in parallel
  LiftCurve lift;            // lash already taken off
  FlowCurve out;             // cylinder to pipe
  FlowCurve in;              // pipe to cylinder
  double opens_deg = 0;      // first crank angle with lift, 0..720
  double closes_deg = 0;     // first crank angle after it without lift, > opens_deg, may exceed 720
  double seat_diameter = 0;  // m, for information
};

struct CylinderSpecification {
  int number = 1;               // the number the builder calls it by
  int bank = 0;                 // index of its bank
  double firing_angle_deg = 0;  // crank angle of the engine at its firing top dead centre, 0..720
  PipeEnd exhaust;              // pipe end at the exhaust valve
  PipeEnd intake;               // pipe end at the intake valve
};

// Everything that all cylinders of the engine share.
struct CylinderGeometry {
  double bore = 0;               // m
  double stroke = 0;             // m
  double rod = 0;                // m, between centres
  double pin_offset = 0;         // m, towards the major thrust side
  double compression_ratio = 0;  // clearance volume = swept volume / (ratio - 1)
};

struct CombustionSpecification {
  double air_fuel_ratio = 12.8;           // kg air per kg fuel as supplied
  double stoichiometric_air_fuel = 14.6;  // kg/kg
  double hydrogen_to_carbon = 1.87;       // atoms, of the fuel
  double heating_value = 43.0e6;          // J/kg, lower
  double efficiency = 0.92;               // share of the chemical heat that is released
  double half_burnt_deg = 8;              // crank angle at which half the charge is burnt
  double duration_deg = 50;               // Wiebe duration at the reference speed
  double reference_speed = 100;           // rev/s at which duration_deg holds
  double duration_exponent = 0.3;         // duration ~ (speed / reference speed) ^ exponent
  double wiebe_a = 5.0;
  double wiebe_m = 2.0;
};

enum class CylinderHeatLaw { woschni, annand };

struct CylinderHeatSpecification {
  CylinderHeatLaw law = CylinderHeatLaw::woschni;
  double multiplier = 1;
  double head_temperature = 480;    // K
  double piston_temperature = 520;  // K
  double liner_temperature = 420;   // K
};

// FMEP = a + b p_max + c S_p + d S_p^2 (Chen and Flynn)
struct FrictionSpecification {
  double a = 0.4e5;     // Pa
  double b = 0.005;     // of peak cylinder pressure
  double c = 0.09e5;    // Pa per m/s
  double d = 0.0009e5;  // Pa per (m/s)^2
};

// ---------------------------------------------------------------- the whole

struct Ambient {
  double pressure = 101325;     // Pa
  double temperature = 293.15;  // K
};

// The way of one cylinder's pulse: the pipes it passes from the valve outwards.
struct ExhaustPath {
  int cylinder = 0;        // index into cylinders
  std::vector<int> pipes;  // indices into pipes, in flow order
};

struct EngineSpecification {
  std::string name;
  Ambient ambient;
  CylinderGeometry geometry;
  CombustionSpecification combustion;
  CylinderHeatSpecification cylinder_heat;
  FrictionSpecification friction;
  ValveSpecification exhaust_valve;
  ValveSpecification intake_valve;
  double scavenge_displacement = 0;  // 0 = perfect mixing .. 1 = perfect displacement in overlap
  std::vector<CylinderSpecification> cylinders;
  std::vector<PipeSpecification> pipes;
  std::vector<JunctionSpecification> junctions;
  std::vector<OpenEndSpecification> open_ends;
  std::vector<ClosedEndSpecification> closed_ends;
  std::vector<AnechoicEndSpecification> anechoic_ends;
  std::vector<ExhaustPath> exhaust_paths;  // one per cylinder, same order
};

enum class LimiterChoice { monotonized_central, van_leer, minmod };

// How the gas in the pipes is computed: finite volumes for everything, the method of
// characteristics as a second opinion where no strong shock runs (see
// solver/pipe/characteristics.hpp).
enum class Method { finite_volume, characteristics };

struct RunSettings {
  Method method = Method::finite_volume;
  LimiterChoice limiter = LimiterChoice::monotonized_central;
  double courant = 0.9;  // of the one-dimensional limit
  int least_cycles = 3;
  int most_cycles = 40;
  double tolerance = 1e-3;  // relative change from cycle to cycle
  int trace_points = 720;   // per cycle
  bool store_traces = true;
  bool store_wave_diagram = false;
  int wave_cylinder = 0;  // index of the cylinder whose path is stored
  int wave_angles = 360;  // rows of the wave diagram
};

}  // namespace pulsewright::models
