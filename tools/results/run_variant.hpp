// Which of its runs a header was simulated in: on the production grid, or in a variant that
// shows the uncertainty of that run.
//
//   variant            what it shows
//   coarse_grid        cells three times as long: error of the grid
//   merge_coupling     coarse grid, the constants of the merges at one end of their bands
//   longer_primaries   coarse grid, every primary longer by the build tolerance: cost of the build
//   cooler_gas         coarse grid, less heat of combustion: cooler exhaust gas, slower waves
//   absorbed_pulse     coarse grid, the pulse of one cylinder absorbed at its merge, which
//                      shows whom it acts on (models/figures/absorbed_pulse.hpp)
//
// How a variant is spelled in a results file: plan_attributes.hpp.
#pragma once

#include "models/network/specification.hpp"

namespace pulsewright::tools {

enum class VariantKind {
  production_grid,
  coarse_grid,
  longer_primaries,
  absorbed_pulse,
  cooler_gas,
  merge_coupling
};

struct RunVariant {
  VariantKind kind = VariantKind::production_grid;
  int cylinder = 0;  // of absorbed_pulse: builder's number; the others: 0
  models::MergeCoupling coupling = models::MergeCoupling::fitted;  // of merge_coupling

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

}  // namespace pulsewright::tools
