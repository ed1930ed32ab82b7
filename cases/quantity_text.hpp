// Quantities as messages show them, in the units that the reader of the messages chose. Values that
// are quoted from a case file stay as they are written there.
#pragma once

#include <string>
#include <string_view>

#include "cases/quantity.hpp"

namespace pulsewright::cases {

enum class MessageUnits { metric, inch };

// All values in SI; four significant digits unless told otherwise, and the unit.
class QuantityText {
 public:
  QuantityText() = default;
  explicit QuantityText(MessageUnits units) : inch_(units == MessageUnits::inch) {}

  MessageUnits units() const { return inch_ ? MessageUnits::inch : MessageUnits::metric; }

  std::string length(double metres, int digits = 4) const;                        // mm or in
  std::string area(double square_metres, int digits = 4) const;                   // mm2 or in2
  std::string volume(double cubic_metres, int digits = 4) const;                  // cm3 or in3
  std::string speed(double metres_per_second, int digits = 3) const;              // m/s or ft/s
  std::string pressure(double pascals, int digits = 3) const;                     // kPa or psi
  std::string mass_flow(double kilograms_per_second, int digits = 3) const;       // kg/h or lb/min
  std::string volume_flow(double cubic_metres_per_second, int digits = 3) const;  // m3/h or cfm
  std::string temperature_difference(double kelvins, int digits = 3) const;       // K or degF
  std::string temperature(double kelvins, int digits = 3) const;                  // degC or degF
  // A text with its unit, such as a limit of the parameter table: as it is written, or where its
  // dimension has inch units in those. Throws QuantityError for a text that is no such quantity.
  std::string of_text(std::string_view text, Dimension dimension) const;

 private:
  std::string in(double value, std::string_view metric, std::string_view inch, int digits) const;
  bool inch_ = false;
};

}  // namespace pulsewright::cases
