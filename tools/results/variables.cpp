// Over 400 lines because the tables of all fields stand together: one place to look, one to change.
#include "tools/results/variables.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstring>
#include <fmt/format.h>
#include <limits>
#include <stdexcept>
#include <string_view>
#include <type_traits>

namespace pulsewright::tools {

using models::CylinderFigures;
using models::CylinderTraces;
using models::Ledger;
using models::LedgerLine;
using models::MergeFigures;
using models::PipeFigures;
using models::PointResult;

static_assert(std::endian::native == std::endian::little,
              "records are copied to the file as they are in memory");
static_assert(sizeof(int) == 4 && sizeof(long) == 8);

namespace {

// ---------------------------------------------------------------- tables of fields

template <class Owner, class Value>
struct Field {
  Value Owner::*member;
  const char* name;
  const char* units;
  const char* long_name;
};

constexpr Field<PointResult, double> point_numbers[] = {
    {&PointResult::speed, "rotation_rate", "Hz", "revolutions of the crankshaft per second"},
    {&PointResult::cell_size, "cell_size", "m", "mean cell size of the pipes"},
    {&PointResult::torque, "torque", "N m", "brake torque"},
    {&PointResult::power, "power", "W", "brake power"},
    {&PointResult::bmep, "bmep", "Pa", "brake mean effective pressure"},
    {&PointResult::imep, "imep", "Pa", "net indicated mean effective pressure"},
    {&PointResult::pmep, "pmep", "Pa", "pumping mean effective pressure, positive = work spent"},
    {&PointResult::fmep, "fmep", "Pa", "friction mean effective pressure"},
    {&PointResult::volumetric_efficiency, "volumetric_efficiency", "1",
     "fresh air trapped / air at ambient state in the swept volume"},
    {&PointResult::delivery_ratio, "delivery_ratio", "1",
     "fresh air through the intake valve / air at ambient state in the swept volume"},
    {&PointResult::residual_fraction, "residual_fraction", "1",
     "burnt mass / trapped mass at intake valve closing"},
    {&PointResult::short_circuit_fraction, "short_circuit_fraction", "1",
     "fresh mass lost through the exhaust valve / delivered"},
    {&PointResult::overlap_exhaust_pressure, "overlap_exhaust_pressure", "Pa",
     "mean gauge pressure at the exhaust valve over overlap, mean of cylinders"},
    {&PointResult::overlap_difference, "overlap_difference", "Pa",
     "mean of intake port - exhaust port pressure over overlap, mean of cylinders"},
    {&PointResult::depression, "depression", "Pa",
     "lowest gauge pressure at the exhaust port round overlap, mean of cylinders"},
    {&PointResult::depression_angle, "depression_angle", "degree",
     "crank angle of the depression, mean of cylinders"},
    {&PointResult::exhaust_stroke_pressure, "exhaust_stroke_pressure", "Pa",
     "mean gauge pressure at the exhaust valve over the exhaust stroke, mean of cylinders"},
    {&PointResult::blowdown_pulse, "blowdown_pulse", "Pa",
     "highest gauge pressure at the exhaust port, mean of cylinders"},
    {&PointResult::exhaust_temperature, "exhaust_temperature", "K",
     "mass-averaged gas temperature at the exhaust port, mean of cylinders"},
    {&PointResult::fuel_flow, "fuel_flow", "kg s-1", "fuel mass flow"},
    {&PointResult::cycle_noise_torque, "cycle_noise_torque", "N m",
     "change of torque between the last two periods"},
    {&PointResult::cycle_noise_overlap, "cycle_noise_overlap", "Pa",
     "change of overlap_exhaust_pressure between the last two periods"},
};

constexpr Field<PointResult, int> point_counts[] = {
    {&PointResult::cycles, "cycles", "1", "cycles simulated"},
    {&PointResult::period, "period", "1", "cycles after which the pattern repeats"},
    {&PointResult::cells, "cells", "1", "cells of all pipes"},
};

constexpr Field<PointResult, long> point_long_counts[] = {
    {&PointResult::steps, "steps", "1", "time steps in all"},
    {&PointResult::clipped, "clipped", "1", "values clipped or floored in the averaged cycles"},
};

constexpr Field<CylinderFigures, double> cylinder_numbers[] = {
    {&CylinderFigures::volumetric_efficiency, "cylinder_volumetric_efficiency", "1",
     "fresh air trapped / air at ambient state in the swept volume"},
    {&CylinderFigures::delivery_ratio, "cylinder_delivery_ratio", "1",
     "fresh air through the intake valve / air at ambient state in the swept volume"},
    {&CylinderFigures::trapped_mass, "cylinder_trapped_mass", "kg",
     "mass in the cylinder at intake valve closing"},
    {&CylinderFigures::residual_fraction, "cylinder_residual_fraction", "1",
     "burnt mass / trapped mass at intake valve closing"},
    {&CylinderFigures::short_circuit_fraction, "cylinder_short_circuit_fraction", "1",
     "fresh mass lost through the exhaust valve / delivered"},
    {&CylinderFigures::imep, "cylinder_imep", "Pa", "net indicated mean effective pressure"},
    {&CylinderFigures::imep_gross, "cylinder_imep_gross", "Pa",
     "indicated mean effective pressure of the compression and expansion strokes"},
    {&CylinderFigures::pmep, "cylinder_pmep", "Pa",
     "pumping mean effective pressure, positive = work spent"},
    {&CylinderFigures::peak_pressure, "cylinder_peak_pressure", "Pa", "highest cylinder pressure"},
    {&CylinderFigures::peak_pressure_angle, "cylinder_peak_pressure_angle", "degree",
     "crank angle of the highest cylinder pressure"},
    {&CylinderFigures::overlap_exhaust_pressure, "cylinder_overlap_exhaust_pressure", "Pa",
     "mean gauge pressure at the exhaust valve over overlap"},
    {&CylinderFigures::overlap_difference, "cylinder_overlap_difference", "Pa",
     "mean of intake port - exhaust port pressure over overlap"},
    {&CylinderFigures::depression, "cylinder_depression", "Pa",
     "lowest gauge pressure at the exhaust port from 240 degree to exhaust valve closing"},
    {&CylinderFigures::depression_angle, "cylinder_depression_angle", "degree",
     "crank angle of the depression"},
    {&CylinderFigures::exhaust_stroke_pressure, "cylinder_exhaust_stroke_pressure", "Pa",
     "mean gauge pressure at the exhaust valve from 180 to 360 degree"},
    {&CylinderFigures::blowdown_pulse, "cylinder_blowdown_pulse", "Pa",
     "highest gauge pressure at the exhaust port"},
    {&CylinderFigures::blowdown_pulse_angle, "cylinder_blowdown_pulse_angle", "degree",
     "crank angle of the highest pressure at the exhaust port"},
    {&CylinderFigures::exhaust_temperature, "cylinder_exhaust_temperature", "K",
     "mass-averaged gas temperature of the outflow at the exhaust port"},
};

constexpr Field<MergeFigures, double> merge_numbers[] = {
    {&MergeFigures::evenness, "merge_evenness", "1",
     "spacing of the arrivals, 0 = all together, 1 = all gaps equal"},
    {&MergeFigures::wave_speed, "merge_wave_speed", "m s-1",
     "mean u + c met by the pulses on their way to the merge"},
    {&MergeFigures::degrees_per_metre, "merge_degrees_per_metre", "degree m-1",
     "crank angle bought by one metre of pipe length"},
    {&MergeFigures::length_to_even, "merge_length_to_even", "m",
     "span of pipe lengths that would make all gaps equal"},
};

constexpr Field<MergeFigures, std::vector<int>> merge_slot_counts[] = {
    {&MergeFigures::cylinders, "merge_cylinder", "1",
     "number of the cylinder whose pulse arrives, in order of arrival"},
};

constexpr Field<MergeFigures, std::vector<double>> merge_slot_numbers[] = {
    {&MergeFigures::arrival, "merge_arrival", "degree",
     "engine crank angle at which the pulse arrives, 0 = firing top dead centre of cylinder 1"},
    {&MergeFigures::gap, "merge_gap", "degree", "crank angle from this arrival to the next"},
    {&MergeFigures::added_length, "merge_added_length", "m",
     "pipe length to add for equal gaps, smallest is 0"},
};

constexpr Field<PipeFigures, double> pipe_numbers[] = {
    {&PipeFigures::wall_temperature, "pipe_wall_temperature", "K",
     "wall temperature, mean over the pipe"},
    {&PipeFigures::gas_temperature, "pipe_gas_temperature", "K",
     "gas temperature, mean over cycle and pipe"},
    {&PipeFigures::peak_mach, "pipe_peak_mach", "1", "highest Mach number"},
};

constexpr Field<Ledger, LedgerLine> ledger_lines[] = {
    {&Ledger::mass, "mass", "kg", "mass"},
    {&Ledger::burnt, "burnt", "kg", "burnt mass"},
    {&Ledger::energy, "energy", "J", "energy"},
};

// An empty unit takes that of the line.
constexpr Field<LedgerLine, double> ledger_columns[] = {
    {&LedgerLine::in, "in", "", "flowed in per cycle"},
    {&LedgerLine::source, "source", "", "made or supplied per cycle"},
    {&LedgerLine::out, "out", "", "flowed out through the tails per cycle"},
    {&LedgerLine::lost, "lost", "", "lost to walls and pistons per cycle"},
    {&LedgerLine::stored, "stored", "", "rise of content per cycle"},
    {&LedgerLine::imbalance, "imbalance", "1", "(in + source - out - lost - stored)/(in + source)"},
};

constexpr Field<CylinderTraces, std::vector<float>> trace_arrays[] = {
    {&CylinderTraces::exhaust_pressure, "trace_exhaust_pressure", "Pa",
     "absolute pressure at the exhaust port"},
    {&CylinderTraces::exhaust_outgoing, "trace_exhaust_outgoing", "Pa",
     "gauge pressure of the wave from valve to tail at the exhaust port"},
    {&CylinderTraces::exhaust_returning, "trace_exhaust_returning", "Pa",
     "gauge pressure of the wave from tail to valve at the exhaust port"},
    {&CylinderTraces::exhaust_temperature, "trace_exhaust_temperature", "K",
     "gas temperature at the exhaust port"},
    {&CylinderTraces::exhaust_mass_flow, "trace_exhaust_mass_flow", "kg s-1",
     "mass flow out of the cylinder through the exhaust valve"},
    {&CylinderTraces::intake_pressure, "trace_intake_pressure", "Pa",
     "absolute pressure at the intake port"},
    {&CylinderTraces::intake_mass_flow, "trace_intake_mass_flow", "kg s-1",
     "mass flow into the cylinder through the intake valve"},
    {&CylinderTraces::cylinder_pressure, "trace_cylinder_pressure", "Pa",
     "absolute pressure in the cylinder"},
};

// ---------------------------------------------------------------- from tables to variables

template <class T>
constexpr ElementType element_type() {
  if constexpr (std::is_same_v<T, double>) return ElementType::float64;
  if constexpr (std::is_same_v<T, float>) return ElementType::float32;
  if constexpr (std::is_same_v<T, long>) return ElementType::int64;
  if constexpr (std::is_same_v<T, int>) return ElementType::int32;
  if constexpr (std::is_same_v<T, std::int8_t>) return ElementType::int8;
  if constexpr (std::is_same_v<T, char>) return ElementType::text;
}

template <class T>
constexpr T fill_value() {
  if constexpr (std::is_floating_point_v<T>) {
    return std::numeric_limits<T>::quiet_NaN();
  } else {
    return sizeof(T) == 1 ? T{0} : T{-1};
  }
}

template <class T>
void put(std::byte* record, std::size_t index, T value) {
  std::memcpy(record + index * sizeof(T), &value, sizeof(T));
}

template <class T>
T get(const std::byte* record, std::size_t index) {
  T value;
  std::memcpy(&value, record + index * sizeof(T), sizeof(T));
  return value;
}

// Collects variables, and knows how long each dimension is.
class VariableList {
 public:
  VariableList(const StudyPlan& plan, const HeaderPlan& header_plan)
      : plan_(plan), header_(header_plan) {}

