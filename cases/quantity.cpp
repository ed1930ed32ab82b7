// Over 400 lines because units, their spellings and everything that is written with them stand
// here.
#include "cases/quantity.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <optional>
#include <utility>

#include "cases/decimal_number.hpp"
#include "cases/nearest_key.hpp"
#include "cases/visible_text.hpp"

namespace pulsewright::cases {
namespace {

constexpr double inch = 0.0254;
constexpr double foot = 0.3048;
constexpr double pound = 0.45359237;
constexpr double pi = 3.14159265358979323846;

struct Unit {
  std::string_view name;
  Dimension dimension;
  double factor;      // SI = (value + offset) * factor
  double offset = 0;  // temperatures only
};

// The first spelling of each unit is the one shown in messages; `shown` units come first.
constexpr std::array known_units{
    Unit{"m", Dimension::length, 1},
    Unit{"cm", Dimension::length, 1e-2},
    Unit{"mm", Dimension::length, 1e-3},
    Unit{"um", Dimension::length, 1e-6},
    Unit{"in", Dimension::length, inch},
    Unit{"ft", Dimension::length, foot},
    Unit{"thou", Dimension::length, 1e-3 * inch},
    Unit{"m2", Dimension::area, 1},
    Unit{"cm2", Dimension::area, 1e-4},
    Unit{"mm2", Dimension::area, 1e-6},
    Unit{"in2", Dimension::area, inch* inch},
    Unit{"m3", Dimension::volume, 1},
    Unit{"L", Dimension::volume, 1e-3},
    Unit{"cc", Dimension::volume, 1e-6},
    Unit{"cm3", Dimension::volume, 1e-6},
    Unit{"in3", Dimension::volume, inch* inch* inch},
    Unit{"deg", Dimension::angle, 1},
    Unit{"rad", Dimension::angle, 180 / pi},
    Unit{"Pa", Dimension::pressure, 1},
    Unit{"kPa", Dimension::pressure, 1e3},
    Unit{"MPa", Dimension::pressure, 1e6},
    Unit{"bar", Dimension::pressure, 1e5},
    Unit{"mbar", Dimension::pressure, 1e2},
    Unit{"hPa", Dimension::pressure, 1e2},
    Unit{"atm", Dimension::pressure, 101325},
    Unit{"psi", Dimension::pressure, 6894.757293168},
    Unit{"inHg", Dimension::pressure, 3386.38},
    Unit{"mmHg", Dimension::pressure, 133.322387415},
    Unit{"inH2O", Dimension::pressure, 249.08891},
    Unit{"K", Dimension::temperature, 1},
    Unit{"degC", Dimension::temperature, 1, 273.15},
    Unit{"degF", Dimension::temperature, 5.0 / 9.0, 459.67},
    Unit{"rpm", Dimension::rotation, 1.0 / 60},
    Unit{"rev/min", Dimension::rotation, 1.0 / 60},
    Unit{"rev/s", Dimension::rotation, 1},
    Unit{"cfm", Dimension::volume_flow, foot* foot* foot / 60},
    Unit{"m3/s", Dimension::volume_flow, 1},
    Unit{"m3/h", Dimension::volume_flow, 1.0 / 3600},
    Unit{"L/s", Dimension::volume_flow, 1e-3},
    Unit{"L/min", Dimension::volume_flow, 1e-3 / 60},
    Unit{"kg/s", Dimension::mass_flow, 1},
    Unit{"kg/h", Dimension::mass_flow, 1.0 / 3600},
    Unit{"lb/min", Dimension::mass_flow, pound / 60},
    Unit{"lb/h", Dimension::mass_flow, pound / 3600},
    Unit{"cpsi", Dimension::cell_density, 1 / (inch * inch)},
    Unit{"1/cm2", Dimension::cell_density, 1e4},
    Unit{"s", Dimension::time, 1},
    Unit{"ms", Dimension::time, 1e-3},
    Unit{"N m", Dimension::torque, 1},
    Unit{"lb ft", Dimension::torque, 1.3558179483},
    Unit{"kgf m", Dimension::torque, 9.80665},
    Unit{"J/kg", Dimension::heating_value, 1},
    Unit{"kJ/kg", Dimension::heating_value, 1e3},
    Unit{"MJ/kg", Dimension::heating_value, 1e6},
    Unit{"W/(m K)", Dimension::conductivity, 1},
    Unit{"W/(m2 K)", Dimension::heat_coefficient, 1},
    Unit{"Pa s/m", Dimension::pressure_per_speed, 1},
    Unit{"kPa s/m", Dimension::pressure_per_speed, 1e3},
    Unit{"bar s/m", Dimension::pressure_per_speed, 1e5},
    Unit{"Pa s2/m2", Dimension::pressure_per_speed_squared, 1},
    Unit{"kPa s2/m2", Dimension::pressure_per_speed_squared, 1e3},
    Unit{"bar s2/m2", Dimension::pressure_per_speed_squared, 1e5},
    Unit{"W", Dimension::power, 1},
    Unit{"kW", Dimension::power, 1e3},
    Unit{"hp", Dimension::power, 745.69987158},
    Unit{"PS", Dimension::power, 735.49875},
    Unit{"g/mol", Dimension::molar_mass, 1e-3},
    Unit{"kg/kmol", Dimension::molar_mass, 1e-3},
    Unit{"kg/mol", Dimension::molar_mass, 1},
};

// What else a unit is written as, where it cannot be mistaken for another one.
struct Spelling {
  std::string_view written;  // without spaces
  std::string_view unit;
};
constexpr std::array spellings{
    Spelling{"\"", "in"},
    Spelling{"inch", "in"},
    Spelling{"mil", "thou"},
    Spelling{"mils", "thou"},
    Spelling{"inches", "in"},
    Spelling{"\u2033", "in"},
    Spelling{"'", "ft"},
    Spelling{"foot", "ft"},
    Spelling{"feet", "ft"},
    Spelling{"\u2032", "ft"},
    Spelling{"metre", "m"},
    Spelling{"metres", "m"},
    Spelling{"meter", "m"},
    Spelling{"meters", "m"},
    Spelling{"mm^2", "mm2"},
    Spelling{"mm\u00b2", "mm2"},
    Spelling{"cm^2", "cm2"},
    Spelling{"cm\u00b2", "cm2"},
    Spelling{"in^2", "in2"},
    Spelling{"in\u00b2", "in2"},
    Spelling{"sqin", "in2"},
    Spelling{"l", "L"},
    Spelling{"litre", "L"},
    Spelling{"litres", "L"},
    Spelling{"liter", "L"},
    Spelling{"liters", "L"},
    Spelling{"cm^3", "cm3"},
    Spelling{"cm\u00b3", "cm3"},
    Spelling{"in^3", "in3"},
    Spelling{"in\u00b3", "in3"},
    Spelling{"cuin", "in3"},
    Spelling{"\u00b0", "deg"},
    Spelling{"degree", "deg"},
    Spelling{"degrees", "deg"},
    Spelling{"in.Hg", "inHg"},
    Spelling{"\"Hg", "inHg"},
    Spelling{"in.H2O", "inH2O"},
    Spelling{"\"H2O", "inH2O"},
    Spelling{"inchesofwater", "inH2O"},
    Spelling{"inchesofmercury", "inHg"},
    Spelling{"C", "degC"},
    Spelling{"\u00b0C", "degC"},
    Spelling{"F", "degF"},
    Spelling{"\u00b0F", "degF"},
    Spelling{"RPM", "rpm"},
    Spelling{"CFM", "cfm"},
    Spelling{"sec", "s"},
    Spelling{"N*m", "N m"},
    Spelling{"N.m", "N m"},
    Spelling{"N-m", "N m"},
    Spelling{"lb-ft", "lb ft"},
    Spelling{"lbf-ft", "lb ft"},
    Spelling{"lbfft", "lb ft"},
    Spelling{"ft-lb", "lb ft"},
    Spelling{"ftlb", "lb ft"},
    Spelling{"ft-lbs", "lb ft"},
    Spelling{"ftlbs", "lb ft"},
    Spelling{"bhp", "hp"},
    Spelling{"HP", "hp"},
    Spelling{"KW", "kW"},
    Spelling{"msec", "ms"},
};

struct Gauge {
  int number;
  double wall_in;
};
constexpr std::array gauges{Gauge{10, 0.134}, Gauge{11, 0.120}, Gauge{12, 0.109}, Gauge{13, 0.095},
                            Gauge{14, 0.083}, Gauge{15, 0.072}, Gauge{16, 0.065}, Gauge{17, 0.058},
                            Gauge{18, 0.049}, Gauge{19, 0.042}, Gauge{20, 0.035}, Gauge{21, 0.032},
                            Gauge{22, 0.028}};

bool is_space(char c) { return c == ' ' || c == '\t'; }
bool is_digit(char c) { return c >= '0' && c <= '9'; }

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && is_space(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_space(text.back())) text.remove_suffix(1);
  return text;
}

std::string without_spaces(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (!is_space(c)) out += c;
  }
  return out;
}

