// The loops over the cells of one pipe: one time step as it stands in duct_update.hpp, on plain
// pointers, in packs of a given width.
//
// Apart from the rest so that they can be compiled once more for processors with wider vectors
// (duct_kernels_wide.cpp). Everything they call is inlined or has the width in its name, so that no
// code for the wider processor can get into the rest of the program; both widths give the same
// bits.
#pragma once

#include "solver/duct.hpp"
#include "solver/fluxes.hpp"
#include "solver/limiters.hpp"

namespace pulsewright::solver {

// The kernels of one scheme, cells: number of cells, dt in s.
struct DuctKernelTable {
  // Needs the spare places of rho, u, p, Y. Returns whether the fall-back near vacuum acted.
  bool (*predict)(const Duct::Pointers& at, std::size_t cells, const Gas& gas, double dt);
  void (*interior_fluxes)(const Duct::Pointers& at, std::size_t cells, const Gas& gas);
  Duct::WaveSpeedCheck (*apply)(const Duct::Pointers& at, std::size_t cells, const Gas& gas,
                                double dt);
};

template <class NumericalFlux, class Limiter, class Width>
class DuctKernels {
 public:
  static constexpr DuctKernelTable table() { return {&predict, &interior_fluxes, &apply}; }

  static bool predict(const Duct::Pointers& at, std::size_t cells, const Gas& gas, double dt) {
    bool fell_back = false;
    const Gas local_gas = gas;
    const Duct::Pointers d = at;
    for_each_cell<Width>(
        0, cells, [&]<class Real>(std::size_t i) __attribute__((always_inline)) {
          fell_back = predict_cell<Real>(d, local_gas, dt, i) || fell_back;
        });
    return fell_back;
  }

  static void interior_fluxes(const Duct::Pointers& pointers, std::size_t cells, const Gas& gas) {
    const Gas local_gas = gas;
    const Duct::Pointers at = pointers;
    for_each_cell<Width>(
        1, cells, [&]<class Real>(std::size_t i) __attribute__((always_inline)) {
          const Primitive<Real> left{load<Real>(at.r_rho + i - 1), load<Real>(at.r_u + i - 1),
                                     load<Real>(at.r_p + i - 1), load<Real>(at.r_Y + i - 1)};
          const Primitive<Real> right{load<Real>(at.l_rho + i), load<Real>(at.l_u + i),
                                      load<Real>(at.l_p + i), load<Real>(at.l_Y + i)};
          const Flux<Real> f = NumericalFlux::between(local_gas, left, right);
          store(at.f_mass + i, f.mass);
          store(at.f_momentum + i, f.momentum);
          store(at.f_energy + i, f.energy);
          store(at.f_burnt + i, f.burnt);
        });
  }

  static Duct::WaveSpeedCheck apply(const Duct::Pointers& at, std::size_t cells, const Gas& gas,
                                    double dt) {
    const Gas local_gas = gas;
    const Duct::Pointers d = at;
    Duct::WaveSpeedCheck check;
    for_each_cell<Width>(
        0, cells, [&]<class Real>(std::size_t i) __attribute__((always_inline)) {
          check.add(apply_cell<Real>(d, local_gas, dt, i));
        });
    return check;
  }

