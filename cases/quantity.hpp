// Quantities of a case file: a number with its unit, as text.
//
// Every dimensioned value of a case file is a string such as "94 mm", "1-7/8 in", "28 inH2O" or
// "74 deg BBDC". The unit is never guessed: a length without a unit is how a header gets cut 25.4
// times too long. Numbers may be decimal ("1.875"), a fraction ("3/4") or whole and fraction
// ("1-7/8", "1 7/8"). Other spellings that cannot be mistaken are read, too: 1-7/8", 3 in., 1 ft 4
// in, 1' 4", 78 F, 74 degrees BBDC.
//
// Conversion factors: NIST Special Publication 811 (2008), appendix B, from memory; inch of water
// at 4 degC (249.08891 Pa), the convention of flow benches; inch of mercury at 0 degC.
#pragma once

#include <cstddef>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>

namespace pulsewright::cases {

// What kind of quantity a key of the case file holds. A closed set: a unit belongs to exactly one.
enum class Dimension {
  none,                        // plain number
  length,                      // m
  area,                        // m2
  volume,                      // m3
  angle,                       // deg
  pressure,                    // Pa
  temperature,                 // K
  rotation,                    // rev/s
  volume_flow,                 // m3/s
  mass_flow,                   // kg/s
  cell_density,                // 1/m2, channels of a catalyst per area
  time,                        // s
  heating_value,               // J/kg
  conductivity,                // W/(m K)
  heat_coefficient,            // W/(m2 K)
  pressure_per_speed,          // Pa s/m
  pressure_per_speed_squared,  // Pa s2/m2
  power,                       // W
  torque,                      // N m
  molar_mass                   // kg/mol
};

// A text that is not the quantity it should be. The message says what is wrong and what is allowed.
class QuantityError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

// Name of a dimension for messages ("length"), and the units it may be given in ("m, cm, mm, in").
std::string_view dimension_name(Dimension dimension);
std::string units_of(Dimension dimension);

// Value of `text` in SI (crank angles in degrees, rotation in rev/s).
// Throws QuantityError: no number, no unit, unknown unit, unit of another dimension, a value that
// is not finite, a temperature below absolute zero.
double parse_quantity(std::string_view text, Dimension dimension);

// The other way: `value` in SI as a number of the unit.
// Throws QuantityError for an unknown unit.
double in_unit(double value, std::string_view unit);

// The side of top or bottom dead centre from which a valve event is counted.
enum class DeadCentre { before_top, after_top, before_bottom, after_bottom };

struct ValveEvent {
  double angle_deg = 0;  // deg, may be negative
  DeadCentre from = DeadCentre::before_top;
};

// "74 deg BBDC", "10 deg ATDC", "74 BBDC"; "34 BTDC deg" is refused. only: the one dead centre that
// the event can be counted from, which need not be written then: "106 deg". Throws QuantityError.
ValveEvent parse_valve_event(std::string_view text, std::optional<DeadCentre> only = {});

// Crank angle in degrees of an event, given the crank angles of the top and bottom dead centres it
// is counted from.
double crank_angle(const ValveEvent& event, double top_deg, double bottom_deg);

// The other way: of a crank angle counted from one dead centre (deg); top: whether that is a top
// one.
ValveEvent valve_event(double angle_deg, double dead_centre_deg, bool top);

// "BBDC"
std::string_view dead_centre_name(DeadCentre from);

// "82 deg BBDC" of a crank angle, likewise.
std::string valve_event_text(double angle_deg, double dead_centre_deg, bool top);

// How many characters of `text` are the number that it begins with, spaces before it included; 0 if
// it does not begin with one.
std::size_t length_of_number(std::string_view text);

// A plain number, which may be written as a ratio to one or in per cent: "9.8", "9.8:1", "60 %".
// Throws QuantityError.
double parse_number(std::string_view text);

// A tube by its stock size.
struct Tube {
  double inside_diameter = 0;  // m
  double wall = 0;             // m; 0 = not given

  bool operator==(const Tube&) const = default;
};

// "1-7/8 in OD, 16 ga", "48 mm OD, 1.5 mm wall", "2 in ID", "2 in ID, 16 ga"; also with an x
// between, 16 gauge, a wall without a unit that can only be of one (1-1/2 in OD x .049 wall), and
// without units where diameter and wall can only be of one: 1.75 OD x .065 wall, 1-3/4 OD 16 ga.
// Gauges are Birmingham wire gauge 10 to 22. Throws QuantityError; a diameter without OD or ID is
// refused, since both readings are common and differ by two walls.
Tube parse_tube(std::string_view text);

// Wall in m of a Birmingham wire gauge (ASTM A513 tables, from memory beyond the gauges 11 to 18);
// 0 if the gauge is not in the table.
double gauge_wall(int gauge);

}  // namespace pulsewright::cases
