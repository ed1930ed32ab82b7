// Fuels and weather: published values, and what a case makes of them.
#include "cases/fuel.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <string>
#include <utility>

#include "cases/case_error.hpp"
#include "cases/case_reader.hpp"
#include "cases/weather.hpp"
#include "models/cylinder/combustion.hpp"
#include "models/engine/point_simulation.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright;
using namespace pulsewright::cases;
using pulsewright::tests::near;
using pulsewright::tests::replaced;
using pulsewright::tests::sample_text;

namespace {

constexpr FuelKind all_fuels[] = {FuelKind::pump_petrol, FuelKind::race_petrol, FuelKind::e10,
                                  FuelKind::e85,         FuelKind::ethanol,     FuelKind::methanol};

CaseFile with(const std::string& combustion, const std::string& ambient = "") {
  return read_case_text(
      sample_text() + "[combustion]\n" + combustion + "\n[ambient]\n" + ambient + "\n",
      "fuel.toml");
}

// The single cylinder of the shipped cases on a coarse grid.
models::PointResult run_single(const std::string& tables) {
  CaseFile c = read_case_file(tests::shipped_folder() / "single-cylinder.toml");
  c = read_case_text(c.text + tables, "single.toml");
  BuildOptions options;
  options.cell_size = 0.03;
  models::RunSettings settings = c.run.settings;
  settings.store_traces = false;
  return models::PointSimulation(build_engine(c, c.headers.front(), options), 4000.0 / 60, settings)
      .run();
}

}  // namespace

TEST_CASE("fuels against a second publication (Heywood 1988, table D.4, from memory)") {
  const struct {
    FuelKind kind;
    double air_fuel, heating_value;
  } rows[] = {{FuelKind::pump_petrol, 14.6, 44.0e6},
              {FuelKind::ethanol, 9.00, 26.9e6},
              {FuelKind::methanol, 6.47, 20.0e6},
              // Blends: common practice, no source.
              {FuelKind::e10, 14.1, 41.9e6},
              {FuelKind::e85, 9.8, 29.2e6}};
  for (const auto& row : rows) {
    const Fuel fuel = fuel_of(row.kind);
    CAPTURE(row.air_fuel);
    CHECK(near(fuel.stoichiometric_air_fuel, row.air_fuel, 0.01));
    CHECK(near(fuel.heating_value, row.heating_value, 0.015));
  }
}

TEST_CASE("the formula of each fuel needs the air that is published") {
  for (const FuelKind kind : all_fuels) {
    const Fuel fuel = fuel_of(kind);
    CAPTURE(fuel.stoichiometric_air_fuel);
    // Petrol is no single substance: 14.6 or 14.7.
    CHECK(near(solver::stoichiometric_air_fuel(fuel.hydrogen_to_carbon, fuel.oxygen_to_carbon),
               fuel.stoichiometric_air_fuel, 0.01));
  }
}

TEST_CASE("vapour and heat of evaporation per air (Alternative Fuels Data Center, 2014)") {
  // Volume of fuel in the vaporized stoichiometric mixture: 2, 6.5, 12.3 %; heat 10, 44, 78.4
  // Btu/lb of air, printed in whole figures for petrol.
  const struct {
    FuelKind kind;
    double volume, heat, printed_volume;
  } rows[] = {{FuelKind::pump_petrol, 0.02, 10, 0.005},
              {FuelKind::ethanol, 0.065, 44, 0.0005},
              {FuelKind::methanol, 0.123, 78.4, 0.0005}};
  for (const auto& row : rows) {
    const Fuel fuel = fuel_of(row.kind);
    CAPTURE(row.heat);
    CHECK(near(fuel_vapour(fuel.stoichiometric_air_fuel, 1, fuel.molar_mass, 0), row.volume, 0,
               row.printed_volume));
    CHECK(near(fuel.latent_heat / fuel.stoichiometric_air_fuel / 2326, row.heat, 0.001, 0.5));
  }
  // Petrol that evaporates whole: 349 kJ/kg / 14.7 / 1.005 kJ/(kg K) = 23.6 K. The linear fit of cp
  // holds within 2 %.
  models::CombustionSpecification c;
  c.air_fuel_ratio = 14.7;
  c.latent_heat = fuel_of(FuelKind::pump_petrol).latent_heat;
  c.evaporated_before_runner = 1;
  CHECK(near(293.15 - temperature_after_evaporation(c, 293.15), 23.6, 0.02));
  c.evaporated_before_runner = 0;
  CHECK(temperature_after_evaporation(c, 293.15) == 293.15);
}

TEST_CASE(
    "pressure at a height (U.S. Standard Atmosphere 1976, table by geopotential, from memory)") {
  CHECK(standard_pressure(0) == 101325);
  CHECK(near(standard_pressure(1000), 89874.6, 1e-5));
  CHECK(near(standard_pressure(2000), 79495.2, 1e-5));
  CHECK(near(standard_pressure(5000), 54019.9, 1e-5));
}

TEST_CASE("saturation pressure of water (steam tables, from memory)") {
  CHECK(near(saturation_pressure(283.15), 1228.2, 2e-3));
  CHECK(near(saturation_pressure(293.15), 2339.2, 2e-3));
  CHECK(near(saturation_pressure(303.15), 4247.0, 2e-3));
  CHECK(near(saturation_pressure(313.15), 7384.9, 2e-3));
  // 30 degC and 50 % at 98 kPa: 2.12 kPa of vapour.
  CHECK(near(water_vapour(98000, 303.15, 0.5), 2.12 / 98, 2e-3));
}

