// Friction mean effective pressure, FMEP = a + b p_max + c S_p + d S_p^2.
// Chen & Flynn, SAE 650733 (1965), in the form of Winterbone & Turan (2015), eq. (16.21); the
// default constants (0.4 bar, 0.005, 0.09 bar s/m, 0.0009 bar s2/m2) are from memory, common use.
#pragma once

#include "models/cylinder/specification.hpp"

namespace pulsewright::models {

// Pa; peak cylinder pressure in Pa, mean piston speed in m/s.
inline double friction_pressure(const FrictionSpecification& f, double peak_pressure,
                                double piston_speed) {
  return f.a + f.b * peak_pressure + f.c * piston_speed + f.d * piston_speed * piston_speed;
}

}  // namespace pulsewright::models
