// Look-ups in the specification: cells of a pipe and diameters of a profile.
#include "models/network/specification.hpp"

#include <doctest/doctest.h>

#include "models/network/network.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

TEST_CASE("cell centres are those of the pipe that is built") {
  const EngineSpecification e = cross_plane_v8({{1, 3, 5, 7}, {8, 4, 6, 2}}, 0.8, 0.013);
  const Network network(e, solver::air_and_products(1.87), LimiterChoice::van_leer);
  for (std::size_t i = 0; i < e.pipes.size(); ++i) {
    const solver::Pipe& pipe = network.pipes()[i];
    const std::vector<double> centres = cell_centres(e.pipes[i]);
    REQUIRE(centres.size() == pipe.cells());
    for (std::size_t k = 0; k < centres.size(); ++k) CHECK(centres[k] == pipe.centre(k));
  }
}

TEST_CASE("diameters of a profile are linear between its points and end with them") {
  const std::vector<ProfilePoint> profile{{0.1, 0.04}, {0.3, 0.06}, {0.5, 0.05}};
  CHECK(diameter_at(profile, 0.0) == 0.04);
  CHECK(diameter_at(profile, 0.1) == 0.04);
  CHECK(diameter_at(profile, 0.3) == 0.06);
  CHECK(diameter_at(profile, 0.9) == 0.05);
  CHECK(std::abs(diameter_at(profile, 0.2) - 0.05) < 1e-15);
  CHECK(std::abs(diameter_at(profile, 0.4) - 0.055) < 1e-15);
  CHECK(diameter_at({{0, 0.03}}, 5.0) == 0.03);
}

}  // namespace pulsewright::tests