// Digits at the front of `text`, removed from it. False if there are none.
bool take_digits(std::string_view& text, std::string_view& digits) {
  std::size_t n = 0;
  while (n < text.size() && is_digit(text[n])) ++n;
  digits = text.substr(0, n);
  text.remove_prefix(n);
  return n > 0;
}

double decimal(std::string_view digits) {
  const std::optional<double> value = decimal_number(digits);
  if (!value || !std::isfinite(*value)) {
    throw QuantityError(
        fmt::format("'{}' is not a number this program can hold", shortened(digits)));
  }
  return *value;
}

// "7/8" at the front of `text`. Leaves `text` alone and returns false if there is none.
bool take_fraction(std::string_view& text, double& value) {
  std::string_view rest = text;
  std::string_view top;
  std::string_view bottom;
  if (!take_digits(rest, top) || rest.empty() || rest.front() != '/') return false;
  rest.remove_prefix(1);
  if (!take_digits(rest, bottom)) return false;
  const double divisor = decimal(bottom);
  if (divisor == 0)
    throw QuantityError(
        fmt::format("the fraction {}/{} divides by zero", shortened(top), shortened(bottom)));
  value = decimal(top) / divisor;
  text = rest;
  return true;
}

bool take_mixed(std::string_view& text, double& value) {
  std::string_view rest = text;
  std::string_view whole;
  if (!take_digits(rest, whole) || rest.empty()) return false;
  if (rest.front() != '-' && !is_space(rest.front())) return false;
  while (!rest.empty() && is_space(rest.front())) rest.remove_prefix(1);
  if (!rest.empty() && rest.front() == '-') rest.remove_prefix(1);
  double part = 0;
  if (!take_fraction(rest, part)) return false;
  value = decimal(whole) + part;
  text = rest;
  return true;
}

