// Specification of all that pipes end in: ends, valves and junctions.
//
// Plain data, SI units. A pipe runs from its left end to its right end; a direction is a unit
// vector that points from a junction into the pipe.
#pragma once

#include <Eigen/Core>
#include <functional>
#include <string>
#include <vector>

namespace pulsewright::models {

struct Ambient {
  double pressure = 101325;     // Pa
  double temperature = 293.15;  // K
};

enum class Side { left, right };

struct PipeEnd {
  int pipe = -1;  // index into NetworkSpecification::pipes
  Side side = Side::left;
};

// What a velocity along the pipe is multiplied by to be counted into the pipe.
inline double inward(Side side) { return side == Side::left ? 1.0 : -1.0; }

// ---------------------------------------------------------------- pipe ends

enum class JunctionLaw {
  momentum,           // control volume with a momentum vector: jets keep their direction
  constant_pressure,  // one static pressure at every pipe end
  plenum              // inflowing kinetic energy is dissipated
};

// How strongly the tubes of a merge act on each other with the momentum law: as fitted, or with
// every constant at the end of its band that makes the action of a pulse on the other tubes weaker,
// or stronger (junction_constants.hpp).
enum class MergeCoupling { fitted, weak, strong };

struct Branch {
  PipeEnd end;
  Eigen::Vector3d direction = Eigen::Vector3d::UnitX();  // from the junction into the pipe
  // Effective areas of the port over that of the pipe, for gas that enters the pipe and that leaves
  // it, 0 .. 1: a throttle. With the plenum law only.
  double into_pipe = 1, out_of_pipe = 1;
};

struct JunctionSpecification {
  std::string name;
  JunctionLaw law = JunctionLaw::momentum;
  // m3; 0 = largest pipe area times its radius; with the momentum law the part of it in which jets
  // pass on their momentum, JunctionConstants::volume.
  double volume = 0;
  std::vector<Branch> branches;
  double vent_area = 0;  // m2, effective area of a vent to the atmosphere (0 = none)
  MergeCoupling coupling = MergeCoupling::fitted;  // of the constants of the momentum law
  double vent_temperature = 0;                     // K, of gas that enters there; 0 = ambient
};

// A perforated wall between two pipes in one place, see perforate.hpp. core, space: the two ends of
// the tube and of the space round it, momentum law.
struct PerforateSpecification {
  JunctionSpecification core, space;
  double hole_area = 0;    // m2, of the holes that this place stands for
  double hole_length = 0;  // m, with the gas that moves along outside the holes
};

struct OpenEndSpecification {
  PipeEnd end;
  double effective_area_ratio = 1;  // < 1: an orifice plate at the end
  double entry_loss = 0;            // on rho u^2 / 2 when gas flows in (0.5 sharp, 0.03 bellmouth)
  bool end_correction = true;       // inertia and radiation of the air outside, see radiation.hpp
  Eigen::Vector3d position = Eigen::Vector3d::Zero();  // m, of the outlet, for sound
  double outside_temperature = 0;                      // K, of gas that enters; 0 = ambient
};

struct ClosedEndSpecification {
  PipeEnd end;
};

struct AnechoicEndSpecification {
  PipeEnd end;
};

// A quantity over time, s.
using CourseInTime = std::function<double(double)>;

// What an end prescribes; definitions: prescribed_end.hpp.
enum class PrescribedQuantity {
  static_pressure,  // Pa, at the end
  mass_flow,        // kg/s into the pipe
  wave              // Pa, of gas at rest beyond the end
};

struct PrescribedEndSpecification {
  PipeEnd end;
  PrescribedQuantity quantity = PrescribedQuantity::static_pressure;
  CourseInTime value;
  double temperature = 293.15;  // K, stagnation temperature of gas that enters; not of a wave
  double burnt = 0;             // its mass fraction of burnt gas
};

// Gas at rest.
struct GasState {
  double pressure = 0;     // Pa
  double temperature = 0;  // K
  double burnt = 0;        // mass fraction
};

// An orifice to a reservoir; both over time, s.
struct OrificeEndSpecification {
  PipeEnd end;
  std::function<GasState(double)> reservoir;
  CourseInTime area_ratio;  // effective area over that of the pipe, 0 .. 1
};

// ---------------------------------------------------------------- valves

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
  FlowCurve forward;         // the way the gas is meant to go, as on a flow bench
  FlowCurve reverse;         // against it
  double opens_deg = 0;      // first crank angle with lift, 0..720
  double closes_deg = 0;     // first crank angle after it without lift, > opens_deg, may exceed 720
  double seat_diameter = 0;  // m, for information
};

}  // namespace pulsewright::models
