// Steady flow through a merge without pipes: the junction law alone.
#pragma once

#include <vector>

#include "models/boundary/junction.hpp"

namespace pulsewright::validation {

inline constexpr double T_in = 400;
inline constexpr double p_out = 1e5;

// A tube into the merge; direction points from the merge into the tube.
struct Arm {
  double area;
  Eigen::Vector3d direction;
  double velocity;  // m/s into the merge, 0 = closed
};

struct Stream {
  double p, v, rho, M;  // v into the pipe
  double total;         // Pa, stagnation pressure
};

struct Steady {
  std::vector<Stream> arms;
  Stream out;
};

// Steady flow from the arms through the merge into a pipe along x. Velocity
// and temperature of the arms and the pressure of the outlet are given; the pressure of each arm
// and the velocity and temperature of the outlet are relaxed towards those of the junction until
// nothing changes. Areas in m2, velocities in m/s. Throws std::runtime_error when the flow does not
// converge.
Steady steady_merge(models::JunctionLaw law, const std::vector<Arm>& arms, double out_area,
                    double gamma = 1.4);

// A tube along the axis.
Arm straight(double area, double velocity);
// A tube at an angle (deg) to the axis, at an azimuth (deg) about it.
Arm slanting(double area, double velocity, double angle, double azimuth = 0);

}  // namespace pulsewright::validation