bool take_decimal(std::string_view& text, double& value) {
  std::size_t n = 0;
  while (n < text.size() && (is_digit(text[n]) || text[n] == '.')) ++n;
  if (n == 0) return false;
  // An exponent counts only with digits after it, so that "2 e" or a unit in e is left alone.
  std::size_t after = n;
  if (after < text.size() && (text[after] == 'e' || text[after] == 'E')) {
    ++after;
    if (after < text.size() && (text[after] == '+' || text[after] == '-')) ++after;
    const std::size_t first = after;
    while (after < text.size() && is_digit(text[after])) ++after;
    if (after > first) n = after;
  }
  value = decimal(text.substr(0, n));
  text.remove_prefix(n);
  return true;
}

// The number at the front of `text`; `text` keeps the rest, trimmed.
double take_number(std::string_view& text) {
  const std::string whole(text);
  text = trimmed(text);
  double sign = 1;
  if (!text.empty() && (text.front() == '-' || text.front() == '+')) {
    sign = text.front() == '-' ? -1 : 1;
    text.remove_prefix(1);
  }
  double value = 0;
  if (!take_mixed(text, value) && !take_fraction(text, value) && !take_decimal(text, value)) {
    throw QuantityError(fmt::format("'{}' does not start with a number", shortened(whole)));
  }
  if (!text.empty() && text.front() == ',') {
    throw QuantityError("write decimals with a point, not a comma");
  }
  text = trimmed(text);
  return sign * value;
}

