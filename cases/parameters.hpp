// What the parameter table says of one key of a case file, and how it is looked up.
//
// The reader takes kinds, units, defaults and ranges from the table, error messages take the range
// and the example, and the manual page is printed from it, so that the three cannot disagree. The
// entries stand in parameter_table.cpp.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cases/quantity.hpp"
#include "cases/quantity_text.hpp"

namespace pulsewright::cases {

// What is taken for a key that is missing: a text as it would be written in the file, or a member
// of a specification of the models as it is made by default. Then the number stands there alone,
// and `unit` says how the manual shows it.
struct Default {
  constexpr Default(const char* written) : text(written) {}  // NOLINT(google-explicit-constructor)
  constexpr Default(double (*get)(), std::string_view shown_in) : value(get), unit(shown_in) {}
  bool none() const { return text.empty() && value == nullptr; }

  std::string_view text = "";   // "" = none, or a value
  double (*value)() = nullptr;  // in SI; of a choice its place among the choices, of a flag 0 or 1
  std::string_view unit = "";
};

template <class Specification, class Value>
Specification specification_of(Value Specification::*);

// The default that the models give to a member: default_of<&models::Wall::emissivity>(),
// default_of<&models::Ambient::pressure>("bar").
template <auto Member>
constexpr Default default_of(std::string_view unit = "") {
  return {[] {
            const decltype(specification_of(Member)) specification;
            return static_cast<double>(specification.*Member);
          },
          unit};
}

enum class ValueKind {
  quantity,
  quantities,  // array of quantities
  number,
  numbers,
  integer,
  integers,
  flag,
  text,
  choice,
  tube,
  tubes,  // array of tubes
  valve_event,
  integer_lists,  // array of arrays of integers
  free_table,     // table whose keys the author chooses
  table,          // table with its own section of this list
  tables          // array of such tables
};

enum class Presence { required, optional };

struct Parameter {
  std::string_view section;  // dotted name; "" = top of the file
  std::string_view key;
  ValueKind kind;
  Dimension dimension;  // of quantities, else none
  Presence presence;
  Default fallback;           // taken when the key is missing
  std::string_view least;     // smallest and largest value allowed, as they would be written
  std::string_view greatest;  // ("" = no limit)
  std::string_view example;   // as written in the file, with quotes
  std::string_view prose;     // one or two sentences
  // Of a choice, separated by spaces, in the order of the enumerators that they stand for.
  std::string_view choices = "";
  // Names that older case files use, "" = none: they are refused with the new one.
  std::string_view former_key = "";
  std::string_view former_choices = "";  // in the order of the choices
};

// Entry of one key; nullptr if the section has no such key.
const Parameter* find_parameter(std::string_view section, std::string_view key);
std::vector<std::string> keys_of(std::string_view section);
std::vector<std::string> choices_of(const Parameter& parameter);
// Choice number `index` of a key, and the number of a choice, none for an unknown one.
std::string choice_of(const Parameter& parameter, std::size_t index);
std::optional<std::size_t> choice_index(const Parameter& parameter, std::string_view choice);

// The default as it would be written in the file, "0.4 bar" without the quotes; empty if there is
// none.
std::string default_text(const Parameter& parameter);
// The default of a quantity, number, integer or flag in SI; 0 if there is none.
double default_value(const Parameter& parameter);

// Value in SI of a text of the table: a limit or default of a quantity or number.
// Throws QuantityError or std::invalid_argument for a text that is not a value of its kind.
double value_of(std::string_view text, const Parameter& parameter);

// Smallest and largest value allowed, in SI.
struct Range {
  double least = 0;
  double greatest = 0;
};
// Throws std::invalid_argument for a key that is unknown or has no two limits.
Range allowed_range(std::string_view section, std::string_view key);

// The entry that took the place of an older key; nullptr if the section never had such a key.
const Parameter* find_former(std::string_view section, std::string_view key);
// The choice that took the place of an older one; empty if there never was one of this name.
std::string new_choice(const Parameter& parameter, std::string_view former);

// "a length from 20 mm to 300 mm", "one of: bare, wrapped", for messages and the manual.
std::string allowed_text(const Parameter& parameter, const QuantityText& shown = {});
// A limit of it, least or greatest.
std::string limit_text(std::string_view limit, const Parameter& parameter,
                       const QuantityText& shown);

// What to write, with the example of the table: "for example: bore = \"94 mm\"", or the line that a
// table begins with.
std::string example_line(const Parameter& parameter);

}  // namespace pulsewright::cases
