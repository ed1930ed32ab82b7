#include "cases/manual.hpp"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <string_view>

#include "cases/parameter_table.hpp"
#include "cases/wrapped_text.hpp"

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
by the bore: `"2 in ID"`. Spellings that cannot be mistaken are read, too: `"3 in."`, `"1 ft 4 in"`,
`"78 F"`, `"18 mil"`, `"74 BBDC"`, `"1.75 OD x .065 wall"`, `"1-3/4 OD, 16 gauge"`, and in single
quotes `'1-7/8" OD, 16 ga'`. Plain numbers stand without quotes, or as they are spoken: `"9.8:1"`,
`"60 %"`.

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

std::string capitalized(std::string text) {
  if (!text.empty() && text.front() >= 'a' && text.front() <= 'z') {
    text.front() = static_cast<char>(text.front() - 'a' + 'A');
  }
  return text;
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

constexpr std::array dimensions{Dimension::length,
                                Dimension::area,
                                Dimension::volume,
                                Dimension::angle,
                                Dimension::pressure,
                                Dimension::temperature,
                                Dimension::rotation,
                                Dimension::volume_flow,
                                Dimension::mass_flow,
                                Dimension::cell_density,
                                Dimension::time,
                                Dimension::torque,
                                Dimension::power,
                                Dimension::heating_value,
                                Dimension::conductivity,
                                Dimension::heat_coefficient,
                                Dimension::pressure_per_speed,
                                Dimension::pressure_per_speed_squared,
                                Dimension::molar_mass};

std::string units_text() {
  std::string out = "## Units\n\n| quantity | units |\n|---|---|\n";
  for (const Dimension dimension : dimensions) {
    out += fmt::format("| {} | {} |\n", dimension_name(dimension), units_of(dimension));
  }
  return out;
}

// ---------------------------------------------------------------- without markup

// What the marks of Markdown that the texts here use stand for: nothing.
std::string without_marks(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c != '`' && c != '*') out += c;
  }
  return out;
}

std::string heading(std::string_view text, char underline) {
  const std::string plain = without_marks(text);
  return fmt::format("{}\n{}\n\n", plain, std::string(plain.size(), underline));
}

// Headings and paragraphs of the introduction; comments of the page are not for the reader.
std::string plain_introduction() {
  std::string out;
  for (std::size_t at = 0; at < introduction.size();) {
    const std::size_t end = std::min(introduction.find("\n\n", at), introduction.size());
    const std::string_view part = introduction.substr(at, end - at);
    at = end + 2;
    if (part.empty() || part.substr(0, 4) == "<!--") continue;
    if (part.substr(0, 2) == "# ") {
      out += heading(part.substr(2), '=');
      continue;
    }
    std::string paragraph = without_marks(part);
    std::replace(paragraph.begin(), paragraph.end(), '\n', ' ');
    out += wrapped(paragraph) + "\n\n";
  }
  return out;
}

std::string plain_entry(const Parameter& parameter) {
  const bool has_default = parameter.presence != Presence::required && !parameter.fallback.none();
  const std::string values =
      fmt::format("    {}. {}. {}", allowed_text(parameter),
                  has_default                                ? "Default: " + default_text(parameter)
                  : parameter.presence == Presence::required ? "Required"
                                                             : "May be left out",
                  capitalized(example_line(parameter)));
  return fmt::format("{}\n{}\n{}\n\n", parameter.key, wrapped(values, 4),
                     wrapped("    " + without_marks(parameter.prose), 4));
}

std::string plain_page() {
  std::string out = plain_introduction();
  for (const SectionText& section : sections()) {
    out += heading(section.prose, '-');
    for (const Parameter& parameter : parameters()) {
      if (parameter.section == section.section) out += plain_entry(parameter);
    }
  }
  out += heading("Units", '-');
  for (const Dimension dimension : dimensions) {
    out += wrapped(fmt::format("{}: {}", dimension_name(dimension), units_of(dimension)), 4) + "\n";
  }
  return out;
}

std::string markdown_page() {
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

}  // namespace

std::string manual_page(ManualForm form) {
  return form == ManualForm::markdown ? markdown_page() : plain_page();
}

}  // namespace pulsewright::cases