// The number of a text that has no unit; none otherwise.
std::optional<double> bare_number(std::string_view text) {
  if (text.empty()) return std::nullopt;
  const double number = take_number(text);
  return text.empty() ? std::optional<double>(number) : std::nullopt;
}

const Unit* find_unit(std::string_view name) {
  std::string spelling = without_spaces(name);
  if (spelling.size() > 1 && spelling.back() == '.') spelling.pop_back();  // "in."
  const auto other = std::find_if(spellings.begin(), spellings.end(),
                                  [&](const Spelling& known) { return known.written == spelling; });
  if (other != spellings.end()) spelling = other->unit;
  for (const Unit& unit : known_units) {
    if (without_spaces(unit.name) == spelling) return &unit;
  }
  return nullptr;
}

// The inches of "1 ft 4 in" or "1' 4-1/2\"": `text` is what follows the number of feet. None if it
// is not of this form.
std::optional<double> inches_beside_feet(std::string_view text) {
  const std::size_t digit = std::min(text.find_first_of("0123456789"), text.size());
  std::string_view feet = text.substr(0, digit);
  std::string_view inches = text.substr(digit);
  while (!feet.empty() && (is_space(feet.back()) || feet.back() == '-')) feet.remove_suffix(1);
  const Unit* unit = find_unit(feet);
  if (inches.empty() || unit == nullptr || unit->factor != foot) return std::nullopt;
  const double value = take_number(inches);
  unit = find_unit(inches);
  if (unit == nullptr || unit->dimension != Dimension::length || unit->factor != inch) {
    throw QuantityError(
        fmt::format("'{}' beside feet is not in inches", shortened(text.substr(digit))));
  }
  if (!(value < 12)) {
    throw QuantityError(
        fmt::format("'{}' beside feet is a foot or more", shortened(text.substr(digit))));
  }
  return value;
}

std::string suggestion(std::string_view name, Dimension dimension) {
  std::vector<std::string> names;
  for (const Unit& unit : known_units) {
    if (unit.dimension == dimension) names.emplace_back(unit.name);
  }
  const std::string near = nearest_key(name, names);
  return near.empty() ? std::string() : fmt::format(" (did you mean '{}'?)", near);
}

}  // namespace

std::string_view dimension_name(Dimension dimension) {
  switch (dimension) {
    case Dimension::none:
      return "plain number";
    case Dimension::length:
      return "length";
    case Dimension::area:
      return "area";
    case Dimension::volume:
      return "volume";
    case Dimension::angle:
      return "angle";
    case Dimension::pressure:
      return "pressure";
    case Dimension::temperature:
      return "temperature";
    case Dimension::rotation:
      return "speed of rotation";
    case Dimension::volume_flow:
      return "volume flow";
    case Dimension::mass_flow:
      return "mass flow";
    case Dimension::cell_density:
      return "number of cells per area";
    case Dimension::time:
      return "time";
    case Dimension::torque:
      return "torque";
    case Dimension::heating_value:
      return "heating value";
    case Dimension::conductivity:
      return "thermal conductivity";
    case Dimension::heat_coefficient:
      return "heat transfer coefficient";
    case Dimension::pressure_per_speed:
      return "pressure per piston speed";
    case Dimension::pressure_per_speed_squared:
      return "pressure per piston speed squared";
    case Dimension::power:
      return "power";
    case Dimension::molar_mass:
      return "molar mass";
  }
  return "quantity";
}

