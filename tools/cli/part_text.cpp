#include "tools/cli/part_text.hpp"

#include <fmt/format.h>
#include <optional>

#include "cases/intake_figures.hpp"
#include "cases/part_figures.hpp"

namespace pulsewright::tools {

namespace {

using cases::PartFigures;
using cases::PartKind;
using cases::QuantityText;
using cases::TailPart;
using nlohmann::json;

std::string flow_text(const PartFigures& f, const QuantityText& shown) {
  return fmt::format("at {} of gas of {}", shown.mass_flow(f.flow),
                     shown.temperature(cases::part_gas_temperature));
}

std::string catalyst_text(const TailPart& part, const PartFigures& f, const QuantityText& shown) {
  std::string text = fmt::format("brick {} by {}, {:.0f} % open, channels of {}",
                                 shown.length(part.diameter), shown.length(part.length),
                                 100 * *f.open_share, shown.length(*f.channel_diameter, 3));
  if (f.laminar_loss) {
    text += fmt::format("; loses {} along its channels and {} where they begin {}, Re {:.0f}",
                        shown.pressure(*f.laminar_loss), shown.pressure(*f.entrance_loss, 2),
                        flow_text(f, shown), *f.channel_reynolds);
    if (*f.channel_reynolds > 2000) text += ": beyond laminar flow";
  }
  return text;
}

std::string chamber_text(const TailPart& part, const PartFigures& f, const QuantityText& shown) {
  std::string text = fmt::format(
      "{} by {}, {:.3g} times the area of its tube; its length takes {:.3g} dB at "
      "{:.0f} Hz and odd multiples, nothing at even ones",
      shown.length(part.diameter), shown.length(part.length), *f.area_ratio, *f.chamber_loss,
      *f.frequency);
  if (part.inlet_inside + part.outlet_inside > 0) {
    text += fmt::format("; tubes reach in by {} and {}", shown.length(part.inlet_inside),
                        shown.length(part.outlet_inside));
  }
  return text;
}

std::string back_pressure_text(const TailPart& part, const PartFigures& f,
                               const QuantityText& shown) {
  std::string text =
      fmt::format("{} at {} of {}: {:.3g} heads in a bore of {}, as an orifice of {} does",
                  shown.pressure(part.pressure), shown.mass_flow(part.mass_flow),
                  shown.temperature(part.temperature), *f.loss_coefficient, shown.length(f.bore),
                  shown.area(*f.orifice_area, 3));
  if (f.back_pressure) {
    text += fmt::format("; {} {}", shown.pressure(*f.back_pressure), flow_text(f, shown));
  }
  return text;
}

std::string text_of(const TailPart& part, const PartFigures& f, const QuantityText& shown) {
  switch (part.kind) {
    case PartKind::pipe:
      return fmt::format("{} ID, {} long", shown.length(f.bore), shown.length(part.length));
    case PartKind::catalyst:
      return catalyst_text(part, f, shown);
    case PartKind::straight_through:
      return fmt::format(
          "shell {} by {}, core {}, space of {} without packing; to waves long against it a "
          "chamber "
          "of {:.3g} times the area, {:.3g} dB at {:.0f} Hz",
          shown.length(part.diameter), shown.length(part.length), shown.length(f.bore),
          shown.volume(*f.space_volume, 3), *f.area_ratio, *f.chamber_loss, *f.frequency);
    case PartKind::chamber:
      return chamber_text(part, f, shown);
    case PartKind::quarter_wave:
    case PartKind::helmholtz:
      return fmt::format("tuned to {:.0f} Hz in gas of {}, without flow", *f.frequency,
                         shown.temperature(cases::part_gas_temperature));
    case PartKind::back_pressure:
      return back_pressure_text(part, f, shown);
  }
  return {};
}

}  // namespace

json or_null(const std::optional<double>& value) { return value ? json(*value) : json(); }

std::vector<std::pair<std::string, std::string>> part_lines(const cases::CaseFile& case_file,
                                                            const cases::HeaderDesign& header,
                                                            const QuantityText& shown) {
  std::vector<std::pair<std::string, std::string>> lines;
  for (const PartFigures& f : part_figures(case_file, header)) {
    const TailPart& part = header.parts[f.part];
    lines.emplace_back(fmt::format("part {} {}", f.part + 1, part_kind_name(part.kind)),
                       text_of(part, f, shown));
  }
  return lines;
}

json parts_json(const cases::CaseFile& case_file, const cases::HeaderDesign& header) {
  json parts = json::array();
  for (const PartFigures& f : part_figures(case_file, header)) {
    parts.push_back({{"part", f.part + 1},
                     {"kind", part_kind_name(header.parts[f.part].kind)},
                     {"flow", f.flow > 0 ? json(f.flow) : json()},
                     {"open_share", or_null(f.open_share)},
                     {"channel_diameter", or_null(f.channel_diameter)},
                     {"laminar_loss", or_null(f.laminar_loss)},
                     {"entrance_loss", or_null(f.entrance_loss)},
                     {"channel_reynolds", or_null(f.channel_reynolds)},
                     {"loss_coefficient", or_null(f.loss_coefficient)},
                     {"orifice_area", or_null(f.orifice_area)},
                     {"back_pressure", or_null(f.back_pressure)},
                     {"space_volume", or_null(f.space_volume)},
                     {"area_ratio", or_null(f.area_ratio)},
                     {"frequency", or_null(f.frequency)},
                     {"chamber_loss", or_null(f.chamber_loss)}});
  }
  return parts;
}

std::vector<std::string> intake_lines(const cases::CaseFile& case_file, const QuantityText& shown) {
  const cases::IntakeFigures f = cases::intake_figures(case_file);
  std::vector<std::string> lines;
  if (f.throttle_area) {
    lines.push_back(fmt::format(
        "{}effective area {} as open as it is, {} at 1.5 inHg or {} at 3.0 inHg",
        f.demand ? "throttle: " : "throttle of each runner: ", shown.area(*f.throttle_area),
        shown.volume_flow(*f.four_barrel_flow), shown.volume_flow(*f.two_barrel_flow)));
  }
  if (f.demand) {
    lines.push_back(fmt::format(
        "plenum: {:.3g} times the displacement; at the highest speed the engine asks for {}, at a "
        "volumetric efficiency of 1, {}",
        *f.plenum_over_displacement, shown.volume_flow(*f.demand),
        f.depression ? "and " + shown.pressure(*f.depression) + " of depression go with it"
                     : "more than the throttle passes"));
  }
  if (f.plenum_frequency) {
    lines.push_back(
        fmt::format("plenum behind its barrels: resonates at {:.3g} Hz", *f.plenum_frequency));
  }
  if (f.air_box_frequency) {
    lines.push_back(
        fmt::format("air box behind its tube: resonates at {:.3g} Hz", *f.air_box_frequency));
  }
  return lines;
}

json intake_json(const cases::CaseFile& case_file) {
  const cases::IntakeFigures f = cases::intake_figures(case_file);
  return {{"throttle_area", or_null(f.throttle_area)},
          {"four_barrel_flow", or_null(f.four_barrel_flow)},
          {"two_barrel_flow", or_null(f.two_barrel_flow)},
          {"demand", or_null(f.demand)},
          {"depression", or_null(f.depression)},
          {"plenum_over_displacement", or_null(f.plenum_over_displacement)},
          {"plenum_frequency", or_null(f.plenum_frequency)},
          {"air_box_frequency", or_null(f.air_box_frequency)}};
}

}  // namespace pulsewright::tools
