// Quantities with units, valve events and tube sizes.
// Conversion factors: exact by definition (inch, foot, psi through lbf and inch: NIST SP 811, from
// memory) unless marked otherwise.
#include "cases/quantity.hpp"

#include <doctest/doctest.h>
#include <string>

#include "cases/nearest_key.hpp"
#include "tests/near.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::near;

namespace {

std::string refusal(std::string_view text, Dimension dimension) {
  try {
    parse_quantity(text, dimension);
  } catch (const QuantityError& error) {
    return error.what();
  }
  return {};
}

bool mentions(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("quantities come out in SI") {
  struct Row {
    const char* text;
    Dimension dimension;
    double value;
  };
  const Row rows[] = {
      {"94 mm", Dimension::length, 0.094},
      {"94mm", Dimension::length, 0.094},
      {" 9.4 cm ", Dimension::length, 0.094},
      {"1-7/8 in", Dimension::length, 0.047625},
      {"1 7/8 in", Dimension::length, 0.047625},
      {"3/4 in", Dimension::length, 0.01905},
      {"-1/4 in", Dimension::length, -0.00635},
      {"1.875 in", Dimension::length, 0.047625},
      {"2 ft", Dimension::length, 0.6096},
      {"1e-3 m", Dimension::length, 0.001},
      {"2.5 in2", Dimension::area, 2.5 * 0.00064516},
      {"2 L", Dimension::volume, 0.002},
      {"499.6 cc", Dimension::volume, 499.6e-6},
      {"74 deg", Dimension::angle, 74},
      {"0.92 bar", Dimension::pressure, 92000},
      {"14.5 psi", Dimension::pressure, 14.5 * 6894.757293168},
      {"20 degC", Dimension::temperature, 293.15},
      {"68 degF", Dimension::temperature, 293.15},
      {"-40 degF", Dimension::temperature, 233.15},
      {"6000 rpm", Dimension::rotation, 100},
      {"43 MJ/kg", Dimension::heating_value, 43e6},
      {"25 W/(m K)", Dimension::conductivity, 25},
      {"30 W/(m2K)", Dimension::heat_coefficient, 30},
      {"0.09 bar s/m", Dimension::pressure_per_speed, 9000},
      {"0.0009 bar s2/m2", Dimension::pressure_per_speed_squared, 90},
      {"5 ms", Dimension::time, 0.005},
      {"680 hp", Dimension::power, 680 * 745.69987158},
      {"505 kW", Dimension::power, 505e3},
      // spellings of the trade
      {"1-7/8\"", Dimension::length, 0.047625},
      {"1-7/8 \"", Dimension::length, 0.047625},
      {"3 in.", Dimension::length, 0.0762},
      {".065 inch", Dimension::length, 0.001651},
      {"32 inches", Dimension::length, 0.8128},
      {"18 mil", Dimension::length, 18 * 25.4e-6},
      {"18 mils", Dimension::length, 18 * 25.4e-6},
      {"1 ft 4 in", Dimension::length, 0.4064},
      {"1' 4\"", Dimension::length, 0.4064},
      {"1'-4-1/2\"", Dimension::length, 0.4191},
      {"2 feet", Dimension::length, 0.6096},
      {"-1' 6\"", Dimension::length, -0.4572},
      {"78 F", Dimension::temperature, (78 + 459.67) / 1.8},
      {"20 C", Dimension::temperature, 293.15},
      {"20 \u00b0C", Dimension::temperature, 293.15},
      {"68 deg F", Dimension::temperature, 293.15},
      {"74 degrees", Dimension::angle, 74},
      {"74\u00b0", Dimension::angle, 74},
      {"28 in. H2O", Dimension::pressure, 28 * 249.08891},
      {"29.92 \"Hg", Dimension::pressure, 29.92 * 3386.38},
      {"378 cu in", Dimension::volume, 378 * 1.6387064e-5},
      {"2 litres", Dimension::volume, 0.002},
      {"600 kg/h", Dimension::mass_flow, 600.0 / 3600},
      {"10 lb/min", Dimension::mass_flow, 10 * 0.45359237 / 60},
      {"400 cpsi", Dimension::cell_density, 400 / 0.00064516},
      {"62 1/cm2", Dimension::cell_density, 62e4},
      {"46.07 g/mol", Dimension::molar_mass, 0.04607},
      {"46.07 kg/kmol", Dimension::molar_mass, 0.04607},
  };
  for (const Row& row : rows) {
    CAPTURE(row.text);
    CHECK(near(parse_quantity(row.text, row.dimension), row.value, 1e-12));
  }
}

TEST_CASE("flow-bench units (28 inH2O = 6974.489 Pa, 100 cfm of 20 degC air = 0.056828 kg/s)") {
  // Computed independently from the definitions; density of dry air at 101325 Pa.
  CHECK(near(parse_quantity("28 inH2O", Dimension::pressure), 6974.489, 1e-6));
  const double density = 101325 / (287.05 * 293.15);
  CHECK(near(parse_quantity("100 cfm", Dimension::volume_flow) * density, 0.056828, 2e-5));
}

TEST_CASE("wrong quantities say what is wrong and what is allowed") {
  CHECK(mentions(refusal("94", Dimension::length), "has no unit"));
  CHECK(mentions(refusal("94 mn", Dimension::length), "unknown unit 'mn' (did you mean 'm"));
  CHECK(mentions(refusal("94 bar", Dimension::length), "is a unit of pressure; a length is given"));
  CHECK(mentions(refusal("mm", Dimension::length), "does not start with a number"));
  CHECK(mentions(refusal("", Dimension::length), "does not start with a number"));
  CHECK(mentions(refusal("1,5 mm", Dimension::length), "with a point, not a comma"));
  CHECK(mentions(refusal("1/0 in", Dimension::length), "divides by zero"));
  CHECK(mentions(refusal("1.2.3 mm", Dimension::length), "is not a number"));
  CHECK(mentions(refusal("nan mm", Dimension::length), "does not start with a number"));
  CHECK(mentions(refusal("inf mm", Dimension::length), "does not start with a number"));
  CHECK(mentions(refusal("1e999 mm", Dimension::length), "is not a number this program can hold"));
  CHECK(mentions(refusal("1e308 bar", Dimension::pressure), "too large"));
  CHECK(mentions(refusal("-300 degC", Dimension::temperature), "below absolute zero"));
  CHECK(mentions(refusal("1 ft 14 in", Dimension::length), "a foot or more"));
  CHECK(mentions(refusal("1 ft 4 mm", Dimension::length), "is not in inches"));
  CHECK(mentions(refusal("1 m 4 in", Dimension::length), "unknown unit"));
  CHECK(mentions(refusal("5 F", Dimension::length), "'F' is a unit of temperature"));
  // No letter in common: nothing to suggest.
  CHECK(mentions(refusal("78 R", Dimension::temperature), "unknown unit 'R'; a temperature"));
  CHECK(mentions(refusal("94 MM", Dimension::length), "did you mean 'mm'"));
}

TEST_CASE("valve events") {
  CHECK(near(crank_angle(parse_valve_event("74 deg BBDC"), 360, 180), 106, 0, 1e-12));
  CHECK(near(crank_angle(parse_valve_event("10 deg ATDC"), 360, 180), 370, 0, 1e-12));
  CHECK(near(crank_angle(parse_valve_event("34 deg BTDC"), 360, 540), 326, 0, 1e-12));
  CHECK(near(crank_angle(parse_valve_event("70 deg ABDC"), 360, 540), 610, 0, 1e-12));
  CHECK(near(crank_angle(parse_valve_event("74 BBDC"), 360, 180), 106, 0, 1e-12));
  CHECK_THROWS_AS(parse_valve_event("74 deg"), QuantityError);
  CHECK_THROWS_AS(parse_valve_event("74"), QuantityError);
  CHECK_THROWS_AS(parse_valve_event("BBDC"), QuantityError);
  CHECK_THROWS_AS(parse_valve_event("74 BBDC deg"), QuantityError);
  CHECK_THROWS_AS(parse_valve_event("74 mm BBDC"), QuantityError);
  CHECK_THROWS_AS(parse_valve_event(""), QuantityError);
}

TEST_CASE("an event that can only be counted from one dead centre") {
  const ValveEvent bare = parse_valve_event("106 deg", DeadCentre::after_top);
  CHECK(bare.angle_deg == 106);
  CHECK(bare.from == DeadCentre::after_top);
  // What is written counts, as of a cam that is fitted far forward.
  CHECK(parse_valve_event("4 deg BTDC", DeadCentre::after_top).from == DeadCentre::before_top);
  CHECK_THROWS_AS(parse_valve_event("106", DeadCentre::after_top), QuantityError);
}

TEST_CASE("crank angles in the words of a cam card") {
  CHECK(valve_event_text(106, 180, false) == "74 deg BBDC");
  CHECK(valve_event_text(370, 360, true) == "10 deg ATDC");
  CHECK(valve_event_text(326, 360, true) == "34 deg BTDC");
  CHECK(valve_event_text(610, 540, false) == "70 deg ABDC");
  // The same cycle, counted from another firing.
  CHECK(valve_event_text(326 - 720, 360, true) == "34 deg BTDC");
  CHECK(valve_event_text(610 - 720, 540, false) == "70 deg ABDC");
  const ValveEvent opens = valve_event(106.25, 180, false);
  CHECK(opens.angle_deg == 73.75);
  CHECK(dead_centre_name(opens.from) == "BBDC");
}

TEST_CASE("plain numbers as they are spoken") {
  CHECK(parse_number("9.8") == 9.8);
  CHECK(parse_number("9.8:1") == 9.8);
  CHECK(parse_number("9.8 to 1") == 9.8);
  CHECK(near(parse_number("60 %"), 0.6, 1e-15));
  CHECK(near(parse_number("60%"), 0.6, 1e-15));
  CHECK_THROWS_AS(parse_number("9.8:2"), QuantityError);
  CHECK_THROWS_AS(parse_number("9.8 mm"), QuantityError);
  CHECK(length_of_number("1-7/8 in") == 5);
  CHECK(length_of_number("4.030") == 5);
  CHECK(length_of_number("102 mm") == 3);
  CHECK(length_of_number("mm") == 0);
}

TEST_CASE("a tube without units whose wall is a gauge") {
  CHECK(parse_tube("1-3/4 OD, 16 ga") == parse_tube("1-3/4 in OD, 16 ga"));
  CHECK(parse_tube("1.75 OD x 16 gauge") == parse_tube("1.75 in OD, 16 ga"));
  CHECK(parse_tube("2 OD, 16 ga") == parse_tube("2 in OD, 16 ga"));
  CHECK(parse_tube("45 OD, 16 ga") == parse_tube("45 mm OD, 16 ga"));
  CHECK_THROWS_AS(parse_tube("13 OD, 16 ga"), QuantityError);  // neither
}

TEST_CASE("tube stock: inside diameters of the common sizes (trade tables, common practice)") {
  struct Row {
    const char* text;
    double inside_in;
    double wall_in;
  };
  const Row rows[] = {
      {"1.5 in OD, 16 ga", 1.370, 0.065},
      {"1-5/8 in OD, 18 ga", 1.527, 0.049},
      {"1-3/4 in OD, 16 ga", 1.620, 0.065},
      {"1-7/8 in OD, 16 ga", 1.745, 0.065},
      {"1-7/8 in OD, 18 ga", 1.777, 0.049},
      {"2 in OD, 16 ga", 1.870, 0.065},
      {"2-1/8 in OD, 16 ga", 1.995, 0.065},
      {"3-1/2 in OD, 16 ga", 3.370, 0.065},
      {"2 in ID", 2.0, 0},
      {"2 in ID, 14 ga", 2.0, 0.083},
      {"1-7/8\" OD, 16 gauge", 1.745, 0.065},
      {"1-7/8 in. OD x 16 ga.", 1.745, 0.065},
      {"1.75 OD x .065 wall", 1.620, 0.065},
      {"1-1/2 in OD x .049 wall", 1.402, 0.049},
      {"1.75 in OD x 0.065 in", 1.620, 0.065},
      {"2 in O.D., 16-gauge", 1.870, 0.065},
      {"2 in OD 16 ga", 1.870, 0.065},
  };
  for (const Row& row : rows) {
    CAPTURE(row.text);
    const Tube tube = parse_tube(row.text);
    CHECK(near(tube.inside_diameter, row.inside_in * 0.0254, 1e-12));
    CHECK(near(tube.wall, row.wall_in * 0.0254, 1e-12));
  }
  CHECK(near(parse_tube("48 mm OD, 1.5 mm wall").inside_diameter, 0.045, 1e-12));
  CHECK(near(parse_tube("48 OD x 1.5 wall").inside_diameter, 0.045, 1e-12));
}

TEST_CASE("tubes that can be read in two ways, or have no opening, are refused") {
  for (const char* text : {"48 mm", "48 mm OD", "2 in, 16 ga", "2 in OD, 9 ga", "2 in OD, 16.5 ga",
                           "2 in OD, thick", "2 in OD, 0 mm wall", "1 mm OD, 1 mm wall", "OD", "",
                           "-2 in ID", "2 ID", "1.75 OD", "10 OD x 0.5 wall", "2 in OD x 32 in",
                           "2 in OD, 0.065", "2 in ODD, 16 ga", "2 in OD, 16 swg"}) {
    CAPTURE(text);
    CHECK_THROWS_AS(parse_tube(text), QuantityError);
  }
}

TEST_CASE("nearest key") {
  CHECK(edit_distance("bore", "bore") == 0);
  CHECK(edit_distance("bore", "broe") == 1);
  CHECK(edit_distance("bore", "Boer") == 1);
  CHECK(edit_distance("", "abc") == 3);
  CHECK(nearest_key("stork", {"bore", "stroke", "rod"}) == "stroke");
  CHECK(nearest_key("F", {"K", "degC"}).empty());
  CHECK(nearest_key("xyzzy", {"bore", "stroke", "rod"}).empty());
}
