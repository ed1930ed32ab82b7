#include "cases/case_reader.hpp"

#include <fmt/format.h>

#include "cases/built_check.hpp"
#include "cases/case_edit.hpp"
#include "cases/case_text.hpp"
#include "cases/defaults.hpp"
#include "cases/header_probes.hpp"
#include "cases/likely_check.hpp"
#include "cases/read_cam.hpp"
#include "cases/read_combustion.hpp"
#include "cases/read_dyno.hpp"
#include "cases/read_engine.hpp"
#include "cases/read_exhaust.hpp"
#include "cases/read_header.hpp"
#include "cases/read_intake.hpp"
#include "cases/read_parts.hpp"
#include "cases/read_paths.hpp"
#include "cases/read_run.hpp"
#include "cases/read_sound.hpp"
#include "cases/read_tune.hpp"
#include "cases/read_valve.hpp"
#include "cases/valve_check.hpp"

namespace pulsewright::cases {
namespace {

toml::table parse(std::string_view text, const std::string& file) {
  try {
    return toml::parse(text, file);
  } catch (const toml::parse_error& error) {
    refuse_file(
        file, static_cast<int>(error.source().begin.line),
        fmt::format("is not valid TOML: {}", error.description()),
        "every line is a [table], a key = value or a # comment; texts and quantities stand in "
        "quotes, for example: bore = \"94 mm\"");
  }
}

// ---------------------------------------------------------------- small parts

models::CylinderHeatSpecification read_cylinder_heat(Section s) {
  models::CylinderHeatSpecification out;
  out.law = s.enumerator<models::CylinderHeatLaw>("law");
  out.multiplier = s.number("multiplier");
  out.head_temperature = s.quantity("head_temperature");
  out.piston_temperature = s.quantity("piston_temperature");
  out.liner_temperature = s.quantity("liner_temperature");
  s.finish();
  return out;
}

models::FrictionSpecification read_friction(Section s) {
  models::FrictionSpecification out;
  out.a = s.quantity("constant");
  out.b = s.number("per_peak_pressure");
  out.c = s.quantity("per_speed");
  out.d = s.quantity("per_speed_squared");
  s.finish();
  return out;
}

// ---------------------------------------------------------------- the whole

void need_table(Section& top, std::string_view key) {
  if (top.has(key)) return;
  top.problem(key, "is missing; an engine needs it", fmt::format("begin it with a line [{}]", key));
}

constexpr std::size_t most_title_bytes = 200;

void read_top(Section& top, CaseFile& out) {
  out.title = top.text("title");
  if (out.title.size() > most_title_bytes) {
    top.problem("title", fmt::format("has {} bytes", out.title.size()),
                fmt::format("shorten it to {}; notes may be longer", most_title_bytes));
  }
  out.notes = top.lines("notes");
  out.invented = top.flag("invented");
  out.calibrated = top.text("calibrated");
}

void read_valves(Section& top, Problems& problems, CaseFile& out) {
  const auto centerlines = read_centerlines(top.table("cam", "cam"));
  const auto of = [&](double LobeCenterlines::*valve) {
    return centerlines ? std::optional<double>((*centerlines).*valve) : std::nullopt;
  };
  if (top.has("exhaust_valve")) {
    out.exhaust_valve = read_valve(top.table("exhaust_valve", "valve"), problems, true,
                                   of(&LobeCenterlines::exhaust_deg), out.exhaust_lobe);
  }
  if (top.has("intake_valve")) {
    out.intake_valve = read_valve(top.table("intake_valve", "valve"), problems, false,
                                  of(&LobeCenterlines::intake_deg), out.intake_lobe);
  }
  if (centerlines && !problems.any() && !out.exhaust_lobe && !out.intake_lobe) {
    top.problem("cam", "is given, and both valves have a lift_table", "remove it");
  }
}

void read_engine_parts(Section& top, Problems& problems, CaseFile& out) {
  for (const std::string_view key : {"exhaust_valve", "intake_valve", "intake"})
    need_table(top, key);
  out.engine = read_engine(top.table("engine", "engine"), problems);
  read_valves(top, problems, out);
  if (top.has("intake")) out.intake = read_intake(top.table("intake", "intake"));
  if (problems.any()) return;
  check_seats(problems, out.engine.geometry.bore, out.exhaust_valve.seat_diameter,
              out.intake_valve.seat_diameter);
}

void refuse_engine_parts(Section& top) {
  for (const std::string_view key : {"engine", "cam", "exhaust_valve", "intake_valve", "intake",
                                     "combustion", "cylinder_heat", "friction"}) {
    top.table(key, "");
    if (key != "engine" && top.has(key)) {
      top.problem(key, "is given, but the case has no [engine]",
                  "describe the engine, or remove this table");
    }
  }
}

}  // namespace

CaseFile read_case_text(std::string_view text, const std::string& file_name, MessageUnits units,
                        const std::vector<Override>& overrides) {
  check_text(text, file_name);
  check_nesting(text, file_name);
  toml::table root = parse(text, file_name);
  for (const Override& changed : overrides) apply_override(changed, root);
  Problems problems(file_name, QuantityText(units));
  Section top(problems, &root, "", "", 1);
  CaseFile out;
  out.file_name = file_name;
  out.text = std::string(text);
  read_top(top, out);
  const bool engine = top.has("engine");
  const Weather weather = read_weather(top.table("ambient", "ambient"), problems, engine);
  out.ambient = weather.ambient;
  if (engine) {
    read_engine_parts(top, problems, out);
    out.combustion = read_combustion(top.table("combustion", "combustion"), problems, weather);
    out.cylinder_heat = read_cylinder_heat(top.table("cylinder_heat", "cylinder_heat"));
    out.friction = read_friction(top.table("friction", "friction"));
  } else {
    refuse_engine_parts(top);
  }
  out.exhaust = read_exhaust(top.table("exhaust", "exhaust"), out.ambient);
  out.headers = read_headers(top, problems, out);
  out.run = read_run(top.table("run", "run"), problems, out, engine);
  Section build = top.table("build", "build");
  out.build_tolerance = build.quantity("tolerance");
  out.bend_stock = read_bend_stock(build);
  build.finish();
  out.dyno = read_dyno(top, problems, out.headers);
  out.sound = read_sound(top.table("sound", "sound"), out.headers);
  out.tune = read_tune(top.table("tune", "tune"), problems, out);
  // Missing tables that no part above read are known keys all the same.
  for (const std::string& key : keys_of("")) {
    const bool table = find_parameter("", key)->kind == ValueKind::table;
    if (table && key != "run" && !top.has(key)) top.table(key, "");
  }
  top.finish();
  problems.stop_if_any();
  check_parts(problems, out);
  problems.stop_if_any();
  check_probes(problems, out);
  problems.stop_if_any();
  check_built(out, problems);
  problems.stop_if_any();
  check_likely(out, problems);
  note_defaults(out, problems);
  out.remarks = problems.remarks();
  out.assumptions = problems.assumptions();
  return out;
}

CaseFile read_case_file(const std::filesystem::path& file, MessageUnits units) {
  return read_case_text(read_text_file(file), file.string(), units);
}

}  // namespace pulsewright::cases