TEST_CASE("a fuel by name, and what overrides it") {
  const auto methanol = with("fuel = \"methanol\"").combustion;
  CHECK(methanol.stoichiometric_air_fuel == 6.45);
  CHECK(near(methanol.heating_value, 8637 * 2326, 1e-12));
  CHECK(near(methanol.air_fuel_ratio, 12.8 / 14.6 * 6.45, 1e-12));
  CHECK(methanol.oxygen_to_carbon == 1);
  CHECK(methanol.fuel_vapour == 0);
  const auto rich =
      with("fuel = \"methanol\"\nair_fuel_ratio = 4.2\nheating_value = \"19.9 MJ/kg\"").combustion;
  CHECK(rich.air_fuel_ratio == 4.2);
  CHECK(near(rich.heating_value, 19.9e6, 1e-12));
  CHECK(rich.stoichiometric_air_fuel == 6.45);
}

TEST_CASE("water and fuel vapour take the place of air") {
  const CaseFile c =
      with("evaporated_in_intake = 0.2\nevaporated_in_cylinder = 0.3",
           "relative_humidity = 0.5\ntemperature = \"30 degC\"\naltitude = \"1000 m\"");
  CHECK(near(c.ambient.pressure, 89874.6, 1e-5));
  const double water = 0.5 * 4247.0 / 89874.6;
  CHECK(near(c.combustion.water_vapour, water, 2e-3));
  const double fuel = 0.5 * 28.965 / (12.8 * 110) * (1 - water);
  CHECK(near(c.combustion.fuel_vapour, fuel / (1 + fuel), 1e-4));
  CHECK(near(models::dry_air_share(c.combustion), (1 - water) / (1 + fuel), 1e-4));
  // Half of the fuel is a part of the charge already.
  CHECK(near(models::fuel_joining(c.combustion), models::dry_air_share(c.combustion) * 0.5 / 12.8,
             1e-12));
}

TEST_CASE("a fuel given by hand has the vapour that is given with it") {
  const std::string values =
      "stoichiometric_air_fuel = 9.0\nhydrogen_to_carbon = 3\noxygen_to_carbon = "
      "0.5\nair_fuel_ratio "
      "= 9\nevaporated_in_intake = 0.1\n";
  const auto by_name = with("fuel = \"ethanol\"\nair_fuel_ratio = 9\nevaporated_in_intake = 0.1\n");
  const auto by_hand = with(values + "molar_mass = \"46.07 g/mol\"\n");
  CHECK(near(by_hand.combustion.fuel_vapour, by_name.combustion.fuel_vapour, 1e-12));
  // Without it petrol's is taken, and that is listed: 0.1 x 28.965 / (9 x 110).
  const auto without = with(values);
  CHECK(near(without.combustion.fuel_vapour, 0.1 * 28.965 / (9 * 110), 5e-3));
  const auto listed = [](const CaseFile& c) {
    return std::any_of(c.assumptions.begin(), c.assumptions.end(), [](const Assumption& one) {
      return one.key == "combustion.molar_mass" && one.value == "110 g/mol";
    });
  };
  CHECK(listed(without));
  CHECK_FALSE(listed(by_hand));
  CHECK_FALSE(listed(by_name));
}

TEST_CASE("too much evaporation is said in the units that were chosen") {
  const std::string text =
      sample_text() + "[combustion]\nfuel = \"methanol\"\nevaporated_in_intake = 0.5\n";
  for (const auto& row : {std::pair(MessageUnits::metric, "from 20 degC to "),
                          std::pair(MessageUnits::inch, "from 68 degF to ")}) {
    std::string said;
    try {
      read_case_text(text, "cold.toml", row.first);
    } catch (const CaseError& error) {
      said = error.what();
    }
    CAPTURE(said);
    CHECK(said.find(row.second) != std::string::npos);
  }
}

TEST_CASE("mass, burnt gas and energy balance with evaporation and humidity") {
  const models::PointResult dry = run_single("");
  const models::PointResult cooled = run_single(
      "[combustion]\nfuel = \"methanol\"\nevaporated_in_intake = 0.05\nevaporated_in_cylinder = "
      "0.2\n[ambient]\nrelative_humidity = 0.8\n");
  REQUIRE(cooled.converged);
  for (const models::PointResult* r : {&dry, &cooled}) {
    CHECK(std::abs(r->ledger.mass.imbalance) < 1e-10);
    CHECK(std::abs(r->ledger.burnt.imbalance) < 1e-10);
    CHECK(std::abs(r->ledger.energy.imbalance) < 1e-10);
  }
  // Humid air alone: 80 % of 2339.2 Pa are 1.847 % of the charge that do not burn. The fuel per
  // charge falls by that; the indicated pressure goes with the dry air, as standards of power
  // correct it (SAE J1349, from memory). Charge that burns less hot loses less to the walls and has
  // lower specific heats, which gives an eighth of it back here.
  const models::PointResult humid = run_single("[ambient]\nrelative_humidity = 0.8\n");
  const double water = 0.8 * 2339.2 / 101325;
  const double per_charge =
      humid.fuel_flow / dry.fuel_flow * dry.charging_efficiency / humid.charging_efficiency;
  CHECK(near(1 - per_charge, water, 3e-3));
  CHECK(near(1 - humid.imep / dry.imep, water, 0.15));
  // Fuel that evaporates in the cylinder cools the charge, and more air goes in.
  const models::PointResult cold = run_single("[combustion]\nevaporated_in_cylinder = 0.5\n");
  CHECK(cold.volumetric_efficiency > dry.volumetric_efficiency);
}
