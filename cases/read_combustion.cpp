#include "cases/read_combustion.hpp"

#include <fmt/format.h>

#include "cases/fuel.hpp"
#include "cases/weather.hpp"

namespace pulsewright::cases {
namespace {

// The value of a key, or of the fuel that is named where the key is left out.
double of_fuel(Section& s, std::string_view key, const std::optional<Fuel>& fuel,
               double Fuel::*value, bool dimensioned) {
  const double read = dimensioned ? s.quantity(key) : s.number(key);
  return fuel && !s.has(key) ? (*fuel).*value : read;
}

void read_fuel(Section& s, models::CombustionSpecification& out, double water_vapour) {
  std::optional<Fuel> fuel;
  const std::string name = s.choice("fuel");
  if (s.has("fuel")) {
    fuel = fuel_of(static_cast<FuelKind>(
        choice_index(*find_parameter("combustion", "fuel"), name).value_or(0)));
  }
  out.stoichiometric_air_fuel =
      of_fuel(s, "stoichiometric_air_fuel", fuel, &Fuel::stoichiometric_air_fuel, false);
  out.hydrogen_to_carbon = of_fuel(s, "hydrogen_to_carbon", fuel, &Fuel::hydrogen_to_carbon, false);
  out.oxygen_to_carbon = of_fuel(s, "oxygen_to_carbon", fuel, &Fuel::oxygen_to_carbon, false);
  out.heating_value = of_fuel(s, "heating_value", fuel, &Fuel::heating_value, true);
  out.air_fuel_ratio = s.number("air_fuel_ratio");
  if (fuel && !s.has("air_fuel_ratio")) {
    const models::CombustionSpecification usual;
    out.air_fuel_ratio *= out.stoichiometric_air_fuel / usual.stoichiometric_air_fuel;
  }
  const bool by_hand = !fuel && (s.has("stoichiometric_air_fuel") || s.has("hydrogen_to_carbon") ||
                                 s.has("oxygen_to_carbon") || s.has("heating_value"));
  if (!fuel) fuel = fuel_of(FuelKind::pump_petrol);
  const double molar_mass = s.quantity("molar_mass");
  const double latent_heat = s.quantity("latent_heat");
  out.latent_heat = s.has("latent_heat") ? latent_heat : fuel->latent_heat;
  out.evaporated_before_runner = s.number("evaporated_in_intake");
  out.evaporated_in_cylinder = s.number("evaporated_in_cylinder");
  out.water_vapour = water_vapour;
  const double evaporated = out.evaporated_before_runner + out.evaporated_in_cylinder;
  if (evaporated > 1) {
    s.problem("evaporated_in_cylinder",
              fmt::format("and evaporated_in_intake make {:.3g} together", evaporated),
              "both are shares of all the fuel, 1 together at most");
  } else if (out.air_fuel_ratio > 0) {
    out.fuel_vapour =
        fuel_vapour(out.air_fuel_ratio, evaporated,
                    s.has("molar_mass") ? molar_mass : fuel->molar_mass, out.water_vapour);
  }
  if (by_hand && evaporated > 0 && !s.has("molar_mass")) {
    s.assume(
        "molar_mass", "110 g/mol", "32 g/mol", "114 g/mol",
        "the fuel is given by hand, and the vapour of petrol is taken: of alcohols it is 32 to "
        "46 g/mol and takes the room of more air");
  }
}

// Evaporation in the cylinder is taken up before the intake closes, all of it: more than this cools
// beyond what fills engines. Engines on methanol gain some 10 % of charge (common practice, no
// source).
constexpr double most_cooling = 35;  // K

void check_cylinder_evaporation(Section& s, const models::CombustionSpecification& c) {
  constexpr double cp = 1005;  // J/(kg K), of air
  const double cooling = c.evaporated_in_cylinder * c.latent_heat / (c.air_fuel_ratio * cp);
  if (cooling <= most_cooling) return;
  s.remark("evaporated_in_cylinder",
           fmt::format("cools the charge by {} while the cylinder fills, which adds some "
                       "{:.0f} % of air",
                       s.shown().temperature_difference(cooling), 100 * cooling / 300),
           fmt::format("most of an alcohol evaporates after the intake has closed; up to {}, "
                       "{:.2g} of this fuel, is what engines show",
                       s.shown().temperature_difference(most_cooling),
                       most_cooling * cp * c.air_fuel_ratio / c.latent_heat));
}

// What evaporates cools the air until its vapour saturates; no engine runs on air colder than that.
void check_evaporation(Section& s, const models::CombustionSpecification& c, double ambient) {
  constexpr double coldest = 253.15;  // K
  const double T = temperature_after_evaporation(c, ambient);
  if (T >= coldest || T == ambient) return;
  s.problem("evaporated_in_intake",
            fmt::format("cools the air from {} to {}, where no more evaporates",
                        s.shown().temperature(ambient, 3), s.shown().temperature(T, 3)),
            "give less; of petrol a third to a half evaporates before the valve, of alcohols less");
}

void read_burning(Section& s, models::CombustionSpecification& out) {
  out.efficiency = s.number("efficiency");
  if (const auto event = s.event("burned_50")) {
    if (event->from != DeadCentre::before_top && event->from != DeadCentre::after_top) {
      s.problem("burned_50", "is not counted from top dead centre",
                "for example: burned_50 = \"8 deg ATDC\"");
    } else {
      out.burned_50_deg = crank_angle(*event, 0, 180);
      if (!(out.burned_50_deg >= -30 && out.burned_50_deg <= 90)) {
        s.problem("burned_50", "lies outside 30 deg BTDC to 90 deg ATDC",
                  "for example: burned_50 = \"8 deg ATDC\"");
      }
    }
  }
  out.duration_deg = s.quantity("duration");
  out.reference_speed = s.quantity("reference_speed");
  out.duration_exponent = s.number("duration_exponent");
  out.wiebe_a = s.number("wiebe_a");
  out.wiebe_m = s.number("wiebe_m");
}

}  // namespace

Weather read_weather(Section s, Problems& problems, bool engine) {
  Weather out;
  out.ambient.pressure = s.quantity("pressure");
  out.ambient.temperature = s.quantity("temperature");
  const double altitude = s.quantity("altitude");
  const double humidity = s.number("relative_humidity");
  s.finish();
  if (s.has("altitude") && s.has("pressure")) {
    s.problem("altitude", "is given beside pressure", "keep one of the two");
  }
  if (s.has("relative_humidity") && !engine) {
    s.problem("relative_humidity", "needs an engine, and the case has none", "remove it");
  }
  if (problems.any()) return out;
  if (s.has("altitude")) out.ambient.pressure = standard_pressure(altitude);
  out.water_vapour = water_vapour(out.ambient.pressure, out.ambient.temperature, humidity);
  return out;
}

models::CombustionSpecification read_combustion(Section s, Problems& problems,
                                                const Weather& weather) {
  models::CombustionSpecification out;
  read_fuel(s, out, weather.water_vapour);
  read_burning(s, out);
  s.finish();
  if (!problems.any()) {
    check_evaporation(s, out, weather.ambient.temperature);
    check_cylinder_evaporation(s, out);
  }
  return out;
}

}  // namespace pulsewright::cases
