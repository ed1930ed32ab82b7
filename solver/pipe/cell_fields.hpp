// The list of all fields that are stored per cell of a pipe.
//
// The list is the members of two groups, each a template on the representation of a field:
//   CellArray    the storage of a pipe (Pipe),
//   double*      the plain pointers that the kernels run on (Pipe::Pointers),
//   std::size_t  the number of the field within its group (field_number), which places it in the
//                blocks of an ensemble (ensemble_kernels.hpp).
// All of these, and all that loops over the fields - allocation, moving a pipe into an ensemble -
// follow from the list: a new field is one line here and the code that computes it.
//
// A field has one number per cell, 0 .. n-1, and two ghost values, -1 and n, see CellArray.
#pragma once

#include <array>
#include <cstddef>
#include <memory>
#include <new>
#include <type_traits>

namespace pulsewright::solver {

// Fields that an ensemble stores too while it steps the pipe: the state at the start of a step and
// all inputs of a step.
template <class Field>
struct EnsembleFields {
  // The primitive state; the ghost values of rho, u, p, Y hold what a limiter sees beyond the ends
  // while the pipe is stepped alone.
  Field rho;  // kg/m3
  Field u;    // m/s
  Field p;    // Pa
  Field Y;    // mass fraction of burnt gas
  Field T;    // K
  // Of the same state.
  Field inverse_rho;   // m3/kg
  Field gamma_less_1;  // R / cv
  // The conserved state, with rho.
  Field momentum;        // kg/(m2 s)
  Field energy_density;  // J/m3, total
  Field burnt_density;   // kg/m3
  // Accumulated wall heat.
  Field wall_heat;  // J/m3 given to the gas since the last reset
  // Of the walls, see wall_sources.hpp.
  Field laminar;        // kg/(m3 s)
  Field turbulent;      // 1/m
  Field heat_transfer;  // W/(m3 K), volumetric heat-transfer coefficient
  Field T_wall;         // K
  // Geometry.
  Field inverse_volume;  // 1/m3
  Field face_area;       // m2, of the left face of the cell; the last face is the ghost value n
};

// Fields that only the pipe stores.
template <class Field>
struct PipeFields {
  Field volume;              // m3
  Field area_rise;           // m2, right face minus left face
  Field hydraulic_diameter;  // m
  Field heat_transfer_dt;    // J/(m3 K), sum of heat_transfer dt since the last reset, up to
                             // Pipe::heat_transfer_time
  // Work arrays of one step of the pipe alone. States at the left and the right face of the cell,
  // as seen from within, half a step later; units as above.
  Field l_rho, l_u, l_p, l_Y;
  Field r_rho, r_u, r_p, r_Y;
  // At the centre of the cell, half a step later.
  Field h_p;      // Pa
  Field h_force;  // N/m3
  Field h_heat;   // W/m3
  // Fluxes through the right face of the cell, see Flux; the first face is the ghost value -1.
  Field f_mass, f_momentum, f_energy, f_burnt;
  // The conserved state after the step.
  Field next_rho, next_momentum, next_energy, next_burnt, next_wall_heat;
};

// Number of fields of a group.
template <template <class> class Group>
inline constexpr std::size_t field_count = sizeof(Group<char>);

// The number of each field in its group, 0 .. field_count - 1: field_number<EnsembleFields>.rho.
template <template <class> class Group>
inline constexpr auto field_number = [] {
  std::array<std::size_t, field_count<Group>> numbers{};
  for (std::size_t k = 0; k < numbers.size(); ++k) numbers[k] = k;
  // std::bit_cast, which the library of clang 14 has not got.
  return __builtin_bit_cast(Group<std::size_t>, numbers);
}();

// Field number k of a group. The members of a group are of one type and stand one after the other,
// which is what is asserted; the object that stands k places behind the first is the k-th member.
template <template <class> class Group, class Field>
Field& field(Group<Field>& group, std::size_t k) {
  static_assert(sizeof(Group<Field>) == field_count<Group> * sizeof(Field));
  static_assert(std::is_standard_layout_v<Group<Field>>);
  auto* const first = reinterpret_cast<std::byte*>(std::addressof(group));
  return *std::launder(reinterpret_cast<Field*>(first + k * sizeof(Field)));
}

}  // namespace pulsewright::solver
