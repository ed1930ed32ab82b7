// Which of its runs a header was simulated in: on the production grid, or in a variant that
// shows the uncertainty of that run.
//
//   variant            what it shows
//   coarse_grid        cells three times as long: error of the grid
//   merge_coupling     coarse grid, the constants of the merges at one end of their bands
//   longer_primaries   coarse grid, every primary longer by the build tolerance: cost of the build
//   cooler_gas         coarse grid, less heat of combustion: cooler exhaust gas, slower waves
//   mixed_header       coarse grid, some parts (cases/mixed_header.hpp) of another header of the
//                      study: how much of the difference between the two each part makes
//   absorbed_pulse     coarse grid, the pulse of one cylinder absorbed at its merge, which
//                      shows whom it acts on (models/figures/absorbed_pulse.hpp)
//
// How a variant is spelled in a results file: plan_attributes.hpp.
#pragma once

#include "cases/mixed_header.hpp"
#include "models/network/specification.hpp"

namespace pulsewright::tools {

enum class VariantKind {
  production_grid,
  coarse_grid,
  longer_primaries,
  absorbed_pulse,
  cooler_gas,
  merge_coupling,
  mixed_header
};

struct RunVariant {
  VariantKind kind = VariantKind::production_grid;
  int cylinder = 0;  // of absorbed_pulse: builder's number; the others: 0
  models::MergeCoupling coupling = models::MergeCoupling::fitted;  // of merge_coupling
  cases::HeaderParts parts = 0;  // of mixed_header: those from the other header
  int source = 0;                // of mixed_header: its number, from 1, among the study's headers

  bool operator==(const RunVariant&) const = default;
};

inline constexpr RunVariant production_grid{};
inline constexpr RunVariant coarse_grid{VariantKind::coarse_grid};
inline constexpr RunVariant longer_primaries{VariantKind::longer_primaries};
inline constexpr RunVariant cooler_gas{VariantKind::cooler_gas};
// coupling: weak or strong.
constexpr RunVariant with_coupling(models::MergeCoupling coupling) {
  return {VariantKind::merge_coupling, 0, coupling};
}
constexpr RunVariant without_pulse_of(int cylinder) {
  return {VariantKind::absorbed_pulse, cylinder};
}
// parts: at least one, without the kind. source: number of the other header, from 1.
constexpr RunVariant with_parts(cases::HeaderParts parts, int source) {
  return {VariantKind::mixed_header, 0, models::MergeCoupling::fitted, parts, source};
}

}  // namespace pulsewright::tools