  // The arithmetic of the cells i .. i + lanes<Real> - 1, which the loops above run over the pipe.
  template <class Real>
  PULSEWRIGHT_INLINE static bool predict_cell(const Duct::Pointers& d, const Gas& gas, double dt,
                                              std::size_t i) {
    const Real rho = load<Real>(d.rho + i);
    const Real u = load<Real>(d.u + i);
    const Real p = load<Real>(d.p + i);
    const Real Y = load<Real>(d.Y + i);
    const Real T = load<Real>(d.T + i);
    const Real s_rho = slope<Real>(d.rho, i);
    const Real s_u = slope<Real>(d.u, i);
    const Real s_p = slope<Real>(d.p, i);
    const Real s_Y = slope<Real>(d.Y, i);

    const Real laminar = load<Real>(d.laminar + i);
    const Real turbulent = load<Real>(d.turbulent + i);
    const Real exchange = load<Real>(d.exchange + i);
    const Real T_wall = load<Real>(d.T_wall + i);
    const Real force = -(laminar + turbulent * rho * abs(u)) * u;
    const Real heat = exchange * (T_wall - T);

    const Real inverse_rho = load<Real>(d.inverse_rho + i);
    const Real gamma_less_1 = load<Real>(d.gamma_less_1 + i);
    const Real rho_c2 = (1.0 + gamma_less_1) * p;
    const double half = 0.5 * dt / d.dx;
    const Real widening =
        0.5 * dt * u * load<Real>(d.area_rise + i) * load<Real>(d.inverse_volume + i);
    const Real m_rho = rho - (half * (u * s_rho + rho * s_u) + widening * rho);
    const Real m_u = u - half * (u * s_u + s_p * inverse_rho) + 0.5 * dt * (force * inverse_rho);
    const Real m_p = p - (half * (u * s_p + rho_c2 * s_u) + widening * rho_c2) +
                     0.5 * dt * (gamma_less_1 * (heat - force * u));
    const Real m_Y = Y - half * (u * s_Y);

    const Real low_rho = m_rho - 0.5 * abs(s_rho);
    const Real low_p = m_p - 0.5 * abs(s_p);
    const auto sound = low_rho > 0.05 * rho && low_p > 0.05 * p;
    const auto put = [&](double* left, double* right, const Real& own, const Real& middle,
                         const Real& s) __attribute__((always_inline)) {
      store(left + i, select(sound, Real(middle - 0.5 * s), own));
      store(right + i, select(sound, Real(middle + 0.5 * s), own));
    };
    put(d.l_rho, d.r_rho, rho, m_rho, s_rho);
    put(d.l_u, d.r_u, u, m_u, s_u);
    put(d.l_p, d.r_p, p, m_p, s_p);
    put(d.l_Y, d.r_Y, Y, m_Y, s_Y);

    const Real h_rho = select(sound, m_rho, rho);
    const Real h_u = select(sound, m_u, u);
    const Real h_p = select(sound, m_p, p);
    const Real h_T = h_p / (h_rho * gas.gas_constant(Y));
    store(d.h_p + i, h_p);
    store(d.h_force + i, Real(-(laminar + turbulent * h_rho * abs(h_u)) * h_u));
    store(d.h_heat + i, Real(exchange * (T_wall - h_T)));
    return any(!sound);
  }

  template <class Real>
  PULSEWRIGHT_INLINE static Duct::StoredState<Real> apply_cell(const Duct::Pointers& d,
                                                               const Gas& gas, double dt,
                                                               std::size_t i) {
    const Real area_l = load<Real>(d.face_area + i);
    const Real area_r = load<Real>(d.face_area + i + 1);
    const Real rate = dt * load<Real>(d.inverse_volume + i);
    const Real p = load<Real>(d.h_p + i);
    const auto gain = [&](const double* f) __attribute__((always_inline)) {
      return area_l * load<Real>(f + i) - area_r * load<Real>(f + i + 1);
    };
    const Real push = area_l * (load<Real>(d.f_momentum + i) - p) -
                      area_r * (load<Real>(d.f_momentum + i + 1) - p);
    const Real heat = dt * load<Real>(d.h_heat + i);
    const Real rho = load<Real>(d.rho + i) + rate * gain(d.f_mass);
    const Real momentum = load<Real>(d.momentum + i) + rate * push + dt * load<Real>(d.h_force + i);
    const Real energy = load<Real>(d.energy_density + i) + rate * gain(d.f_energy) + heat;
    const Real burnt = load<Real>(d.burnt_density + i) + rate * gain(d.f_burnt);
    store(d.next_rho + i, rho);
    store(d.next_momentum + i, momentum);
    store(d.next_energy + i, energy);
    store(d.next_burnt + i, burnt);
    store(d.next_heat_sum + i, Real(load<Real>(d.heat_sum + i) + heat));
    return Duct::put_primitives(d, gas, rho, momentum, energy, burnt, i);
  }

 private:
  template <class Real>
  PULSEWRIGHT_INLINE static Real slope(const double* w, std::size_t i) {
    const double* at = w + i;
    const Real centre = load<Real>(at);
    return Limiter::slope(Real(centre - load<Real>(at - 1)), Real(load<Real>(at + 1) - centre));
  }
};

}  // namespace pulsewright::solver
