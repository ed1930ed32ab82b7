// The three-dimensional reference: its grid, its flux, and gas at rest.
#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <numbers>
#include <stdexcept>
#include <vector>

#include "tests/near.hpp"
#include "validation/merge_reference/euler_3d.hpp"
#include "validation/merge_reference/hllc_3.hpp"

namespace {

using namespace pulsewright::validation;
using pulsewright::tests::near;

constexpr double gamma = 1.35;
constexpr double p_rest = 1e5;  // Pa

// Two tubes into one, short.
std::vector<RoundTube> short_merge() {
  const double a = 12 * std::numbers::pi / 180;
  return {{{-std::sin(a), 0, std::cos(a)}, 0.021, 0.021, -0.2, 0},
          {{std::sin(a), 0, std::cos(a)}, 0.021, 0.021, -0.2, 0},
          {{0, 0, 1}, 0.028, 0.028, -0.0307, 0.1}};
}

State3 gas_of(double p) { return {p / (287 * 800.0), 0, 0, 0, p}; }

TEST_CASE("Merge reference: the grid has the volume of an inclined tube and of a cone") {
  const double a = 10 * std::numbers::pi / 180;
  const std::vector<RoundTube> tube{{{-std::sin(a), 0, std::cos(a)}, 0.021, 0.021, -0.1, 0.1}};
  const std::vector<RoundTube> cone{{{0, 0, 1}, 0.04, 0.02, -0.1, 0.1}};
  const double tube_volume = std::numbers::pi * 0.021 * 0.021 * 0.2;
  const double cone_volume = std::numbers::pi * 0.2 * (0.04 * 0.04 + 0.04 * 0.02 + 0.02 * 0.02) / 3;
  // Points of a sixth of a cube: an error of the order of (h/6)^2 / (2 R^2) of the section.
  CHECK(near(make_cut_cell_grid(tube, 4e-3, 2).total_volume(), tube_volume, 2e-3));
  CHECK(near(make_cut_cell_grid(cone, 4e-3, 2).total_volume(), cone_volume, 2e-3));
}

TEST_CASE("Merge reference: cells have half a cube at least, and faces and walls close them") {
  const CutCellGrid grid = make_cut_cell_grid(short_merge(), 5e-3, 2);
  std::vector<Vector3> sum(grid.cells());
  for (const CutFace& face : grid.faces) {
    const auto axis = static_cast<std::size_t>(face.axis);
    sum[static_cast<std::size_t>(face.upper)][axis] -= face.area;
    if (face.lower != CutFace::mirror) sum[static_cast<std::size_t>(face.lower)][axis] += face.area;
  }
  for (const CellWall& wall : grid.walls) {
    for (std::size_t a = 0; a < 3; ++a) sum[static_cast<std::size_t>(wall.cell)][a] += wall.area[a];
  }
  double greatest = 0;
  double least = 1;
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    greatest = std::max(greatest, std::sqrt(dot(sum[c], sum[c])));
    least = std::min(least, grid.volume[c]);
  }
  CHECK(greatest < 1e-6 * grid.h * grid.h);
  CHECK(least >= 0.4999 * grid.h * grid.h * grid.h);
}

TEST_CASE("Merge reference: gas at rest at another pressure than p_rest stays at rest") {
  const CutCellGrid grid = make_cut_cell_grid(short_merge(), 5e-3, 2);
  Euler3 euler(grid, gamma, p_rest, 2, Reconstruction::van_leer,
               [](const Vector3&) { return gas_of(1.7e5); });
  for (int i = 0; i < 20; ++i) euler.step(1);
  double fastest = 0;
  for (const State3& q : euler.states()) {
    fastest = std::max({fastest, std::abs(q[1]), std::abs(q[2]), std::abs(q[3])});
  }
  CHECK(fastest < 1e-3);  // m/s: areas are kept as float
}

TEST_CASE("Merge reference: the flux of equal states is that of the state, mirrored it turns") {
  const State3 q{0.5, 120, -40, 15, 1.3e5};
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const auto at_face = across_face(q, axis);
    const Conserved3 f = in_space(flux_hllc(at_face, at_face, gamma, p_rest), axis);
    const double u = q[1 + axis];
    const double E = q[4] / (gamma - 1) + 0.5 * q[0] * (120 * 120 + 40 * 40 + 15 * 15);
    CHECK(near(f[0], q[0] * u, 1e-12));
    CHECK(near(f[4], u * (E + q[4]), 1e-12));
    for (std::size_t a = 0; a < 3; ++a) {
      const double pressure = a == axis ? q[4] - p_rest : 0;
      CHECK(near(f[1 + a], q[0] * u * q[1 + a] + pressure, 1e-12));
    }
  }
  const AtFace<double> l{0.6, 50, 10, 0, 1.6e5};
  const AtFace<double> r{0.4, -30, 0, 5, 1.0e5};
  const auto mirrored = [](AtFace<double> s) {
    s[1] = -s[1];
    return s;
  };
  const AtFace<double> f = flux_hllc(l, r, gamma, p_rest);
  const AtFace<double> g = flux_hllc(mirrored(r), mirrored(l), gamma, p_rest);
  CHECK(f[0] == -g[0]);
  CHECK(f[1] == g[1]);
  CHECK(f[2] == -g[2]);
  CHECK(f[4] == -g[4]);
}

TEST_CASE("Merge reference: mass and energy stay, whatever the number of threads") {
  const CutCellGrid grid = make_cut_cell_grid(short_merge(), 5e-3, 3);
  const auto initial = [](const Vector3& x) {
    return gas_of(x[2] < -0.1 && x[0] > 0 ? 1.8e5 : 1e5);
  };
  Euler3 one(grid, gamma, p_rest, 1, Reconstruction::van_leer, initial);
  Euler3 three(grid, gamma, p_rest, 3, Reconstruction::van_leer, initial);
  const double mass = one.total_mass();
  const double energy = one.total_energy();
  for (int i = 0; i < 60; ++i) CHECK(one.step(1) == three.step(1));
  CHECK(near(one.total_mass(), mass, 1e-12));
  CHECK(near(one.total_energy(), energy, 1e-12));
  CHECK(one.states() == three.states());
  double fastest = 0;
  for (const State3& q : one.states()) fastest = std::max(fastest, std::abs(q[3]));
  CHECK(fastest > 50);  // m/s: there was a flow
}

TEST_CASE("Merge reference: a merge that mirrors itself in x flows so") {
  const CutCellGrid grid = make_cut_cell_grid(short_merge(), 5e-3, 2);
  Euler3 euler(grid, gamma, p_rest, 2, Reconstruction::van_leer,
               [](const Vector3& x) { return gas_of(x[2] < -0.1 ? 1.8e5 : 1e5); });
  for (int i = 0; i < 60; ++i) euler.step(1);
  Vector3 momentum{};
  double along = 0;
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const State3& q = euler.states()[c];
    momentum[0] += grid.volume[c] * q[0] * q[1];
    along += grid.volume[c] * q[0] * q[3];
  }
  // Cut cells of one volume may be merged in another order on the other side.
  CHECK(std::abs(momentum[0]) < 0.01 * along);
}

TEST_CASE("Merge reference: what can not be meshed is refused") {
  CHECK_THROWS_AS(make_cut_cell_grid(short_merge(), 0, 1), std::invalid_argument);
  CHECK_THROWS_AS(make_cut_cell_grid({}, 1e-3, 1), std::invalid_argument);
}

}  // namespace
