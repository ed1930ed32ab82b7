// The air on the day: pressure at a height, and water vapour.
#pragma once

namespace pulsewright::cases {

// Pressure in Pa at a height above the sea in m, up to 11 km: U.S. Standard Atmosphere 1976, eq.
// (33a), with heights as geopotential (0.1 % of the height at 5 km).
double standard_pressure(double height);

// Saturation pressure of water in Pa at T (K), over liquid: Murray (1967), 610.78 Pa exp(17.2694 t
// / (t + 237.3)) with t in degC. Within 0.2 % of steam tables from 0 to 40 degC.
double saturation_pressure(double T);

// Mole fraction of water vapour in air of a pressure (Pa), temperature (K) and relative humidity (0
// to 1). 1 at most.
double water_vapour(double pressure, double T, double relative_humidity);

}  // namespace pulsewright::cases
