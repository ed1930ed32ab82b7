// The list of the cell fields: what follows from it belongs to the member of that name.
#include "solver/pipe/cell_fields.hpp"

#include <doctest/doctest.h>
#include <limits>
#include <set>
#include <string>

#include "solver/gas/fault.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "solver/pipe/pipe_update.hpp"

using namespace pulsewright::solver;

namespace {

Pipe pipe_of(std::size_t cells) {
  return {"pipe", 0.1 * static_cast<double>(cells), cells, [](double) { return 0.04; }, {}};
}

}  // namespace

TEST_CASE("cell fields: numbers, storage and pointers go by the list") {
  Pipe pipe = pipe_of(5);
  const EnsembleFields<std::size_t>& in_ensemble = field_number<EnsembleFields>;
  const PipeFields<std::size_t>& in_pipe = field_number<PipeFields>;
  CHECK(in_ensemble.rho == 0);
  CHECK(in_ensemble.face_area == field_count<EnsembleFields> - 1);
  CHECK(in_pipe.volume == 0);
  CHECK(in_pipe.next_wall_heat == field_count<PipeFields> - 1);
  CHECK(&field<EnsembleFields>(pipe, in_ensemble.rho) == &pipe.rho);
  CHECK(&field<EnsembleFields>(pipe, in_ensemble.heat_transfer) == &pipe.heat_transfer);
  CHECK(&field<EnsembleFields>(pipe, in_ensemble.face_area) == &pipe.face_area);
  CHECK(&field<PipeFields>(pipe, in_pipe.h_heat) == &pipe.h_heat);
  CHECK(&field<PipeFields>(pipe, in_pipe.next_wall_heat) == &pipe.next_wall_heat);

  const Pipe::Pointers at = pipe.pointers();
  CHECK(at.rho == pipe.rho.data());
  CHECK(at.T_wall == pipe.T_wall.data());
  CHECK(at.face_area == pipe.face_area.data());
  CHECK(at.volume == pipe.volume.data());
  CHECK(at.f_energy == pipe.f_energy.data());
  CHECK(at.next_burnt == pipe.next_burnt.data());
  CHECK(at.dx == pipe.dx());

  // Each field has memory of its own, for every cell.
  std::set<const double*> starts;
  for (std::size_t k = 0; k < field_count<EnsembleFields>; ++k) {
    CHECK(field<EnsembleFields>(pipe, k).size() == 5);
    starts.insert(field<EnsembleFields>(pipe, k).data());
  }
  for (std::size_t k = 0; k < field_count<PipeFields>; ++k) {
    CHECK(field<PipeFields>(pipe, k).size() == 5);
    starts.insert(field<PipeFields>(pipe, k).data());
  }
  CHECK(starts.size() == field_count<EnsembleFields> + field_count<PipeFields>);
}

TEST_CASE("a flux at an end that is NaN is a fault that names the pipe and its end") {
  // What a boundary condition without a solution gives, see root_safeguarded_newton().
  const Gas gas = air_and_products(1.87);
  using Update = PipeUpdate<FluxHllc, LimiterMonotonizedCentral>;
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const Flux<double> wall{0, 1e5, 0, 0};
  const Flux<double> nothing_known{nan, nan, nan, nan};
  const Flux<double> prescribed_mass{1, nan, 4e5, 0.5};
  for (const int k : {0, 1, 2, 3}) {
    CAPTURE(k);
    const bool left = k % 2 == 0;
    const Flux<double>& none = k < 2 ? nothing_known : prescribed_mass;
    Pipe pipe = pipe_of(12);
    pipe.fill(gas, [&](double) {
      return Primitive<double>{1e5 / (gas.gas_constant(0.5) * 400), 0, 1e5, 0.5};
    });
    Update::predict(pipe, gas, 1e-6);
    pipe.set_flux_left(left ? none : wall);
    pipe.set_flux_right(left ? wall : none);
    try {
      Update::advance(pipe, gas, 1e-6);
      FAIL("it was computed");
    } catch (const Fault& fault) {
      CHECK(fault.part() == "pipe");
      CHECK(fault.place() == (left ? 0.0 : pipe.length()));
      const std::string text = fault.what();
      CHECK(text.find(left ? "boundary condition at the left end"
                           : "boundary condition at the right end") != std::string::npos);
    }
  }
}
