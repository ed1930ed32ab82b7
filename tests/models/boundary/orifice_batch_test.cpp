// Many orifices at once against one at a time.
#include "models/boundary/orifice_batch.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <limits>
#include <random>
#include <vector>

#include "solver/gas/thermodynamics.hpp"
#include "tests/near.hpp"

namespace pulsewright::tests {

using namespace models;
using solver::EndWave;
using solver::Primitive;

namespace {

struct OrificeSample {
  Primitive<double> end;
  double inward;
  Reservoir<double> reservoir;
  double phi_into_pipe, phi_out_of_pipe;
};

// Orifices as in an engine and beyond, all kinds mixed.
std::vector<OrificeSample> orifices(const solver::Gas& gas, std::size_t n, unsigned seed) {
  std::mt19937 random(seed);
  const auto between = [&](double low, double high) {
    return low + (high - low) * static_cast<double>(random()) / 4294967296.0;
  };
  std::vector<OrificeSample> all;
  for (std::size_t i = 0; i < n; ++i) {
    const double Y = between(0, 1);
    const double p = between(0.4e5, 3e5);
    const double T = between(280, 1400);
    const double u = between(-300, 300);
    const double Y_from = between(0, 1);
    Reservoir<double> from{between(0.5e5, 6e5), gas.enthalpy(between(280, 1800), Y_from), Y_from};
    if (i % 3 == 0) from.impedance = between(0, 200);
    const double phi = i % 5 == 0 ? 1.0 : i % 7 == 0 ? 0.0 : between(1e-3, 0.9);
    all.push_back({{p / (gas.gas_constant(Y) * T), u, p, Y}, i % 2 ? 1.0 : -1.0, from, phi, phi});
  }
  return all;
}

void add_all(OrificeBatch& batch, const std::vector<OrificeSample>& all) {
  batch.clear();
  std::size_t number = 0;
  for (const auto& o : all) {
    batch.add(number++, o.end, o.inward, o.reservoir, o.phi_into_pipe, o.phi_out_of_pipe);
  }
}

bool same(const EndFlux<double>& a, const EndFlux<double>& b) {
  return a.mass == b.mass && a.momentum == b.momentum && a.energy == b.energy &&
         a.burnt == b.burnt && a.p == b.p && a.v == b.v && a.sonic_limited == b.sonic_limited;
}

}  // namespace

TEST_CASE("a batch of orifices gives the fluxes of one at a time") {
  const auto gas = solver::air_and_products(1.87);
  const auto all = orifices(gas, 203, 1);
  OrificeBatch batch;
  add_all(batch, all);
  CHECK(batch.size() == all.size());
  batch.solve(gas);
  int entering = 0, leaving = 0, shut = 0, limited = 0;
  for (std::size_t i = 0; i < all.size(); ++i) {
    const auto& o = all[i];
    const auto one = flow_through_orifice(gas, EndWave<double>(gas, o.end, o.inward), o.reservoir,
                                          o.phi_into_pipe, o.phi_out_of_pipe);
    const auto& f = batch.flux(i);
    // Both find the root to 1e-12 of a scale; the power function of packs is another one.
    CHECK(near(f.mass, one.mass, 1e-9, 1e-9));
    CHECK(near(f.momentum, one.momentum, 1e-9));
    CHECK(near(f.energy, one.energy, 1e-9, 1e-3));
    CHECK(near(f.burnt, one.burnt, 1e-9, 1e-9));
    CHECK(near(f.p, one.p, 1e-9));
    CHECK(near(f.v, one.v, 1e-9, 1e-9));
    CHECK(f.sonic_limited == one.sonic_limited);
    (f.mass > 0 ? entering : f.mass < 0 ? leaving : shut)++;
    if (f.sonic_limited > 0) ++limited;
  }
  CHECK(entering > 20);
  CHECK(leaving > 20);
  CHECK(shut > 10);
  CHECK(limited > 2);
}

TEST_CASE("a batch of orifices: ends at a static pressure among others") {
  const auto gas = solver::air_and_products(1.87);
  const auto all = orifices(gas, 83, 7);
  OrificeBatch batch;
  batch.clear();
  for (std::size_t i = 0; i < all.size(); ++i) {
    const auto& o = all[i];
    if (i % 2) {
      batch.add_at_static_pressure(i, o.end, o.inward, o.reservoir);
    } else {
      batch.add(i, o.end, o.inward, o.reservoir, o.phi_into_pipe, o.phi_out_of_pipe);
    }
  }
  batch.solve(gas);
  int entering = 0, leaving = 0, limited = 0;
  for (std::size_t i = 1; i < all.size(); i += 2) {
    const auto& o = all[i];
    const auto one =
        flow_at_static_pressure(gas, EndWave<double>(gas, o.end, o.inward), o.reservoir);
    const auto& f = batch.flux(i);
    CHECK(near(f.mass, one.mass, 1e-9, 1e-9));
    CHECK(near(f.energy, one.energy, 1e-9, 1e-3));
    CHECK(near(f.p, one.p, 1e-9));
    CHECK(near(f.v, one.v, 1e-9, 1e-9));
    CHECK(f.sonic_limited == one.sonic_limited);
    (f.mass > 0 ? entering : leaving)++;
    if (f.sonic_limited > 0) ++limited;
  }
  CHECK(entering > 10);
  CHECK(leaving > 5);
  CHECK(limited > 1);
}

TEST_CASE("a batch of orifices: a flux does not depend on the others of its pack") {
  const auto gas = solver::air_and_products(1.87);
  const auto all = orifices(gas, 61, 2);
  OrificeBatch together;
  add_all(together, all);
  together.solve(gas);
  for (std::size_t i = 0; i < all.size(); ++i) {
    OrificeBatch alone;
    add_all(alone, {all[i]});
    alone.solve(gas);
    CHECK(same(alone.flux(0), together.flux(i)));
  }
}

TEST_CASE("a batch of orifices: the history changes the initial guess, not the result") {
  const auto gas = solver::air_and_products(1.87);
  const auto all = orifices(gas, 40, 3);
  OrificeBatch fresh;
  add_all(fresh, all);
  fresh.solve(gas);
  OrificeBatch used;
  for (const double share : {0.9, 1.05, 1.0}) {  // other pressures in the steps before
    auto before = all;
    for (auto& o : before) o.reservoir.p *= share;
    add_all(used, before);
    used.solve(gas);
  }
  for (std::size_t i = 0; i < all.size(); ++i) {
    CHECK(near(used.flux(i).mass, fresh.flux(i).mass, 1e-9, 1e-9));
    CHECK(near(used.flux(i).p, fresh.flux(i).p, 1e-10));
  }
  // Fewer, then more than ever.
  add_all(used, {all[5]});
  used.solve(gas);
  CHECK(near(used.flux(0).mass, fresh.flux(5).mass, 1e-9, 1e-9));
  const auto more = orifices(gas, 97, 4);
  add_all(used, more);
  used.solve(gas);
  OrificeBatch other;
  add_all(other, more);
  other.solve(gas);
  for (std::size_t i = 0; i < more.size(); ++i) {
    CHECK(near(used.flux(i).mass, other.flux(i).mass, 1e-9, 1e-9));
  }
}

TEST_CASE(
    "a batch of orifices: the history goes with the number, not with the place in the batch") {
  const auto gas = solver::air_and_products(1.87);
  const auto all = orifices(gas, 30, 5);
  const auto moved = [&](double share) {
    auto set = all;
    for (auto& o : set) o.reservoir.p *= share;
    return set;
  };
  const auto add = [](OrificeBatch& batch, std::size_t number, const OrificeSample& o) {
    batch.add(number, o.end, o.inward, o.reservoir, o.phi_into_pipe, o.phi_out_of_pipe);
  };
  OrificeBatch together, other_way;
  for (const double share : {0.97, 0.99, 1.0}) {
    const auto set = moved(share);
    add_all(together, set);
    together.solve(gas);
    other_way.clear();
    for (std::size_t i = set.size(); i-- > 0;) {
      add(other_way, 3 * i + 7, set[i]);                       // what is compared
      if (i % 4 == 0) add(other_way, 3 * i + 8, moved(2)[i]);  // others
    }
    other_way.solve(gas);
  }
  for (std::size_t i = 0; i < all.size(); ++i) {
    CHECK(same(together.flux(i), other_way.flux(3 * i + 7)));
  }
  // And what is forgotten starts afresh.
  together.forget(0, all.size());
  OrificeBatch fresh;
  add_all(together, all);
  add_all(fresh, all);
  together.solve(gas);
  fresh.solve(gas);
  for (std::size_t i = 0; i < all.size(); ++i) CHECK(same(together.flux(i), fresh.flux(i)));
}

TEST_CASE("a batch of orifices: one without a solution has the flux NaN, the others theirs") {
  const auto gas = solver::air_and_products(1.87);
  auto all = orifices(gas, 40, 8);
  for (auto& o : all) o.phi_into_pipe = o.phi_out_of_pipe = 0.5;
  OrificeBatch right, wrong;
  add_all(right, all);
  right.solve(gas);
  for (const std::size_t i : {5U, 6U}) {
    all[i].reservoir.p = std::numeric_limits<double>::quiet_NaN();
  }
  add_all(wrong, all);
  wrong.solve(gas);
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (i == 5 || i == 6) {
      CHECK(std::isnan(wrong.flux(i).mass));
    } else {
      CHECK(same(wrong.flux(i), right.flux(i)));
    }
  }
  // And what was NaN is forgotten as a start of the search.
  add_all(wrong, orifices(gas, 40, 9));
  wrong.solve(gas);
  for (std::size_t i = 0; i < all.size(); ++i) CHECK(std::isfinite(wrong.flux(i).p));
}

