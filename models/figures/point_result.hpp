// What one operating point (one engine, one speed) answers. Plain data, SI units.
//
// Scavenging pressures are gauge to ambient. Figures are averages over the period of the
// converged pattern (1 to 3 cycles). All angles in degrees.
#pragma once

#include <string>
#include <vector>

namespace pulsewright::models {

struct CylinderFigures {
  int number = 0;                       // the builder's number
  double volumetric_efficiency = 0;     // fresh air trapped / air at ambient state in swept volume
  double delivery_ratio = 0;            // fresh air through the intake valve / same reference
  double trapped_mass = 0;              // kg at intake valve closing
  double residual_fraction = 0;         // burnt mass / trapped mass at intake valve closing
  double short_circuit_fraction = 0;    // fresh mass lost through the exhaust valve / delivered
  double imep = 0;                      // Pa, net, over 720 deg
  double imep_gross = 0;                // Pa, compression and expansion strokes
  double pmep = 0;                      // Pa, gross - net, positive = work spent on gas exchange
  double peak_pressure = 0;             // Pa
  double peak_pressure_angle = 0;       // deg
  double overlap_exhaust_pressure = 0;  // Pa gauge, mean at the exhaust valve, IVO to EVC
  double overlap_difference = 0;        // Pa, mean of intake port - exhaust port, IVO to EVC
  double depression = 0;               // Pa gauge, lowest exhaust-port pressure from 360-120 to EVC
  double depression_angle = 0;         // deg at which it occurs
  double exhaust_stroke_pressure = 0;  // Pa gauge, mean at the exhaust valve, 180 to 360 deg
  double blowdown_pulse = 0;           // Pa gauge, highest exhaust-port pressure
  double blowdown_pulse_angle = 0;     // deg
  double exhaust_temperature = 0;      // K, mass-averaged over outflow at the exhaust port
};

// One merge of exhaust pipes: which pulse arrives when.
struct MergeFigures {
  std::string name;
  std::vector<int> cylinders;        // builder's numbers, in order of arrival
  std::vector<double> arrival;       // deg of engine crank angle (0 = firing TDC of cylinder 1)
  std::vector<double> gap;           // deg to the next arrival, same order, sums to 720
  double evenness = 0;               // 0 = all together, 1 = all gaps equal
  double wave_speed = 0;             // m/s, mean u + c met by the pulses on their way
  double degrees_per_metre = 0;      // deg of crank bought by one metre of length
  double length_to_even = 0;         // m, span of lengths that would make all gaps equal
  std::vector<double> added_length;  // m per cylinder, same order; smallest is 0
};

// Balance over the last cycle (or period): in + source - out - stored, divided by the in-flow.
struct LedgerLine {
  double in = 0;
  double source = 0;     // fuel mass, burnt mass made, or heat of combustion
  double out = 0;        // through the tails
  double lost = 0;       // energy only: heat to walls plus piston work
  double stored = 0;     // rise of content
  double imbalance = 0;  // (in + source - out - lost - stored) / (in + source)
};

struct Ledger {
  LedgerLine mass;    // kg per cycle
  LedgerLine burnt;   // kg per cycle
  LedgerLine energy;  // J per cycle
};

// Over crank angle of each cylinder (0 = its own firing TDC), trace_points values per cylinder.
struct CylinderTraces {
  std::vector<float> exhaust_pressure;     // Pa absolute at the exhaust port
  std::vector<float> exhaust_outgoing;     // Pa gauge, wave that runs from the valve to the tail
  std::vector<float> exhaust_returning;    // Pa gauge, wave that runs from the tail to the valve
  std::vector<float> exhaust_temperature;  // K at the exhaust port
  std::vector<float> exhaust_mass_flow;    // kg/s out of the cylinder
  std::vector<float> intake_pressure;      // Pa absolute at the intake port
  std::vector<float> intake_mass_flow;     // kg/s into the cylinder
  std::vector<float> cylinder_pressure;    // Pa absolute
};

// Over engine crank angle (0 = firing TDC of cylinder 1), trace_points values per tail.
struct TailTrace {
  std::string name;
  std::vector<float> mass_flow;  // kg/s out
};

// Pressure and velocity over (engine crank angle, distance from the valve).
struct WaveDiagram {
  int cylinder = 0;                // builder's number
  std::vector<double> angle;       // deg, rows
  std::vector<double> distance;    // m, columns: cell centres along the path
  std::vector<double> pipe_start;  // m, where each pipe of the path starts
  std::vector<std::string> pipe_name;
  std::vector<float> pressure;  // Pa, row-major
  std::vector<float> velocity;  // m/s, row-major
};

struct PipeFigures {
  std::string name;
  double wall_temperature = 0;  // K, mean over the pipe
  double gas_temperature = 0;   // K, mean over cycle and pipe
  double peak_mach = 0;
};

struct PointResult {
  double speed = 0;  // rev/s
  bool converged = false;
  int cycles = 0;  // simulated
  int period = 1;  // cycles after which the pattern repeats
  int cells = 0;
  double cell_size = 0;  // m, mean
  long steps = 0;        // time steps in all
  long clipped = 0;      // values clipped or floored in the averaged cycles (0 in a sound result)
  double torque = 0;     // N m, brake
  double power = 0;      // W, brake
  double bmep = 0, imep = 0, pmep = 0, fmep = 0;  // Pa
  double volumetric_efficiency = 0, delivery_ratio = 0, residual_fraction = 0;
  double short_circuit_fraction = 0;
  double overlap_exhaust_pressure = 0, overlap_difference = 0;  // Pa, means over cylinders
  double depression = 0, depression_angle = 0;                  // Pa gauge, deg, means
  double exhaust_stroke_pressure = 0, blowdown_pulse = 0;       // Pa gauge, means
  double exhaust_temperature = 0;                               // K
  double fuel_flow = 0;                                         // kg/s
  double cycle_noise_torque = 0;   // N m, change of torque between the last two periods
  double cycle_noise_overlap = 0;  // Pa, change of overlap pressure between the last two periods
  std::vector<CylinderFigures> cylinders;
  std::vector<MergeFigures> merges;
  std::vector<PipeFigures> pipes;
  Ledger ledger;
  std::vector<CylinderTraces> traces;
  std::vector<TailTrace> tails;
  WaveDiagram wave;  // empty unless asked for
};

}  // namespace pulsewright::models
