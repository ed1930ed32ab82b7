// The variables of a results file: the list from which the file is laid out, written and read, and
// from which the tables of FORMAT.md are made.
//
// A variable holds one record per point: its first dimension is `speed` (`diagram_speed` for wave
// diagrams), the others are the record's. All but the bookkeeping and the flags come from the rows
// of models/figures/figure_table.inc.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "models/figures/point_result.hpp"
#include "tools/results/study_plan.hpp"

namespace pulsewright::tools {

// As stored: IEEE floating point and two's complement integers, little-endian; text is one
// character per element.
enum class ElementType { float64, float32, int64, int32, int8, text };

std::size_t element_size(ElementType type);

// Traces and wave diagrams fill most of a file; a reader may leave them out.
enum class VariableKind { bookkeeping, figure, trace, diagram };

struct Variable {
  std::string name;
  std::string units;  // UDUNITS spelling; empty where a unit makes no sense
  std::string long_name;
  ElementType type = ElementType::float64;
  VariableKind kind = VariableKind::figure;
  std::vector<std::string> dimensions;  // the first is the record's own
  std::vector<std::size_t> shape;       // same length
  // One record between a point and its bytes, element_size(type) times record_elements() long.
  // Not set for bookkeeping, which is no part of PointResult.
  std::function<void(const models::PointResult&, std::byte*)> encode;
  std::function<void(const std::byte*, models::PointResult&)> decode;

  std::size_t record_elements() const;
  std::size_t record_bytes() const { return record_elements() * element_size(type); }
  // NaN, -1 (whole numbers) or 0 (status, flags and text): what stands where nothing is known.
  void fill_record(std::byte* record) const;
};

// Name of the bookkeeping variables, and the room for a failure's text.
inline constexpr const char* status_variable = "status";
inline constexpr const char* seconds_variable = "wall_seconds";
inline constexpr const char* failure_variable = "failure_text";
inline constexpr const char* text_dimension = "text_byte";
inline constexpr std::size_t failure_text_bytes = 512;

// CRC-32 of each variable's record at a speed, by the coordinate checked_variable, which lists the
// others in the order of header_variables(): `status` first. It is -1 where there is none yet.
inline constexpr const char* checksum_variable = "checksum";
inline constexpr const char* checked_dimension = "checked_variable";

inline constexpr std::int64_t no_checksum = -1;
// Of the bytes of a record; no_checksum for a variable that has no record at a speed.
std::int64_t record_checksum(std::span<const std::byte> record);

// All variables of one header, bookkeeping first and the checksums last, in the order in which they
// are to be decoded. Variables that would be empty (no tails, no traces, ...) are left out.
std::vector<Variable> header_variables(const StudyPlan& plan, const HeaderPlan& header_plan);

// The record in which a variable keeps the point of a speed; none for a wave diagram at a speed
// without one.
std::optional<std::size_t> record_of_speed(const StudyPlan& plan, const Variable& variable,
                                           std::size_t speed);

// A point with every list sized and named as the plan says, ready to be decoded into.
models::PointResult empty_point(const HeaderPlan& header_plan);

// Takes the padding off after the last variable is decoded.
void finish_point(models::PointResult& point);

}  // namespace pulsewright::tools