  template <class T>
  Variable& add(VariableKind kind, const std::string& name, const std::string& units,
                const std::string& long_name, const std::vector<std::string>& dimensions) {
    Variable variable;
    variable.name = name;
    variable.units = units;
    variable.long_name = long_name;
    variable.type = element_type<T>();
    variable.kind = kind;
    variable.dimensions = dimensions;
    for (const auto& dimension : dimensions) variable.shape.push_back(extent(dimension));
    variables_.push_back(std::move(variable));
    return variables_.back();
  }

  std::vector<Variable> take() {
    std::erase_if(variables_, [](const Variable& variable) {
      return std::find(variable.shape.begin(), variable.shape.end(), 0U) != variable.shape.end();
    });
    return std::move(variables_);
  }

 private:
  std::size_t extent(std::string_view dimension) const {
    if (dimension == "speed") return plan_.speeds.size();
    if (dimension == "cylinder") return header_.cylinder_numbers.size();
    if (dimension == "merge") return header_.merges.size();
    if (dimension == "slot") return header_.merge_slots;
    if (dimension == "pipe") return header_.pipes.size();
    if (dimension == "tail") return header_.tails.size();
    if (dimension == "crank_angle" || dimension == "engine_angle") {
      return stored_trace_points(plan_, header_);
    }
    if (dimension == "diagram_speed") return plan_.wave_speed_indices.size();
    if (dimension == "diagram_angle") return plan_.wave_angles;
    if (dimension == "distance") return header_.wave_distance.size();
    if (dimension == "text_byte") return failure_text_bytes;
    throw std::logic_error("unknown dimension " + std::string(dimension));
  }