std::string units_of(Dimension dimension) {
  std::string out;
  for (const Unit& unit : known_units) {
    if (unit.dimension != dimension) continue;
    if (!out.empty()) out += ", ";
    out += unit.name;
  }
  return out;
}

double parse_quantity(std::string_view text, Dimension dimension) {
  std::string_view rest = text;
  const double number = take_number(rest);
  if (rest.empty()) {
    throw QuantityError(fmt::format("'{}' has no unit; a {} is given in {}", shortened(text),
                                    dimension_name(dimension), units_of(dimension)));
  }
  if (dimension == Dimension::length) {
    if (const auto inches = inches_beside_feet(rest)) {
      return std::copysign(std::abs(number) * foot + *inches * inch, number);
    }
  }
  const Unit* unit = find_unit(rest);
  if (unit == nullptr) {
    throw QuantityError(fmt::format("unknown unit '{}'{}; a {} is given in {}", shortened(rest),
                                    suggestion(rest, dimension), dimension_name(dimension),
                                    units_of(dimension)));
  }
  if (unit->dimension != dimension) {
    throw QuantityError(fmt::format("'{}' is a unit of {}; a {} is given in {}", rest,
                                    dimension_name(unit->dimension), dimension_name(dimension),
                                    units_of(dimension)));
  }
  const double value = (number + unit->offset) * unit->factor;
  if (!std::isfinite(value)) {
    throw QuantityError(fmt::format("'{}' is too large for this program", shortened(text)));
  }
  if (dimension == Dimension::temperature && value < 0) {
    throw QuantityError(fmt::format("'{}' is below absolute zero", shortened(text)));
  }
  return value;
}

double in_unit(double value, std::string_view name) {
  const Unit* unit = find_unit(name);
  if (unit == nullptr) throw QuantityError(fmt::format("unknown unit '{}'", name));
  return value / unit->factor - unit->offset;
}

ValveEvent parse_valve_event(std::string_view text, std::optional<DeadCentre> only) {
  constexpr std::string_view form =
      "a valve event is an angle and the dead centre it is counted from: BTDC, ATDC, BBDC or ABDC";
  const std::string_view whole = trimmed(text);
  const std::size_t split = whole.find_last_of(" \t");
  const std::string_view word =
      split == std::string_view::npos ? std::string_view() : whole.substr(split + 1);
  ValveEvent event;
  if (word == "BTDC") {
    event.from = DeadCentre::before_top;
  } else if (word == "ATDC") {
    event.from = DeadCentre::after_top;
  } else if (word == "BBDC") {
    event.from = DeadCentre::before_bottom;
  } else if (word == "ABDC") {
    event.from = DeadCentre::after_bottom;
  } else if (only) {
    return {parse_quantity(whole, Dimension::angle), *only};
  } else {
    throw QuantityError(fmt::format("'{}': {}", shortened(text), form));
  }
  // Before its dead centre an angle needs no unit: no one counts it in radians.
  std::string_view angle = whole.substr(0, split);
  const std::optional<double> bare = bare_number(angle);
  event.angle_deg = bare ? *bare : parse_quantity(angle, Dimension::angle);
  return event;
}

ValveEvent valve_event(double angle_deg, double dead_centre_deg, bool top) {
  double from = std::fmod(angle_deg - dead_centre_deg, 720.0);
  if (from >= 360) from -= 720;
  if (from < -360) from += 720;
  const DeadCentre before = top ? DeadCentre::before_top : DeadCentre::before_bottom;
  const DeadCentre after = top ? DeadCentre::after_top : DeadCentre::after_bottom;
  return {std::abs(from), from < 0 ? before : after};
}

std::string_view dead_centre_name(DeadCentre from) {
  switch (from) {
    case DeadCentre::before_top:
      return "BTDC";
    case DeadCentre::after_top:
      return "ATDC";
    case DeadCentre::before_bottom:
      return "BBDC";
    case DeadCentre::after_bottom:
      break;
  }
  return "ABDC";
}

