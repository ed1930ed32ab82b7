#include "cases/manual.hpp"

#include <fmt/format.h>
#include <string_view>

#include "cases/parameter_table.hpp"

namespace pulsewright::cases {
namespace {

constexpr std::string_view introduction =
    R"(# The case file

<!-- Made from the parameter table in cases/parameter_table.cpp; a test checks that it is up to date. -->

A case file describes one engine, the headers to compare on it, and the speeds to run. It is a text
file in TOML: `[table]` lines, `key = value` lines, and comments after `#`. The shipped cases are
worked examples; `hillclimb-v8.toml` is the one to learn from.

**Every quantity is a text with its unit**: `"94 mm"`, `"1-7/8 in"`, `"28 inH2O"`, `"74 deg BBDC"`. A
bare number where a unit is needed is refused. Numbers may be decimal (`1.875`), a fraction (`3/4`),
or both (`1-7/8`). Tubes go by their stock size: `"1-7/8 in OD, 16 ga"`, `"48 mm OD, 1.5 mm wall"`, or
by the bore: `"2 in ID"`.

Crank angles of valve events are counted from the dead centre they are near: BTDC, ATDC, BBDC, ABDC.
Any key that is not listed here is refused. Data that belong to no real engine carry
`invented = true`.

)";

std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '|') out += '\\';
    out += c;
  }
  return out;
}

std::string fallback_text(const Parameter& parameter) {
  if (parameter.presence == Presence::required) return "required";
  if (parameter.fallback.none()) return "may be left out";
  return default_text(parameter);
}

std::string row(const Parameter& parameter) {
  return fmt::format("| `{}` | {} | {} | `{}` | {} |\n", parameter.key,
                     escaped(allowed_text(parameter)), fallback_text(parameter),
                     escaped(parameter.example), escaped(parameter.prose));
}

std::string units_text() {
  std::string out = "## Units\n\n| quantity | units |\n|---|---|\n";
  for (const Dimension dimension :
       {Dimension::length, Dimension::area, Dimension::volume, Dimension::angle,
        Dimension::pressure, Dimension::temperature, Dimension::rotation, Dimension::volume_flow,
        Dimension::time, Dimension::heating_value, Dimension::conductivity,
        Dimension::heat_coefficient, Dimension::pressure_per_speed,
        Dimension::pressure_per_speed_squared}) {
    out += fmt::format("| {} | {} |\n", dimension_name(dimension), units_of(dimension));
  }
  return out;
}

}  // namespace

std::string manual_page() {
  std::string out(introduction);
  for (const SectionText& section : sections()) {
    out += fmt::format(
        "## {}\n\n| key | value | default | example | meaning |\n|---|---|---|---|---|\n",
        section.prose);
    for (const Parameter& parameter : parameters()) {
      if (parameter.section == section.section) out += row(parameter);
    }
    out += '\n';
  }
  out += units_text();
  return out;
}

}  // namespace pulsewright::cases
