// Units of printed output: metric or inch. Inside everything is SI.
#pragma once

#include <string_view>

#include "tools/study/shown_figures.hpp"

namespace pulsewright::tools {

enum class UnitSystem { metric, inch };

// A quantity as shown: value = SI value * factor, followed by the name of the unit.
struct DisplayUnit {
  double factor;
  std::string_view name;
};

// Factors: NIST Special Publication 811 (2008), appendix B.
struct DisplayUnits {
  explicit DisplayUnits(UnitSystem system)
      : torque(system == UnitSystem::metric ? DisplayUnit{1.0, "N m"}
                                            : DisplayUnit{1.0 / 1.3558179483, "lb ft"}),
        power(system == UnitSystem::metric ? DisplayUnit{1e-3, "kW"}
                                           : DisplayUnit{1.0 / 745.69987158, "hp"}),
        pressure(system == UnitSystem::metric ? DisplayUnit{1e-3, "kPa"}
                                              : DisplayUnit{1.0 / 6894.757293, "psi"}),
        high_pressure(system == UnitSystem::metric ? DisplayUnit{1e-5, "bar"}
                                                   : DisplayUnit{1.0 / 6894.757293, "psi"}),
        length(system == UnitSystem::metric ? DisplayUnit{1e3, "mm"}
                                            : DisplayUnit{1.0 / 0.0254, "in"}),
        mass(DisplayUnit{1e6, "mg"}),
        small_length_step(system == UnitSystem::metric ? 0.010 : 0.0254),
        small_length_name(system == UnitSystem::metric ? "10 mm" : "1 in") {}

  // Percent of a fraction and degrees of crank angle are the same in both systems.
  DisplayUnit of(ShownIn shown_in) const {
    switch (shown_in) {
      case ShownIn::torque:
        return torque;
      case ShownIn::power:
        return power;
      case ShownIn::percent:
        return {100.0, "%"};
      case ShownIn::degree:
        return {1.0, "deg"};
      case ShownIn::pressure:
      case ShownIn::gauge:
        break;
    }
    return pressure;
  }

  DisplayUnit torque, power, pressure, high_pressure, length, mass;
  double small_length_step;  // m, a handy step of tube length
  std::string_view small_length_name;
};

// degC or degF of a temperature in K.
inline double shown_temperature(UnitSystem system, double kelvin) {
  return system == UnitSystem::metric ? kelvin - 273.15 : kelvin * 1.8 - 459.67;
}
inline std::string_view temperature_name(UnitSystem system) {
  return system == UnitSystem::metric ? "degC" : "degF";
}

}  // namespace pulsewright::tools