std::string valve_event_text(double angle_deg, double dead_centre_deg, bool top) {
  const ValveEvent event = valve_event(angle_deg, dead_centre_deg, top);
  return fmt::format("{:.4g} deg {}", event.angle_deg, dead_centre_name(event.from));
}

std::size_t length_of_number(std::string_view text) {
  std::string_view rest = text;
  try {
    take_number(rest);
  } catch (const QuantityError&) {
    return 0;
  }
  // take_number() leaves out the spaces behind the number, too.
  std::size_t length = text.size() - rest.size();
  length = std::min(length, text.find_last_not_of(" \t") + 1);
  while (length > 0 && is_space(text[length - 1])) --length;
  return length;
}

double parse_number(std::string_view text) {
  std::string_view rest = text;
  const double number = take_number(rest);
  if (rest.empty() || rest == ":1" || rest == ": 1" || rest == "to 1") return number;
  if (rest == "%" || rest == "percent" || rest == "per cent") return number / 100;
  throw QuantityError(fmt::format("'{}' is not a plain number", shortened(text)));
}

double crank_angle(const ValveEvent& event, double top_deg, double bottom_deg) {
  switch (event.from) {
    case DeadCentre::before_top:
      return top_deg - event.angle_deg;
    case DeadCentre::after_top:
      return top_deg + event.angle_deg;
    case DeadCentre::before_bottom:
      return bottom_deg - event.angle_deg;
    case DeadCentre::after_bottom:
      return bottom_deg + event.angle_deg;
  }
  return top_deg;
}

double gauge_wall(int gauge) {
  const auto* found = std::find_if(gauges.begin(), gauges.end(),
                                   [gauge](const Gauge& g) { return g.number == gauge; });
  return found == gauges.end() ? 0 : found->wall_in * inch;
}

namespace {

constexpr std::string_view tube_form =
    "a tube is given as \"1-7/8 in OD, 16 ga\", \"48 mm OD, 1.5 mm wall\" or \"2 in ID\"";

bool ends_with(std::string_view whole, std::string_view end) {
  return whole.size() > end.size() && whole.substr(whole.size() - end.size()) == end;
}

// A tube's text in its parts.
struct TubeText {
  std::string_view diameter, wall;  // wall: empty if there is none
  bool outside = false;
};

// "1-7/8 in OD, 16 ga", "1.75 OD x .065 wall".
TubeText parts_of_tube(std::string_view text) {
  constexpr std::string_view between = " \t,x";
  const std::string_view cross = "\u00d7";
  for (const auto& [word, outside] :
       {std::pair("OD", true), std::pair("O.D.", true), std::pair("od", true),
        std::pair("ID", false), std::pair("I.D.", false), std::pair("id", false)}) {
    const std::size_t at = text.find(word);
    if (at == std::string_view::npos) continue;
    TubeText parts{trimmed(text.substr(0, at)), text.substr(at + std::string_view(word).size()),
                   outside};
    if (!parts.wall.empty() && between.find(parts.wall.front()) == std::string_view::npos) continue;
    while (!parts.wall.empty()) {
      if (between.find(parts.wall.front()) != std::string_view::npos) {
        parts.wall.remove_prefix(1);
      } else if (parts.wall.substr(0, cross.size()) == cross) {
        parts.wall.remove_prefix(cross.size());
      } else {
        break;
      }
    }
    parts.wall = trimmed(parts.wall);
    return parts;
  }
  throw QuantityError(fmt::format("'{}' does not say OD or ID; {}", shortened(text), tube_form));
}

// Without its "wall"; unchanged if it does not end so.
std::string_view without_wall(std::string_view text) {
  return ends_with(text, "wall") ? trimmed(text.substr(0, text.size() - 4)) : text;
}

// Diameter and wall that are both without a unit: only inches make a tube of 1.75 and 0.065, only
// millimetres one of 45 and 1.5. Returns the unit in m; 0 for what may be either.
double unit_of_bare_tube(double diameter, double wall) {
  if (diameter >= 0.5 && diameter <= 12 && wall >= 0.02 && wall <= 0.25) return inch;
  if (diameter >= 15 && diameter <= 400 && wall >= 0.5 && wall <= 6) return 1e-3;
  return 0;
}

// Likewise of a diameter whose wall is a gauge.
double unit_of_gauge_tube(double diameter) {
  if (diameter >= 0.5 && diameter <= 12) return inch;
  return diameter >= 15 && diameter <= 400 ? 1e-3 : 0;
}

constexpr std::array<std::string_view, 3> gauge_words{"gauge", "ga.", "ga"};

bool is_gauge(std::string_view wall) {
  return std::any_of(gauge_words.begin(), gauge_words.end(),
                     [wall](std::string_view word) { return ends_with(wall, word); });
}

double wall_of(std::string_view wall, std::string_view text) {
  for (const std::string_view word : gauge_words) {
    if (!ends_with(wall, word)) continue;
    std::string_view rest = wall.substr(0, wall.size() - word.size());
    if (ends_with(rest, "-")) rest.remove_suffix(1);  // "16-gauge"
    const double number = take_number(rest);
    const int gauge =
        number == std::floor(number) && number > 0 && number < 100 ? static_cast<int>(number) : 0;
    const double thickness = rest.empty() ? gauge_wall(gauge) : 0;
    if (thickness > 0) return thickness;
    throw QuantityError(fmt::format("'{}': gauges are whole numbers from {} to {}", shortened(text),
                                    gauges.front().number, gauges.back().number));
  }
  const bool called_wall = ends_with(wall, "wall");
  if (!called_wall && (wall.find_first_of("0123456789") != 0 || bare_number(wall))) {
    throw QuantityError(fmt::format(
        "'{}': the wall is a gauge (16 ga) or a thickness (1.5 mm wall)", shortened(text)));
  }
  const double thickness = parse_quantity(without_wall(wall), Dimension::length);
  if (!(thickness > 0))
    throw QuantityError(fmt::format("'{}': the wall must be thicker than zero", shortened(text)));
  return thickness;
}

}  // namespace

