// The parameter table: every key of a case file, once.
//
// The reader takes kinds, units, defaults and ranges from it, error messages take the range and the
// example, and the manual page is printed from it, so that the three cannot disagree.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "cases/quantity.hpp"

namespace pulsewright::cases {

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
  std::string_view fallback;      // value taken when the key is missing; "" = none
  std::string_view least;         // smallest and largest value allowed, as they would be written
  std::string_view greatest;      // ("" = no limit)
  std::string_view example;       // as written in the file, with quotes
  std::string_view prose;         // one or two sentences
  std::string_view choices = "";  // of a choice, separated by spaces
  // Names that older case files use, "" = none: they are refused with the new one.
  std::string_view former_key = "";
  std::string_view former_choices = "";  // in the order of the choices
};

struct SectionText {
  std::string_view section;
  std::string_view prose;
};

std::span<const Parameter> parameters();
std::span<const SectionText> sections();

// Entry of one key; nullptr if the section has no such key.
const Parameter* find_parameter(std::string_view section, std::string_view key);
std::vector<std::string> keys_of(std::string_view section);
std::vector<std::string> choices_of(const Parameter& parameter);

// The entry that took the place of an older key; nullptr if the section never had such a key.
const Parameter* find_former(std::string_view section, std::string_view key);
// The choice that took the place of an older one; empty if there never was one of this name.
std::string new_choice(const Parameter& parameter, std::string_view former);

// "a length from 20 mm to 300 mm", "one of: bare, wrapped", for messages and the manual.
std::string allowed_text(const Parameter& parameter);

}  // namespace pulsewright::cases
