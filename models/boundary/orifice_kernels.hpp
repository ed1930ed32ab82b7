// The arithmetic of OrificeBatch, on plain pointers, in packs of orifices. Compiled once per
// instruction set (models/kernels_avx2.cpp, models/kernels_avx512.cpp); what must hold for that
// stands in solver/pipe/pipe_kernels.hpp.
#pragma once

#include <array>
#include <cstddef>

#include "models/boundary/orifice.hpp"
#include "solver/simd/dispatch.hpp"

namespace pulsewright::models {

// The quantities of an orifice, a column of the table each.
enum class OrificeColumn : std::size_t {
  // given
  rho,
  v,
  p,
  burnt,
  reservoir_p,
  reservoir_h,
  reservoir_burnt,
  reservoir_impedance,
  phi_into_pipe,
  phi_out_of_pipe,
  // computed
  gamma,
  wall,
  guess,
  count
};
inline constexpr std::size_t orifice_columns = static_cast<std::size_t>(OrificeColumn::count);

// Columns are padded to whole packs of the widest type, solver::widest_lanes.
struct OrificeTable {
  std::array<double*, orifice_columns> column;
  double* of(OrificeColumn c) const { return column[static_cast<std::size_t>(c)]; }
};

struct OrificeKernelTable {
  // Computes gamma and the pressure at a wall for the first n orifices.
  void (*evaluate_characteristics)(const OrificeTable& table, std::size_t n,
                                   const solver::Gas& gas);
  // Flows of those n orifices whose numbers are given, from their guesses; all of them enter their
  // pipe, or leave it. fluxes: by number.
  void (*into_pipe)(const OrificeTable& table, const std::size_t* numbers, std::size_t n,
                    const solver::Gas& gas, EndFlux<double>* fluxes);
  void (*out_of_pipe)(const OrificeTable& table, const std::size_t* numbers, std::size_t n,
                      const solver::Gas& gas, EndFlux<double>* fluxes);
  // Those that enter at the static pressure of the reservoir.
  void (*into_pipe_at_static_pressure)(const OrificeTable& table, const std::size_t* numbers,
                                       std::size_t n, const solver::Gas& gas,
                                       EndFlux<double>* fluxes);
};

// Null pointers where the program was built without the instruction set.
extern const OrificeKernelTable orifice_kernels_portable, orifice_kernels_avx2,
    orifice_kernels_avx512;
inline constexpr solver::KernelSets<OrificeKernelTable> orifice_kernels{
    orifice_kernels_portable, orifice_kernels_avx2, orifice_kernels_avx512};

template <class Real>
class OrificeKernels {
 public:
  static constexpr OrificeKernelTable table() {
    return {&evaluate_characteristics, &into_pipe, &out_of_pipe, &into_pipe_at_static_pressure};
  }

  static void evaluate_characteristics(const OrificeTable& table, std::size_t n,
                                       const solver::Gas& gas) {
    for (std::size_t i = 0; i < n; i += width) {
      const auto at = [&](Column c) { return solver::load<Real>(table.of(c) + i); };
      const solver::Primitive<Real> end{at(Column::rho), at(Column::v), at(Column::p),
                                        at(Column::burnt)};
      const solver::EndWave<Real> wave(gas, end, 1.0);
      solver::store(table.of(Column::gamma) + i, wave.gamma);
      solver::store(table.of(Column::wall) + i, wave.wall_pressure());
    }
  }

  static void into_pipe(const OrificeTable& table, const std::size_t* numbers, std::size_t n,
                        const solver::Gas& gas, EndFlux<double>* fluxes) {
    for_packs(table, numbers, n, fluxes,
              [&](const Wave& wave, const Reservoir<Real>& from, const auto& at) {
                return flow_entering(gas, wave, Supply<Real>(gas, from), Real(at(Column::wall)),
                                     Real(at(Column::phi_into_pipe)), Real(at(Column::guess)));
              });
  }

  static void out_of_pipe(const OrificeTable& table, const std::size_t* numbers, std::size_t n,
                          const solver::Gas& gas, EndFlux<double>* fluxes) {
    for_packs(table, numbers, n, fluxes,
              [&](const Wave& wave, const Reservoir<Real>& into, const auto& at) {
                return flow_leaving(gas, wave, into, Real(at(Column::wall)),
                                    Real(at(Column::phi_out_of_pipe)), Real(at(Column::guess)));
              });
  }

  static void into_pipe_at_static_pressure(const OrificeTable& table, const std::size_t* numbers,
                                           std::size_t n, const solver::Gas& gas,
                                           EndFlux<double>* fluxes) {
    for_packs(table, numbers, n, fluxes,
              [&](const Wave& wave, const Reservoir<Real>& from, const auto&) {
                return flow_entering_at_static_pressure(gas, wave, from);
              });
  }

 private:
  using Column = OrificeColumn;
  using Wave = solver::EndWave<Real>;
  static constexpr std::size_t width = solver::lanes<Real>;

  template <class Flow>
  static void for_packs(const OrificeTable& table, const std::size_t* numbers, std::size_t n,
                        EndFlux<double>* fluxes, const Flow& flow) {
    for (std::size_t first = 0; first < n; first += width) {
      const std::size_t filled = n - first < width ? n - first : width;
      std::size_t number[width];
      // A pack that is not full repeats its first orifice.
      for (std::size_t k = 0; k < width; ++k) number[k] = numbers[first + (k < filled ? k : 0)];
      const auto at = [&](Column c) { return solver::gather<Real>(table.of(c), number); };
      const Wave wave(at(Column::rho), at(Column::v), at(Column::p), at(Column::burnt),
                      at(Column::gamma));
      const Reservoir<Real> reservoir{at(Column::reservoir_p), at(Column::reservoir_h),
                                      at(Column::reservoir_burnt), at(Column::reservoir_impedance)};
      const EndFlux<Real> f = flow(wave, reservoir, at);
      for (std::size_t k = 0; k < filled; ++k) {
        fluxes[number[k]] = {f.mass[k], f.momentum[k], f.energy[k],       f.burnt[k],
                             f.p[k],    f.v[k],        f.sonic_limited[k]};
      }
    }
  }
};

}  // namespace pulsewright::models