TEST_CASE("a batch of orifices: every instruction set gives the same bits") {
  // The sets share their formulas, and the vector functions of the C library agree.
  const auto gas = solver::air_and_products(1.87);
  const auto all = orifices(gas, 64, 6);
  std::array<std::vector<double>, orifice_columns> columns;
  OrificeTable table{};
  for (std::size_t c = 0; c < orifice_columns; ++c) {
    columns[c].assign(all.size(), 0.0);
    table.column[c] = columns[c].data();
  }
  for (std::size_t i = 0; i < all.size(); ++i) {
    const auto& o = all[i];
    const std::array<double, 10> given{o.end.rho,        o.inward * o.end.u,    o.end.p,
                                       o.end.Y,          o.reservoir.p,         o.reservoir.h_total,
                                       o.reservoir.Y,    o.reservoir.impedance, o.phi_into_pipe,
                                       o.phi_out_of_pipe};
    for (std::size_t c = 0; c < given.size(); ++c) columns[c][i] = given[c];
  }
  const OrificeKernelTable& in_use = orifice_kernels.in_use();
  in_use.evaluate_characteristics(table, all.size(), gas);
  const auto walls = columns[static_cast<std::size_t>(OrificeColumn::wall)];
  std::vector<std::size_t> entering, leaving;
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (!(all[i].phi_into_pipe > 0)) continue;
    (walls[i] > all[i].reservoir.p ? leaving : entering).push_back(i);
  }
  REQUIRE(entering.size() > 10);
  REQUIRE(leaving.size() > 10);
  const auto solve = [&](const OrificeKernelTable& kernels, std::vector<EndFlux<double>>& flux) {
    kernels.into_pipe(table, entering.data(), entering.size(), gas, flux.data());
    kernels.out_of_pipe(table, leaving.data(), leaving.size(), gas, flux.data());
  };
  std::vector<EndFlux<double>> one(all.size());
  solve(in_use, one);
  for (const solver::InstructionSet set : solver::instruction_sets) {
    if (!solver::supported(set)) {
      MESSAGE("not supported by this processor or this build: ", name_of(set));
      continue;
    }
    CAPTURE(name_of(set));
    orifice_kernels.of(set).evaluate_characteristics(table, all.size(), gas);
    CHECK(walls == columns[static_cast<std::size_t>(OrificeColumn::wall)]);
    std::vector<EndFlux<double>> other(all.size());
    solve(orifice_kernels.of(set), other);
    for (const auto* group : {&entering, &leaving}) {
      for (const std::size_t i : *group) CHECK(same(one[i], other[i]));
    }
  }
}

}  // namespace pulsewright::tests
