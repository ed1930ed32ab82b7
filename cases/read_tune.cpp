#include "cases/read_tune.hpp"

#include <fmt/format.h>
#include <initializer_list>

#include "cases/design_variable.hpp"
#include "cases/header_builder.hpp"
#include "cases/varied_text.hpp"

namespace pulsewright::cases {
namespace {

// Null where there is none of the name.
const HeaderDesign* header_of(Section& s, const Tune& tune, const CaseFile& case_file) {
  if (case_file.headers.empty()) return nullptr;
  if (!s.has("header")) return &case_file.headers.front();
  for (const HeaderDesign& header : case_file.headers) {
    if (header.name == tune.header) return &header;
  }
  const std::vector<std::string> known = header_names(case_file);
  s.problem("header", "is no header of this case",
            fmt::format("the headers are {}", fmt::join(known, ", ")));
  return nullptr;
}

void need_limits(Section& s) {
  for (const std::string_view key : {"from", "to"}) {
    if (s.has(key)) continue;
    s.problem(key, "is missing; a length varies between two limits",
              "for example: from = \"28 in\", to = \"36 in\"");
  }
}

void refuse_keys(Section& s, std::initializer_list<std::string_view> keys, std::string_view part) {
  for (const std::string_view key : keys) {
    if (s.has(key)) s.problem(key, fmt::format("does not belong to {}", part), "remove it");
  }
}

void check_variable(Section& s, const DesignVariable& variable, const HeaderDesign& header) {
  const std::string part = varied_part_name(variable.part);
  if (const std::string reason = why_not_varied(header, variable); !reason.empty()) {
    s.problem(variable.cylinders.empty() ? "part" : "cylinders",
              fmt::format("cannot vary: header \"{}\" {}", header.name, reason),
              "name another part, or another header");
    return;
  }
  if (variable.is_length()) {
    need_limits(s);
    refuse_keys(s, {"tubes"}, part);
    const bool span = variable.part == VariedPart::primary_span;
    if (s.has("from") && s.has("to") && !(variable.from < variable.to)) {
      s.problem("to", "is no more than from", "let the length rise from from to to");
    } else if (s.has("from") && !span && !(variable.from > 0)) {
      s.problem("from", "is no length of a tube", "for example: from = \"28 in\"");
    }
    return;
  }
  refuse_keys(s, {"from", "to"}, part);
  if (!variable.is_tube()) refuse_keys(s, {"tubes"}, part);
  if (const auto size = size_left_out(header, variable)) {
    s.problem("tubes", fmt::format("has not the size of header \"{}\"", header.name),
              fmt::format("name the size that the header has, too: \"{}\"", tube_value(*size)));
  }
}

DesignVariable read_variable(Section& s, const HeaderDesign* header, const Problems& problems) {
  DesignVariable variable;
  variable.line = s.line();
  variable.part = s.enumerator<VariedPart>("part");
  variable.cylinders = s.integers("cylinders");
  variable.from = s.quantity("from");
  variable.to = s.quantity("to");
  variable.tubes = s.tubes("tubes");
  s.finish();
  if (header && !problems.any()) check_variable(s, variable, *header);
  return variable;
}

TubeFit read_fit(Section& s, const HeaderDesign* header) {
  TubeFit fit;
  fit.cylinders = s.integers("cylinders");
  fit.shortest = s.quantity("shortest");
  fit.longest = s.quantity("longest");
  s.finish();
  if (!header) return fit;
  for (const int cylinder : fit.cylinders) {
    if (header->primary_length.contains(cylinder)) continue;
    s.problem("cylinders", fmt::format("names cylinder {}, which has no primary", cylinder),
              fmt::format("name cylinders of header \"{}\"", header->name));
    return fit;
  }
  if (fit.shortest > fit.longest) {
    s.problem(s.has("longest") ? "longest" : "shortest", "leaves no length that fits",
              "let shortest be less than longest");
  }
  return fit;
}

void check_aims(Section& s, const AimWeights& weights) {
  if (weights.shift > 0 && !s.has("shift_speed")) {
    s.problem("shift_speed", "is missing; weight_shift needs it",
              "for example: shift_speed = \"5200 rpm\"");
  }
  if (!(weights.mean + weights.dip + weights.top + weights.shift > 0)) {
    s.problem("weight_mean", "leaves nothing to aim at: all weights are 0",
              "give one of the weights, for example: weight_mean = 1");
  }
}

}  // namespace

Tune read_tune(Section s, Problems& problems, const CaseFile& case_file) {
  Tune tune;
  tune.header = s.text("header");
  tune.weights.mean = s.number("weight_mean");
  tune.weights.dip = s.number("weight_dip");
  tune.weights.top = s.number("weight_top");
  tune.weights.shift = s.number("weight_shift");
  tune.weights.shift_speed = s.quantity("shift_speed");
  tune.designs = s.integer("designs");
  tune.seed = s.integer("seed");
  const bool given = s.present();
  if (given && !problems.any() && !case_file.has_engine()) {
    s.problem("header", "the case has pipes only, no engine to search a header for",
              "remove [tune]");
  }
  const HeaderDesign* const header =
      given && !problems.any() ? header_of(s, tune, case_file) : nullptr;
  for (Section& one : s.tables("vary", "tune.vary")) {
    tune.variables.push_back(read_variable(one, header, problems));
  }
  for (Section& one : s.tables("fits", "tune.fits")) tune.fits.push_back(read_fit(one, header));
  if (given && !problems.any()) check_aims(s, tune.weights);
  s.finish();
  return tune;
}

}  // namespace pulsewright::cases
