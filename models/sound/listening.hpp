// Where the exhaust is heard, and what a tail does to the pressure there.
//
// An open end is a small source that displaces the air round it, a monopole of volume flow Q:
//
//   p(r, t) = rho / (4 pi r)  dQ/dt (t - r / c)                     Pierce (1989), chapter 4
//
// rho and c of the cold air. Q is the volume flow at ambient pressure and not mass flow over rho:
// hot gas at the same pressure displaces more air for its mass, and as it mixes with the air at
// constant pressure the volume of both together hardly changes (gases of nearly equal gamma), so
// that the mixing is no further source: Dowling and Ffowcs Williams (1983). With gas of 900 K that
// is 10 dB more than from the mass flow alone.
//
// The ground is a plane that reflects the part `ground_reflection` of the pressure without delay:
// an image of the tail as far below it. Every path has its own delay and distance.
//
// Axes: x the way the tails point, y across, z up; the origin of z is the height of the outlets.
//
// Valid for wavelengths longer than the tail is wide (ka < 1), for a microphone out of the jet, and
// for sound pressures far below ambient. Not modelled: README.md of this folder.
#pragma once

#include <Eigen/Core>
#include <complex>
#include <optional>
#include <vector>

#include "models/boundary/specification.hpp"

namespace pulsewright::models {

// Defaults: the stationary test of ISO 5130 [iso2019] and SAE J1492, 0.5 m from the outlet at 45
// deg to its axis at the height of the outlet, which is 0.2 m at least.
struct ListeningSpecification {
  // m; none: from the outlet with the largest y at `distance` and `angle_deg` outward.
  std::optional<Eigen::Vector3d> microphone;
  double distance = 0.5;         // m
  double angle_deg = 45;         // from the x axis towards +y
  double outlet_height = 0.3;    // m, of z = 0 above the ground
  double ground_reflection = 1;  // 0 = no ground, 1 = hard ground
};

struct Air {
  double density;      // kg/m3
  double sound_speed;  // m/s
};
// Dry air: perfect gas with the R of solver/gas/gas.hpp and gamma = 1.4.
Air air_outside(const Ambient& ambient);

class Listening {
 public:
  // outlets: m. Throws std::invalid_argument for no outlet, an outlet or a microphone below the
  // ground and a microphone nearer than 50 mm to an outlet, where no far field is.
  Listening(const ListeningSpecification& specification,
            const std::vector<Eigen::Vector3d>& outlets, const Air& air);

  const Eigen::Vector3d& microphone() const { return microphone_; }
  std::size_t outlets() const { return paths_.size(); }

  // Pa of pressure at the microphone per m3/s of volume flow out of an outlet, both as complex
  // amplitudes of exp(i 2 pi f t), f in Hz.
  std::complex<double> transfer(std::size_t outlet, double f) const;

 private:
  struct Path {
    double length;    // m
    double strength;  // 1 direct, the reflected part off the ground
  };
  Eigen::Vector3d microphone_;
  Air air_;
  std::vector<std::vector<Path>> paths_;  // by outlet, the direct one first
};

}  // namespace pulsewright::models