  const StudyPlan& plan_;
  const HeaderPlan& header_;
  std::vector<Variable> variables_;
};

template <class T, std::size_t size>
void add_point_fields(VariableList& list, const Field<PointResult, T> (&table)[size]) {
  for (const auto& field : table) {
    auto& variable =
        list.add<T>(VariableKind::figure, field.name, field.units, field.long_name, {"speed"});
    variable.encode = [member = field.member](const PointResult& point, std::byte* record) {
      put(record, 0, point.*member);
    };
    variable.decode = [member = field.member](const std::byte* record, PointResult& point) {
      point.*member = get<T>(record, 0);
    };
  }
}

// One number of every element of a list of PointResult.
template <class Part, std::size_t size>
void add_part_fields(VariableList& list, const std::string& dimension,
                     std::vector<Part> PointResult::*parts,
                     const Field<Part, double> (&table)[size]) {
  for (const auto& field : table) {
    auto& variable = list.add<double>(VariableKind::figure, field.name, field.units,
                                      field.long_name, {"speed", dimension});
    variable.encode = [parts, member = field.member](const PointResult& point, std::byte* record) {
      for (std::size_t i = 0; i < (point.*parts).size(); ++i) {
        put(record, i, (point.*parts)[i].*member);
      }
    };
    variable.decode = [parts, member = field.member](const std::byte* record, PointResult& point) {
      for (std::size_t i = 0; i < (point.*parts).size(); ++i) {
        (point.*parts)[i].*member = get<double>(record, i);
      }
    };
  }
}

template <class T, std::size_t size>
void add_merge_slots(VariableList& list, std::size_t slots,
                     const Field<MergeFigures, std::vector<T>> (&table)[size]) {
  for (const auto& field : table) {
    auto& variable = list.add<T>(VariableKind::figure, field.name, field.units, field.long_name,
                                 {"speed", "merge", "slot"});
    variable.encode = [slots, member = field.member](const PointResult& point, std::byte* record) {
      for (std::size_t m = 0; m < point.merges.size(); ++m) {
        const auto& values = point.merges[m].*member;
        for (std::size_t i = 0; i < slots; ++i) {
          put(record, m * slots + i, i < values.size() ? values[i] : fill_value<T>());
        }
      }
    };
    variable.decode = [slots, member = field.member](const std::byte* record, PointResult& point) {
      for (std::size_t m = 0; m < point.merges.size(); ++m) {
        auto& values = point.merges[m].*member;
        values.resize(slots);
        for (std::size_t i = 0; i < slots; ++i) values[i] = get<T>(record, m * slots + i);
      }
    };
  }
}

void add_ledger(VariableList& list) {
  for (const auto& line : ledger_lines) {
    for (const auto& column : ledger_columns) {
      const std::string_view own_units = column.units;
      auto& variable = list.add<double>(
          VariableKind::figure, fmt::format("ledger_{}_{}", line.name, column.name),
          own_units.empty() ? line.units : column.units,
          fmt::format("{} {}", line.long_name, column.long_name), {"speed"});
      variable.encode = [line, column](const PointResult& point, std::byte* record) {
        put(record, 0, point.ledger.*(line.member).*(column.member));
      };
      variable.decode = [line, column](const std::byte* record, PointResult& point) {
        point.ledger.*(line.member).*(column.member) = get<double>(record, 0);
      };
    }
  }
}

// A flag that tells a list that was not given from one that was; it is decoded before the list.
template <class Part>
void add_stored_flag(VariableList& list, const char* name, const char* long_name,
                     std::vector<Part> PointResult::*parts) {
  auto& variable = list.add<std::int8_t>(VariableKind::trace, name, "", long_name, {"speed"});
  variable.encode = [parts](const PointResult& point, std::byte* record) {
    put(record, 0, static_cast<std::int8_t>((point.*parts).empty() ? 0 : 1));
  };
  variable.decode = [parts](const std::byte* record, PointResult& point) {
    if (get<std::int8_t>(record, 0) == 0) (point.*parts).clear();
  };
}

template <class Part>
void set_trace_codec(Variable& variable, std::size_t length, std::vector<Part> PointResult::*parts,
                     std::vector<float> Part::*member) {
  variable.encode = [=, fill = variable](const PointResult& point, std::byte* record) {
    if ((point.*parts).empty()) {
      fill.fill_record(record);
      return;
    }
    for (const auto& part : point.*parts) {
      std::memcpy(record, (part.*member).data(), length * sizeof(float));
      record += length * sizeof(float);
    }
  };
  variable.decode = [=](const std::byte* record, PointResult& point) {
    for (auto& part : point.*parts) {
      (part.*member).resize(length);
      std::memcpy((part.*member).data(), record, length * sizeof(float));
      record += length * sizeof(float);
    }
  };
}

void add_traces(VariableList& list, const StudyPlan& plan, const HeaderPlan& header_plan) {
  if (stored_trace_points(plan, header_plan) == 0) return;
  if (!header_plan.cylinder_numbers.empty()) {
    add_stored_flag(list, "traces_stored", "1 = the traces of the cylinders are stored",
                    &PointResult::traces);
  }
  for (const auto& field : trace_arrays) {
    auto& variable = list.add<float>(VariableKind::trace, field.name, field.units, field.long_name,
                                     {"speed", "cylinder", "crank_angle"});
    set_trace_codec(variable, plan.trace_points, &PointResult::traces, field.member);
  }
  if (header_plan.tails.empty()) return;
  add_stored_flag(list, "tails_stored", "1 = the traces of the tails are stored",
                  &PointResult::tails);
  auto& variable = list.add<float>(VariableKind::trace, "tail_mass_flow", "kg s-1",
                                   "mass flow out of the tail", {"speed", "tail", "engine_angle"});
  set_trace_codec(variable, plan.trace_points, &PointResult::tails, &models::TailTrace::mass_flow);
}

void add_wave_field(VariableList& list, const char* name, const char* units, const char* long_name,
                    std::vector<float> models::WaveDiagram::*member) {
  auto& variable = list.add<float>(VariableKind::diagram, name, units, long_name,
                                   {"diagram_speed", "diagram_angle", "distance"});
  variable.encode = [member, fill = variable](const PointResult& point, std::byte* record) {
    const auto& values = point.wave.*member;
    if (values.empty()) {
      fill.fill_record(record);
    } else {
      std::memcpy(record, values.data(), values.size() * sizeof(float));
    }
  };
  variable.decode = [member, count = variable.record_elements()](const std::byte* record,
                                                                 PointResult& point) {
    if (point.wave.angle.empty()) return;  // no diagram was given
    auto& values = point.wave.*member;
    values.resize(count);
    std::memcpy(values.data(), record, count * sizeof(float));
  };
}

void add_wave(VariableList& list, const StudyPlan& plan, const HeaderPlan& header_plan) {
  if (!has_wave_diagram(plan, header_plan)) return;
  auto& variable =
      list.add<int>(VariableKind::diagram, "diagram_cylinder", "1",
                    "number of the cylinder whose path the diagram follows", {"diagram_speed"});
  variable.encode = [](const PointResult& point, std::byte* record) {
    put(record, 0, point.wave.pressure.empty() ? fill_value<int>() : point.wave.cylinder);
  };
  variable.decode = [angles = plan.wave_angles, header_plan](const std::byte* record,
                                                             PointResult& point) {
    const int cylinder = get<int>(record, 0);
    if (cylinder == fill_value<int>()) return;
    point.wave.cylinder = cylinder;
    point.wave.angle = even_angles(angles);
    point.wave.distance = header_plan.wave_distance;
    point.wave.pipe_start = header_plan.wave_pipe_start;
    point.wave.pipe_name = header_plan.wave_pipe_names;
  };
  add_wave_field(list, "diagram_pressure", "Pa", "absolute pressure along the path",
                 &models::WaveDiagram::pressure);
  add_wave_field(list, "diagram_velocity", "m s-1", "gas velocity along the path",
                 &models::WaveDiagram::velocity);
}

// ---------------------------------------------------------------- does a point fit its plan?

void require(bool fits, const std::string& what) {
  if (!fits) throw std::invalid_argument("point does not fit the results file: " + what);
}

template <class Part>
void require_names(const std::vector<Part>& parts, const std::vector<std::string>& names,
                   const std::string& what) {
  require(parts.size() == names.size(),
          fmt::format("{} {}, planned {}", parts.size(), what, names.size()));
  for (std::size_t i = 0; i < parts.size(); ++i) {
    require(parts[i].name == names[i], fmt::format("number {} of the {} is '{}', planned '{}'",
                                                   i + 1, what, parts[i].name, names[i]));
  }
}

void require_near(const std::vector<double>& values, const std::vector<double>& planned,
                  const std::string& what) {
  require(values.size() == planned.size(),
          fmt::format("{} {}, planned {}", values.size(), what, planned.size()));
  for (std::size_t i = 0; i < values.size(); ++i) {
    // Only round-off may lie between them: the file keeps the planned value.
    require(
        std::abs(values[i] - planned[i]) <= 1e-9 * std::max(1.0, std::abs(planned[i])),
        fmt::format("number {} of the {} is {}, planned {}", i + 1, what, values[i], planned[i]));
  }
}

void check_cylinders(const HeaderPlan& header_plan, const PointResult& point) {
  require(point.cylinders.size() == header_plan.cylinder_numbers.size(),
          fmt::format("{} cylinders, planned {}", point.cylinders.size(),
                      header_plan.cylinder_numbers.size()));
  for (std::size_t i = 0; i < point.cylinders.size(); ++i) {
    require(point.cylinders[i].number == header_plan.cylinder_numbers[i],
            fmt::format("cylinder {} stands in the place of cylinder {}", point.cylinders[i].number,
                        header_plan.cylinder_numbers[i]));
  }
}

void check_merges(const HeaderPlan& header_plan, const PointResult& point) {
  require_names(point.merges, header_plan.merges, "merges");
  for (const auto& merge : point.merges) {
    const auto count = merge.cylinders.size();
    require(count <= header_plan.merge_slots,
            fmt::format("merge '{}' has {} pulses, planned are at most {}", merge.name, count,
                        header_plan.merge_slots));
    require(merge.arrival.size() == count && merge.gap.size() == count &&
                merge.added_length.size() == count,
            fmt::format("merge '{}' has unequal numbers of cylinders, arrivals, gaps and lengths",
                        merge.name));
    require(std::find(merge.cylinders.begin(), merge.cylinders.end(), -1) == merge.cylinders.end(),
            fmt::format("merge '{}' names cylinder -1, which means none", merge.name));
  }
}

void check_traces(const StudyPlan& plan, const HeaderPlan& header_plan, const PointResult& point) {
  if (stored_trace_points(plan, header_plan) == 0) return;  // nothing of them is kept
  if (!point.traces.empty()) {
    require(point.traces.size() == header_plan.cylinder_numbers.size(),
            fmt::format("traces of {} cylinders, planned {}", point.traces.size(),
                        header_plan.cylinder_numbers.size()));
  }
  for (const auto& trace : point.traces) {
    for (const auto& field : trace_arrays) {
      require((trace.*field.member).size() == plan.trace_points,
              fmt::format("{} has {} values, planned {}", field.name, (trace.*field.member).size(),
                          plan.trace_points));
    }
  }
  if (!point.tails.empty()) require_names(point.tails, header_plan.tails, "tails");
  for (const auto& tail : point.tails) {
    require(tail.mass_flow.size() == plan.trace_points,
            fmt::format("tail '{}' has {} values, planned {}", tail.name, tail.mass_flow.size(),
                        plan.trace_points));
  }
}

void check_wave(const StudyPlan& plan, const HeaderPlan& header_plan, const PointResult& point) {
  const auto& wave = point.wave;
  if (!has_wave_diagram(plan, header_plan) || wave.pressure.empty()) return;
  require_near(wave.angle, even_angles(plan.wave_angles), "crank angles of the wave diagram");
  require_near(wave.distance, header_plan.wave_distance, "distances of the wave diagram");
  require_near(wave.pipe_start, header_plan.wave_pipe_start, "pipe starts of the wave diagram");
  require(wave.pipe_name == header_plan.wave_pipe_names,
          "the wave diagram names other pipes than planned");
  const auto count = wave.angle.size() * wave.distance.size();
  require(wave.pressure.size() == count && wave.velocity.size() == count,
          fmt::format("the wave diagram has {} pressures and {} velocities, planned {}",
                      wave.pressure.size(), wave.velocity.size(), count));
}

template <class T>
void fill(std::byte* record, std::size_t count) {
  for (std::size_t i = 0; i < count; ++i) put(record, i, fill_value<T>());
}

}  // namespace

std::size_t element_size(ElementType type) {
  switch (type) {
    case ElementType::float64:
    case ElementType::int64:
      return 8;
    case ElementType::float32:
    case ElementType::int32:
      return 4;
    case ElementType::int8:
    case ElementType::text:
      return 1;
  }
  throw std::logic_error("unknown element type");
}

std::size_t Variable::record_elements() const {
  std::size_t count = 1;
  for (std::size_t i = 1; i < shape.size(); ++i) count *= shape[i];
  return count;
}

void Variable::fill_record(std::byte* record) const {
  switch (type) {
    case ElementType::float64:
      return fill<double>(record, record_elements());
    case ElementType::float32:
      return fill<float>(record, record_elements());
    case ElementType::int64:
      return fill<long>(record, record_elements());
    case ElementType::int32:
      return fill<int>(record, record_elements());
    case ElementType::int8:
    case ElementType::text:
      return fill<char>(record, record_elements());
  }
}

std::vector<double> even_angles(std::size_t count) {
  std::vector<double> angles(count);
  for (std::size_t i = 0; i < count; ++i) {
    angles[i] = 720.0 * static_cast<double>(i) / static_cast<double>(count);
  }
  return angles;
}

std::vector<Variable> header_variables(const StudyPlan& plan, const HeaderPlan& header_plan) {
  VariableList list(plan, header_plan);
  list.add<std::int8_t>(VariableKind::bookkeeping, status_variable, "",
                        "state of the point: missing, converged, not converged or failed",
                        {"speed"});
  list.add<double>(VariableKind::bookkeeping, seconds_variable, "s",
                   "time the computation of the point took", {"speed"});
  list.add<char>(VariableKind::bookkeeping, failure_variable, "", "why the point failed, UTF-8",
                 {"speed", "text_byte"});
  add_point_fields(list, point_numbers);
  add_point_fields(list, point_counts);
  add_point_fields(list, point_long_counts);
  add_ledger(list);
  add_part_fields(list, "cylinder", &PointResult::cylinders, cylinder_numbers);
  add_part_fields(list, "merge", &PointResult::merges, merge_numbers);
  add_merge_slots(list, header_plan.merge_slots, merge_slot_counts);
  add_merge_slots(list, header_plan.merge_slots, merge_slot_numbers);
  add_part_fields(list, "pipe", &PointResult::pipes, pipe_numbers);
  add_traces(list, plan, header_plan);
  add_wave(list, plan, header_plan);
  return list.take();
}

std::optional<std::size_t> record_of_speed(const StudyPlan& plan, const Variable& variable,
                                           std::size_t speed) {
  if (variable.kind != VariableKind::diagram) return speed;
  const auto& stored = plan.wave_speed_indices;
  const auto at = std::lower_bound(stored.begin(), stored.end(), speed);
  if (at == stored.end() || *at != speed) return std::nullopt;
  return static_cast<std::size_t>(at - stored.begin());
}

PointResult empty_point(const HeaderPlan& header_plan) {
  PointResult point;
  point.cylinders.resize(header_plan.cylinder_numbers.size());
  for (std::size_t i = 0; i < point.cylinders.size(); ++i) {
    point.cylinders[i].number = header_plan.cylinder_numbers[i];
  }
  point.merges.resize(header_plan.merges.size());
  for (std::size_t i = 0; i < point.merges.size(); ++i)
    point.merges[i].name = header_plan.merges[i];
  point.pipes.resize(header_plan.pipes.size());
  for (std::size_t i = 0; i < point.pipes.size(); ++i) point.pipes[i].name = header_plan.pipes[i];
  point.traces.resize(point.cylinders.size());
  point.tails.resize(header_plan.tails.size());
  for (std::size_t i = 0; i < point.tails.size(); ++i) point.tails[i].name = header_plan.tails[i];
  return point;
}

void finish_point(PointResult& point) {
  for (auto& merge : point.merges) {
    const auto count = static_cast<std::size_t>(
        std::find(merge.cylinders.begin(), merge.cylinders.end(), fill_value<int>()) -
        merge.cylinders.begin());
    merge.cylinders.resize(count);
    merge.arrival.resize(count);
    merge.gap.resize(count);
    merge.added_length.resize(count);
  }
  const auto without_values = [](const auto& values) { return values.empty(); };
  // Traces that were left out, by the plan or by the reader, leave no empty shells behind.
  if (!point.traces.empty() && without_values(point.traces.front().exhaust_pressure)) {
    point.traces.clear();
  }
  if (!point.tails.empty() && without_values(point.tails.front().mass_flow)) point.tails.clear();
}

void check_point(const StudyPlan& plan, const HeaderPlan& header_plan, std::size_t speed,
                 const PointResult& point) {
  require_near({point.speed}, {plan.speeds[speed]}, "speeds in rev/s");
  check_cylinders(header_plan, point);
  check_merges(header_plan, point);
  require_names(point.pipes, header_plan.pipes, "pipes");
  check_traces(plan, header_plan, point);
  check_wave(plan, header_plan, point);
}

}  // namespace pulsewright::tools
