#include "tools/results/variables.hpp"

#include <algorithm>
#include <bit>
#include <cstdint>
#include <cstring>
#include <fmt/format.h>
#include <limits>
#include <span>
#include <stdexcept>
#include <string_view>
#include <type_traits>
#include <utility>

#include "models/boundary/crank_angle.hpp"
#include "models/figures/figure_table.hpp"
#include "tools/results/coordinates.hpp"
#include "tools/results/structure_checksums.hpp"

namespace pulsewright::tools {

using models::CylinderFigures;
using models::Figure;
using models::MergeFigures;
using models::PointResult;

static_assert(std::endian::native == std::endian::little,
              "records are copied to the file as they are in memory");
static_assert(sizeof(int) == 4 && sizeof(long) == 8);

namespace {

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

// Collects variables, and knows how long each dimension is.
class VariableList {
 public:
  VariableList(const StudyPlan& plan, const HeaderPlan& header_plan)
      : coordinates_(header_coordinates(plan, header_plan)) {}

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

  void drop_empty() {
    std::erase_if(variables_, [](const Variable& variable) {
      return std::find(variable.shape.begin(), variable.shape.end(), 0U) != variable.shape.end();
    });
  }

  // Of all variables before it.
  void add_checksums() {
    coordinates_.push_back(checked_coordinate(variables_));
    add<long>(VariableKind::bookkeeping, checksum_variable, "",
              "CRC-32 of the record of the variable, -1 = none yet", {"speed", checked_dimension});
  }

  std::vector<Variable> take() { return std::move(variables_); }

 private:
  std::size_t extent(std::string_view dimension) const {
    if (dimension == text_dimension) return failure_text_bytes;
    const auto at = std::find_if(coordinates_.begin(), coordinates_.end(),
                                 [&](const Coordinate& one) { return one.name == dimension; });
    if (at == coordinates_.end()) {
      throw std::logic_error("unknown dimension " + std::string(dimension));
    }
    return at->size();
  }