Tube parse_tube(std::string_view text) {
  const TubeText parts = parts_of_tube(text);
  if (parts.wall.empty() && parts.outside) {
    throw QuantityError(
        fmt::format("'{}' is an outside diameter without a wall; {}", shortened(text), tube_form));
  }
  Tube tube;
  double diameter = 0;
  const auto bare = bare_number(parts.diameter);
  const auto bare_wall = bare && !parts.wall.empty() && !is_gauge(parts.wall)
                             ? bare_number(without_wall(parts.wall))
                             : std::nullopt;
  const double unit = bare_wall ? unit_of_bare_tube(*bare, *bare_wall) : 0;
  if (unit > 0) {
    diameter = *bare * unit;
    tube.wall = *bare_wall * unit;
  } else if (bare && is_gauge(parts.wall) && unit_of_gauge_tube(*bare) > 0) {
    diameter = *bare * unit_of_gauge_tube(*bare);
    tube.wall = wall_of(parts.wall, text);
  } else {
    diameter = parse_quantity(parts.diameter, Dimension::length);
    // "1-1/2 in OD x .049 wall": the wall alone without a unit.
    const auto wall = ends_with(parts.wall, "wall") ? bare_number(without_wall(parts.wall))
                                                    : std::optional<double>();
    const bool inches = wall && unit_of_bare_tube(diameter / inch, *wall) == inch;
    const bool millimetres = wall && unit_of_bare_tube(diameter / 1e-3, *wall) == 1e-3;
    if (inches || millimetres) {
      tube.wall = *wall * (inches ? inch : 1e-3);
    } else if (!parts.wall.empty()) {
      tube.wall = wall_of(parts.wall, text);
    }
  }
  tube.inside_diameter = parts.outside ? diameter - 2 * tube.wall : diameter;
  if (!(tube.inside_diameter > 0)) {
    throw QuantityError(fmt::format("'{}' leaves no bore inside the tube", shortened(text)));
  }
  return tube;
}

}  // namespace pulsewright::cases
