// Follows the pulses of every cylinder from its exhaust valve to the merges.
//
// A pulse travels along the characteristic dx/dt = u + c of the computed flow. Marks are set off at
// the valve at even steps of crank angle from exhaust valve opening on; each carries its launch
// angle and notes when it passes the end of each pipe of its way. The pulse itself is the mark that
// left at the angle of greatest outflow through the valve in blowdown.
// Source: Courant & Friedrichs, Supersonic Flow and Shock Waves (1948), section 34
// (characteristics).
#pragma once

#include <vector>

#include "models/network/specification.hpp"
#include "solver/pipe/pipe.hpp"

namespace pulsewright::models {

struct PulseArrival {
  double angle = 0;  // deg of crank since launch
  double time = 0;   // s since launch
};

class PulseTracer {
 public:
  explicit PulseTracer(const EngineSpecification& engine);

  // Launch angles (deg of the cylinder) of the marks.
  static constexpr double launch_step = 4.0;
  static constexpr double launch_span = 140.0;

  // Moves all marks over a step of dt (s) and d_angle (deg).
  void move(const std::vector<solver::Pipe>& pipes, const solver::Gas& gas, double dt,
            double d_angle);
  // Sets off a mark of that cylinder, now; its own crank angle in deg.
  void launch(std::size_t cylinder, double cylinder_angle);
  bool any_moving() const { return !moving_.empty(); }

  // When the pulse that left the cylinder's valve at cylinder_angle passed the end of pipe number
  // part of its path; angle counted from the launch. Interpolated between marks; false when no mark
  // got there.
  bool arrival(std::size_t cylinder, std::size_t part, double cylinder_angle,
               PulseArrival& result) const;

 private:
  struct Mark {
    std::size_t cylinder;
    double launch_angle;  // deg of the cylinder
    double turned;        // deg since launch
    double time;          // s since launch
    std::size_t part;     // index in the path
    double x;             // m in that pipe
  };
  struct Record {
    double launch_angle;
    PulseArrival arrival;
  };

  std::vector<ExhaustPath> paths_;
  std::vector<Mark> moving_;
  std::vector<std::vector<std::vector<Record>>> records_;  // cylinder, part, marks
};

}  // namespace pulsewright::models
