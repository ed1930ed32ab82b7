// Slider-crank mechanism: cylinder volume against crank angle.
//
// Piston below its highest point: x = sqrt((l + r)^2 - e^2) - (r cos(theta) + sqrt(l^2 - (r
// sin(theta) - e)^2)), e = pin offset towards the thrust side. Heywood (1988), section 2.2, with
// offset. Crank angle 0 = crank upright at firing top dead centre.
#pragma once

#include <cmath>
#include <numbers>

#include "models/specification.hpp"

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

  // Where the piston stands at a crank angle.
  struct Place {
    double position;      // m below the highest point
    double volume;        // m3
    double volume_slope;  // m3/rad
  };
  // angle in deg
  Place at(double angle) const {
    const double sine = r_ * std::sin(angle * degree);
    const double cosine = r_ * std::cos(angle * degree);
    const double s = sine - e_;
    const double root = std::sqrt(l_ * l_ - s * s);
    const double position = top_ - (cosine + root);
    return {position, clearance_ + area_ * position, area_ * (sine + s * cosine / root)};
  }
  double piston_position(double angle) const { return at(angle).position; }
  double volume(double angle) const { return at(angle).volume; }
  double volume_slope(double angle) const { return at(angle).volume_slope; }

 private:
  double r_, l_, e_, area_, top_;
  double swept_ = 0, clearance_ = 0;
};

}  // namespace pulsewright::models
