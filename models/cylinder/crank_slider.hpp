// Slider-crank mechanism: cylinder volume against crank angle.
//
// Piston below its highest point: x = sqrt((l + r)^2 - e^2) - (r cos(theta) + sqrt(l^2 - (r
// sin(theta) - e)^2)), e = pin offset towards the thrust side. Heywood (1988), section 2.2, with
// offset. Crank angle 0 = crank upright at firing top dead centre.
#pragma once

#include <cmath>
#include <numbers>

#include "models/cylinder/specification.hpp"
#include "solver/simd/math.hpp"

namespace pulsewright::models {

inline constexpr double degree = std::numbers::pi / 180.0;

class CrankSlider {
 public:
  explicit CrankSlider(const CylinderGeometry& g)
      : r_(0.5 * g.stroke),
        l_(g.rod),
        e_(g.pin_offset),
        area_(0.25 * std::numbers::pi * g.bore * g.bore),
        top_(std::sqrt((l_ + r_) * (l_ + r_) - e_ * e_)) {
    const double bottom = std::sqrt((l_ - r_) * (l_ - r_) - e_ * e_);
    swept_ = area_ * (top_ - bottom);
    clearance_ = swept_ / (g.compression_ratio - 1.0);
  }

  double piston_area() const { return area_; }            // m2
  double swept_volume() const { return swept_; }          // m3
  double clearance_volume() const { return clearance_; }  // m3

  // The piston at a crank angle.
  template <class Real>
  struct Kinematics {
    Real position;      // m below the highest point
    Real volume;        // m3
    Real volume_slope;  // m3/rad
  };
  // From sine and cosine of the angle.
  template <class Real>
  Kinematics<Real> at(const Real& sine, const Real& cosine) const {
    const Real across = r_ * sine;
    const Real s = across - e_;
    const Real root = solver::sqrt(Real(l_ * l_ - s * s));
    const Real position = top_ - (r_ * cosine + root);
    return {position, clearance_ + area_ * position, area_ * (across + s * (r_ * cosine) / root)};
  }
  // angle in deg
  Kinematics<double> at(double angle) const {
    return at(std::sin(angle * degree), std::cos(angle * degree));
  }
  double piston_position(double angle) const { return at(angle).position; }
  double volume(double angle) const { return at(angle).volume; }
  double volume_slope(double angle) const { return at(angle).volume_slope; }

 private:
  double r_, l_, e_, area_, top_;
  double swept_ = 0, clearance_ = 0;
};

}  // namespace pulsewright::models