  std::vector<Coordinate> coordinates_;
  std::vector<Variable> variables_;
};

template <class Owner>
constexpr bool is_diagram = std::is_same_v<Owner, models::WaveDiagram>;

// The parts of a point that own a figure, in the order of the file: one or a list.
template <class Owner, class Point>
auto parts_of(Point& point) {
  if constexpr (std::is_same_v<Owner, PointResult>) {
    return std::span(&point, 1);
  } else if constexpr (is_diagram<Owner>) {
    return std::span(&point.wave, 1);
  } else if constexpr (std::is_same_v<Owner, CylinderFigures>) {
    return std::span(point.cylinders);
  } else if constexpr (std::is_same_v<Owner, MergeFigures>) {
    return std::span(point.merges);
  } else if constexpr (std::is_same_v<Owner, models::PipeFigures>) {
    return std::span(point.pipes);
  } else if constexpr (std::is_same_v<Owner, models::CylinderTraces>) {
    return std::span(point.traces);
  } else if constexpr (std::is_same_v<Owner, models::ProbeTraces>) {
    return std::span(point.probes);
  } else {
    static_assert(std::is_same_v<Owner, models::TailTrace>);
    return std::span(point.tails);
  }
}

// A member as a list of numbers: one, or as many as it has.
template <class T>
std::span<const T> numbers_of(const T& value) {
  return std::span(&value, 1);
}
template <class T>
std::span<const T> numbers_of(const std::vector<T>& values) {
  return values;
}

template <class T>
std::span<T> room_in(T& value, std::size_t) {
  return std::span(&value, 1);
}
template <class T>
std::span<T> room_in(std::vector<T>& values, std::size_t count) {
  values.resize(count);
  return values;
}

// One figure of every part that owns it, part by part; what a part lacks is filled.
template <class Owner, class Value>
void add_figure(VariableList& list, VariableKind kind, const std::string& word,
                const Figure<Owner, Value>& figure, const std::vector<std::string>& dimensions) {
  using T = typename decltype(numbers_of(std::declval<const Value&>()))::value_type;
  constexpr bool is_one = std::is_same_v<Owner, PointResult> || is_diagram<Owner>;
  auto& variable = list.add<T>(kind, word + figure.name, figure.unit, figure.text, dimensions);
  std::size_t length = 1;  // elements of a part
  for (std::size_t i = is_one ? 1 : 2; i < variable.shape.size(); ++i) length *= variable.shape[i];
  variable.encode = [length, member = figure.member, fill = variable](const PointResult& point,
                                                                      std::byte* record) {
    fill.fill_record(record);
    for (const auto& part : parts_of<Owner>(point)) {
      const std::span<const T> numbers = numbers_of(part.*member);
      std::ranges::copy(std::as_bytes(numbers.first(std::min(numbers.size(), length))), record);
      record += length * sizeof(T);
    }
  };
  variable.decode = [length, member = figure.member](const std::byte* record, PointResult& point) {
    if constexpr (is_diagram<Owner>) {
      if (point.wave.angle.empty()) return;  // none was stored
    }
    for (auto& part : parts_of<Owner>(point)) {
      const std::span<T> room = room_in(part.*member, length);
      std::copy_n(record, room.size_bytes(), std::as_writable_bytes(room).begin());
      record += length * sizeof(T);
    }
  };
}

void add_ledger(VariableList& list) {
  models::for_each_ledger_line([&](const auto& line) {
    models::for_each_ledger_column([&](const auto& column) {
      const bool has_unit = *column.unit != '\0';
      auto& variable = list.add<double>(VariableKind::figure,
                                        fmt::format("ledger_{}_{}", line.name, column.name),
                                        has_unit ? column.unit : line.unit,
                                        fmt::format("{} {}", line.text, column.text), {"speed"});
      variable.encode = [line, column](const PointResult& point, std::byte* record) {
        std::memcpy(record, &(point.ledger.*(line.member).*(column.member)), sizeof(double));
      };
      variable.decode = [line, column](const std::byte* record, PointResult& point) {
        std::memcpy(&(point.ledger.*(line.member).*(column.member)), record, sizeof(double));
      };
    });
  });
}

// A flag that is set where a list was given; it is decoded before the list.
template <class Part>
void add_stored_flag(VariableList& list, const char* name, const char* long_name,
                     std::vector<Part> PointResult::*parts) {
  auto& variable = list.add<std::int8_t>(VariableKind::trace, name, "", long_name, {"speed"});
  variable.encode = [parts](const PointResult& point, std::byte* record) {
    *record = std::byte{(point.*parts).empty() ? std::uint8_t{0} : std::uint8_t{1}};
  };
  variable.decode = [parts](const std::byte* record, PointResult& point) {
    if (*record == std::byte{0}) (point.*parts).clear();
  };
}

void add_traces(VariableList& list, const StudyPlan& plan, const HeaderPlan& header_plan) {
  if (stored_trace_points(plan, header_plan) == 0) return;
  if (!header_plan.cylinder_numbers.empty()) {
    add_stored_flag(list, "traces_stored", "1 = the traces of the cylinders are stored",
                    &PointResult::traces);
  }
  models::for_each_cylinder_trace([&](const auto& trace) {
    add_figure(list, VariableKind::trace, "trace_", trace, {"speed", "cylinder", "crank_angle"});
  });
  if (!header_plan.tails.empty()) {
    add_stored_flag(list, "tails_stored", "1 = the traces of the tails are stored",
                    &PointResult::tails);
    models::for_each_tail_trace([&](const auto& trace) {
      add_figure(list, VariableKind::trace, "tail_", trace, {"speed", "tail_name", "engine_angle"});
    });
  }
  if (header_plan.probes.empty()) return;
  add_stored_flag(list, "probes_stored", "1 = the traces of the probes are stored",
                  &PointResult::probes);
  models::for_each_probe_trace([&](const auto& trace) {
    add_figure(list, VariableKind::trace, "probe_", trace, {"speed", "probe", "engine_angle"});
  });
}

// The cylinder is decoded first: where there is one, the axes are those of the plan.
void add_wave(VariableList& list, const StudyPlan& plan, const HeaderPlan& header_plan) {
  auto& variable =
      list.add<int>(VariableKind::diagram, "diagram_cylinder", "1",
                    "number of the cylinder whose path the diagram follows", {"diagram_speed"});
  variable.encode = [](const PointResult& point, std::byte* record) {
    const int cylinder = point.wave.pressure.empty() ? fill_value<int>() : point.wave.cylinder;
    std::memcpy(record, &cylinder, sizeof cylinder);
  };
  variable.decode = [angles = plan.wave_angles, header_plan](const std::byte* record,
                                                             PointResult& point) {
    int cylinder = 0;
    std::memcpy(&cylinder, record, sizeof cylinder);
    if (cylinder == fill_value<int>()) return;
    point.wave.cylinder = cylinder;
    point.wave.angle = models::even_angles(angles);
    point.wave.distance = header_plan.wave_distance;
    point.wave.pipe_start = header_plan.wave_pipe_start;
    point.wave.pipe_name = header_plan.wave_pipe_names;
  };
  models::for_each_diagram_array([&](const auto& array) {
    add_figure(list, VariableKind::diagram, "diagram_", array,
               {"diagram_speed", "diagram_angle", "distance"});
  });
}

template <class T>
void fill(std::byte* record, std::size_t count) {
  constexpr T value = fill_value<T>();
  for (std::size_t i = 0; i < count; ++i) std::memcpy(record + i * sizeof(T), &value, sizeof(T));
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

std::int64_t record_checksum(std::span<const std::byte> record) {
  return record.empty() ? no_checksum : std::int64_t{checksum_of(record)};
}

std::vector<Variable> header_variables(const StudyPlan& plan, const HeaderPlan& header_plan) {
  VariableList list(plan, header_plan);
  list.add<std::int8_t>(VariableKind::bookkeeping, status_variable, "",
                        "state of the point: missing, converged, not converged or failed",
                        {"speed"});
  list.add<double>(VariableKind::bookkeeping, seconds_variable, "s",
                   "time the computation of the point took", {"speed"});
  list.add<char>(VariableKind::bookkeeping, failure_variable, "", "why the point failed, UTF-8",
                 {"speed", text_dimension});
  constexpr auto figure = VariableKind::figure;
  models::for_each_point_figure(
      [&](const auto& row) { add_figure(list, figure, "", row, {"speed"}); });
  add_ledger(list);
  models::for_each_cylinder_figure([&](const Figure<CylinderFigures, double>& row) {
    add_figure(list, figure, "cylinder_", row, {"speed", "cylinder"});
  });
  models::for_each_merge_figure([&](const auto& row) {
    constexpr bool is_list = requires(const MergeFigures& merge) { (merge.*row.member).size(); };
    using Dimensions = std::vector<std::string>;
    add_figure(
        list, figure, "merge_", row,
        is_list ? Dimensions{"speed", "merge_name", "slot"} : Dimensions{"speed", "merge_name"});
  });
  models::for_each_pipe_figure([&](const auto& row) {
    add_figure(list, figure, "pipe_", row, {"speed", "pipe_name"});
  });
  add_traces(list, plan, header_plan);
  add_wave(list, plan, header_plan);
  list.drop_empty();
  list.add_checksums();
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
  point.probes.resize(header_plan.probes.size());
  for (std::size_t i = 0; i < point.probes.size(); ++i)
    point.probes[i].name = header_plan.probes[i];
  return point;
}

void finish_point(PointResult& point) {
  for (auto& merge : point.merges) {
    const auto count = static_cast<std::size_t>(
        std::find(merge.cylinders.begin(), merge.cylinders.end(), fill_value<int>()) -
        merge.cylinders.begin());
    models::for_each_merge_figure([&](const auto& figure) {
      if constexpr (requires { (merge.*figure.member).resize(count); }) {
        (merge.*figure.member).resize(count);
      }
    });
  }
  const auto without_values = [](const auto& values) { return values.empty(); };
  // Traces that were left out, by the plan or by the reader, leave no empty shells behind.
  if (!point.traces.empty() && without_values(point.traces.front().exhaust_pressure)) {
    point.traces.clear();
  }
  if (!point.tails.empty() && without_values(point.tails.front().mass_flow)) point.tails.clear();
  if (!point.probes.empty() && without_values(point.probes.front().pressure)) point.probes.clear();
}

}  // namespace pulsewright::tools
