#include "cases/read_dyno.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "cases/nearest_key.hpp"
#include "cases/visible_text.hpp"
#include "cases/weather.hpp"

namespace pulsewright::cases {
namespace {

struct DayGiven {
  bool pressure = false, temperature = false;
};

// What stands in the table replaces what `air` has; the humidity counts at the temperature of both.
void read_day(Section& s, models::TestAir& air, double& humidity, DayGiven& given) {
  const double pressure = s.quantity("pressure");
  const double temperature = s.quantity("temperature");
  const double relative = s.number("relative_humidity");
  if (s.has("pressure")) air.pressure = pressure;
  if (s.has("temperature")) air.temperature = temperature;
  if (s.has("relative_humidity")) humidity = relative;
  given.pressure = given.pressure || s.has("pressure");
  given.temperature = given.temperature || s.has("temperature");
  air.vapour_pressure = air.pressure * water_vapour(air.pressure, air.temperature, humidity);
}

void read_columns(Section headings, Section units, DynoRecord& out) {
  for (const std::string& key : keys_of("dyno.columns")) {
    const std::string heading = headings.text(key);
    const std::string unit = units.text(key);
    if (headings.has(key)) {
      out.columns[key] = {heading, unit};
    } else if (units.has(key)) {
      units.problem(key, "is the unit of a column that dyno.columns does not name",
                    "name the column there, or remove the unit");
    }
    if (!headings.has(key) || unit.empty()) continue;
    try {
      dyno_dimension(key, unit);
    } catch (const QuantityError& error) {
      units.problem(
          key, error.what(),
          fmt::format("for example: {}", example_line(*find_parameter("dyno.units", key))));
    }
  }
  if (headings.present() && !headings.has("torque") && !headings.has("power")) {
    headings.problem("torque", "is missing, and so is power",
                     "name the column of one of them: torque = \"Torque\"");
  }
  headings.finish();
  units.finish();
}

void check_header(Section& s, const DynoRecord& record, const std::vector<HeaderDesign>& headers,
                  const std::vector<DynoRecord>& before) {
  if (!s.has("header")) return;
  std::vector<std::string> names;
  names.reserve(headers.size());
  for (const HeaderDesign& header : headers) names.push_back(header.name);
  if (std::find(names.begin(), names.end(), record.header) == names.end()) {
    const std::string near = nearest_key(record.header, names);
    s.problem("header", "names no header of this case",
              near.empty() ? std::string("give the name of a [[header]]")
                           : fmt::format("did you mean \"{}\"?", near));
  }
  if (std::any_of(before.begin(), before.end(),
                  [&](const DynoRecord& other) { return other.header == record.header; })) {
    s.problem("header", "has two tables [[dyno]]",
              "put all pulls of a header into one table; a [[dyno.pull]] may have its own weather");
  }
}

void read_pulls(Section& s, DynoRecord& record, const models::TestAir& air, double humidity,
                DayGiven given) {
  std::vector<Section> pulls = s.tables("pull", "dyno.pull");
  for (Section& pull : pulls) {
    DynoPull out;
    out.air = air;
    out.line = pull.line();
    out.file = pull.text("file");
    double own_humidity = humidity;
    DayGiven own = given;
    read_day(pull, out.air, own_humidity, own);
    out.air_known = own.pressure && own.temperature;
    if (record.correction == models::PowerCorrection::none && !out.air_known) {
      const std::string_view missing = own.pressure ? "temperature" : "pressure";
      pull.problem(
          missing, "is missing; what was observed says nothing without the air of the day",
          fmt::format("for example: {}", example_line(*find_parameter("dyno.pull", missing))));
    }
    pull.finish();
    record.pulls.push_back(std::move(out));
  }
  if (s.has("pull") && pulls.empty()) {
    s.problem("pull", "is empty", "name at least one file: pull = [{ file = \"pull1.csv\" }]");
  }
}

}  // namespace

Dimension dyno_dimension(std::string_view column) {
  if (column == "speed") return Dimension::rotation;
  if (column == "torque") return Dimension::torque;
  if (column == "power") return Dimension::power;
  if (column == "exhaust_temperature") return Dimension::temperature;
  return Dimension::mass_flow;
}

Dimension dyno_dimension(std::string_view column, std::string_view unit) {
  const std::string one = fmt::format("1 {}", unit);
  if (column == "air_flow") {
    try {
      parse_quantity(one, Dimension::volume_flow);
      return Dimension::volume_flow;
    } catch (const QuantityError&) {  // then it is a mass flow
    }
  }
  const Dimension dimension = dyno_dimension(column);
  parse_quantity(one, dimension);
  return dimension;
}

std::vector<DynoRecord> read_dyno(Section& top, Problems& problems,
                                  const std::vector<HeaderDesign>& headers) {
  std::vector<DynoRecord> records;
  for (Section& s : top.tables("dyno", "dyno")) {
    DynoRecord record;
    record.line = s.line();
    record.header = s.text("header");
    record.correction = s.enumerator<models::PowerCorrection>("correction");
    if (!problems.any()) check_header(s, record, headers, records);
    models::TestAir air;
    double humidity = 0;
    DayGiven given;
    read_day(s, air, humidity, given);
    read_columns(s.table("columns", "dyno.columns"), s.table("units", "dyno.units"), record);
    read_pulls(s, record, air, humidity, given);
    s.finish();
    records.push_back(std::move(record));
  }
  return records;
}

}  // namespace pulsewright::cases
