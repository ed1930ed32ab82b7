// The arithmetic of OrificeBatch, on plain pointers, in packs of a given width.
//
// Apart from the rest so that it can be compiled once more for processors with wider vectors
// (orifice_kernels_avx512.cpp), see solver/pipe/pipe_kernels.hpp.
#pragma once

#include <array>
#include <cstddef>

#include "models/boundary/orifice.hpp"

namespace pulsewright::models {

// What is known of an opening, a column each.
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
  phi_in,
  phi_out,
  // found
  gamma,
  wall,
  guess,
  count
};
inline constexpr std::size_t orifice_columns = static_cast<std::size_t>(OrificeColumn::count);

struct OrificeTable {
  std::array<double*, orifice_columns> column;
  double* of(OrificeColumn c) const { return column[static_cast<std::size_t>(c)]; }
};

// Columns are padded to whole packs of the widest kind.
inline constexpr std::size_t widest_pack = 8;

struct OrificeKernelTable {
  // Finds gamma and the pressure at a wall for the first n orifices.
  void (*evaluate_characteristics)(const OrificeTable& table, std::size_t n,
                                   const solver::Gas& gas);
  // Flows of those n orifices whose numbers are given, from their guesses; all of them enter their
  // pipe, or leave it. fluxes: by number.
  void (*enter)(const OrificeTable& table, const std::size_t* numbers, std::size_t n,
                const solver::Gas& gas, EndFlux<double>* fluxes);
  void (*leave)(const OrificeTable& table, const std::size_t* numbers, std::size_t n,
                const solver::Gas& gas, EndFlux<double>* fluxes);
  // Those that enter at the static pressure of the reservoir.
  void (*enter_at_static_pressure)(const OrificeTable& table, const std::size_t* numbers,
                                   std::size_t n, const solver::Gas& gas, EndFlux<double>* fluxes);
};

template <class Width>
class OrificeKernels {
 public:
  static constexpr OrificeKernelTable table() {
    return {&evaluate_characteristics, &enter, &leave, &enter_at_static_pressure};
  }

  static void evaluate_characteristics(const OrificeTable& table, std::size_t n,
                                       const solver::Gas& gas) {
    for (std::size_t i = 0; i < n; i += width) {
      const auto at = [&](Column c) { return solver::load<Width>(table.of(c) + i); };
      const solver::Primitive<Width> end{at(Column::rho), at(Column::v), at(Column::p),
                                         at(Column::burnt)};
      const solver::EndWave<Width> wave(gas, end, 1.0);
      solver::store(table.of(Column::gamma) + i, wave.gamma);
      solver::store(table.of(Column::wall) + i, wave.wall_pressure());
    }
  }

  static void enter(const OrificeTable& table, const std::size_t* numbers, std::size_t n,
                    const solver::Gas& gas, EndFlux<double>* fluxes) {
    for_packs(table, numbers, n, fluxes,
              [&](const Wave& wave, const Reservoir<Width>& from, const auto& at) {
                return flow_entering(gas, wave, Supply<Width>(gas, from), Width(at(Column::wall)),
                                     Width(at(Column::phi_in)), Width(at(Column::guess)));
              });
  }

  static void leave(const OrificeTable& table, const std::size_t* numbers, std::size_t n,
                    const solver::Gas& gas, EndFlux<double>* fluxes) {
    for_packs(table, numbers, n, fluxes,
              [&](const Wave& wave, const Reservoir<Width>& into, const auto& at) {
                return flow_leaving(gas, wave, into, Width(at(Column::wall)),
                                    Width(at(Column::phi_out)), Width(at(Column::guess)));
              });
  }

  static void enter_at_static_pressure(const OrificeTable& table, const std::size_t* numbers,
                                       std::size_t n, const solver::Gas& gas,
                                       EndFlux<double>* fluxes) {
    for_packs(table, numbers, n, fluxes,
              [&](const Wave& wave, const Reservoir<Width>& from, const auto&) {
                return flow_entering_at_static_pressure(gas, wave, from);
              });
  }

 private:
  using Column = OrificeColumn;
  using Wave = solver::EndWave<Width>;
  static constexpr std::size_t width = solver::lanes<Width>;

  template <class Flow>
  static void for_packs(const OrificeTable& table, const std::size_t* numbers, std::size_t n,
                        EndFlux<double>* fluxes, const Flow& flow) {
    for (std::size_t first = 0; first < n; first += width) {
      const std::size_t filled = n - first < width ? n - first : width;
      std::size_t number[width];
      // A pack that is not full repeats its first opening.
      for (std::size_t k = 0; k < width; ++k) number[k] = numbers[first + (k < filled ? k : 0)];
      const auto at = [&](Column c) {
        const double* column = table.of(c);
        return Width([&](auto k) { return column[number[k]]; });
      };
      const Wave wave(at(Column::rho), at(Column::v), at(Column::p), at(Column::burnt),
                      at(Column::gamma));
      const Reservoir<Width> reservoir{at(Column::reservoir_p), at(Column::reservoir_h),
                                       at(Column::reservoir_burnt),
                                       at(Column::reservoir_impedance)};
      const EndFlux<Width> f = flow(wave, reservoir, at);
      for (std::size_t k = 0; k < filled; ++k) {
        fluxes[number[k]] = {f.mass[k], f.momentum[k], f.energy[k],       f.burnt[k],
                             f.p[k],    f.v[k],        f.sonic_limited[k]};
      }
    }
  }
};

// In packs of eight, for processors with AVX-512; null pointers where the program was built
// without.
extern const OrificeKernelTable avx512_orifices;

}  // namespace pulsewright::models
