#include "solver/pipe/pipe.hpp"

#include <cmath>
#include <numbers>
#include <stdexcept>

#include "solver/gas/fault.hpp"

namespace pulsewright::solver {

namespace {

// Volume of a truncated cone, m3. The order of the sum makes it the same from either side.
double cone_volume(double length, double d1, double d2) {
  return std::numbers::pi / 12.0 * length * (d1 * d2 + (d1 * d1 + d2 * d2));
}

// length is to - from, without the rounding of the two places: equal cells of a straight pipe are
// equal to the last bit, whichever end they are counted from.
double volume_between(double from, double to, double length,
                      const std::function<double(double)>& diameter,
                      const std::vector<double>& breakpoints) {
  double sum = 0;
  double x = from;
  for (const double b : breakpoints) {
    if (b > x && b < to) {
      sum += cone_volume(b - x, diameter(x), diameter(b));
      length -= b - x;
      x = b;
    }
  }
  return sum + cone_volume(length, diameter(x), diameter(to));
}

}  // namespace

Pipe::Pipe(std::string name, double length, std::size_t cells,
           const std::function<double(double)>& diameter, const std::vector<double>& breakpoints)
    : name_(std::move(name)), n_(cells), length_(length), dx_(length / static_cast<double>(cells)) {
  if (!(length > 0)) throw std::invalid_argument("pipe '" + name_ + "': length must be positive");
  if (cells < 4) throw std::invalid_argument("pipe '" + name_ + "': needs at least 4 cells");
  for (std::size_t k = 0; k < field_count<EnsembleFields>; ++k) {
    field<EnsembleFields>(*this, k) = CellArray(n_);
  }
  for (std::size_t k = 0; k < field_count<PipeFields>; ++k) {
    field<PipeFields>(*this, k) = CellArray(n_);
  }
  for (std::size_t i = 0; i <= n_; ++i) {
    const double x = i == n_ ? length_ : static_cast<double>(i) * dx_;
    const double d = diameter(x);
    if (!(d > 0)) throw std::invalid_argument("pipe '" + name_ + "': diameter must be positive");
    face_area[static_cast<std::ptrdiff_t>(i)] = 0.25 * std::numbers::pi * d * d;
  }
  for (std::size_t i = 0; i < n_; ++i) {
    const auto k = static_cast<std::ptrdiff_t>(i);
    const double from = static_cast<double>(i) * dx_;
    const double to = i + 1 == n_ ? length_ : static_cast<double>(i + 1) * dx_;
    volume[k] = volume_between(from, to, dx_, diameter, breakpoints);
    inverse_volume[k] = 1.0 / volume[k];
    area_rise[k] = face_area[k + 1] - face_area[k];
    hydraulic_diameter[k] = diameter(centre(i));
  }
}

void Pipe::fill(const Gas& gas, const std::function<Primitive<double>(double)>& initial) {
  for (std::size_t i = 0; i < n_; ++i) {
    const auto k = static_cast<std::ptrdiff_t>(i);
    const Primitive<double> w = initial(centre(i));
    const double temperature = temperature_of(gas, w);
    rho[k] = w.rho;
    momentum[k] = w.rho * w.u;
    energy_density[k] = w.rho * (gas.internal(temperature, w.Y) + 0.5 * w.u * w.u);
    burnt_density[k] = w.rho * w.Y;
  }
  refresh(gas);
}

double Pipe::refresh(const Gas& gas) {
  StateChecks<double> checks;
  for (std::size_t i = 0; i < n_; ++i) {
    const auto k = static_cast<std::ptrdiff_t>(i);
    const CellState<double> w =
        cell_state(gas, rho[k], momentum[k], energy_density[k], burnt_density[k]);
    u[k] = w.u;
    p[k] = w.p;
    T[k] = w.T;
    Y[k] = w.Y;
    inverse_rho[k] = w.inverse_rho;
    gamma_less_1[k] = w.gamma_less_1;
    checks.add(rho[k], w.T, abs(w.u) + w.c);
  }
  return checked(checks.sum(), gas);
}

double Pipe::checked(const StateCheck& check, const Gas& gas) const {
  if (!check.bad) return check.fastest;
  const auto end = [&](const Flux<double>& f, const char* side, double place) {
    if (!std::isnan(f.momentum)) return;  // which holds the pressure that was searched for
    throw Fault(name_,
                std::string("no solution of the boundary condition at the ") + side +
                    " end, momentum flux in Pa",
                f.momentum, place);
  };
  end(left_flux_, "left", 0);
  end(right_flux_, "right", length_);
  for (std::size_t i = 0; i < n_; ++i) {
    const auto k = static_cast<std::ptrdiff_t>(i);
    if (!(rho[k] > 0)) throw Fault(name_, "density in kg/m3", rho[k], centre(i));
    if (!(T[k] > 0)) throw Fault(name_, "temperature in K", T[k], centre(i));
    if (!(std::abs(u[k]) < greatest_credible_speed))
      throw Fault(name_, "velocity in m/s", u[k], centre(i));
    const double speed = std::abs(u[k]) + gas.sound_speed(T[k], Y[k]);
    if (!(speed < greatest_credible_speed))
      throw Fault(name_, "wave speed in m/s", speed, centre(i));
  }
  throw Fault(name_, "wave speed in m/s", check.fastest, -1);
}

Primitive<double> Pipe::state(std::size_t i) const {
  const auto k = static_cast<std::ptrdiff_t>(i);
  return {rho[k], u[k], p[k], Y[k]};
}

namespace {
double total(const CellArray& density, const CellArray& volume) {
  double sum = 0;
  for (std::size_t i = 0; i < volume.size(); ++i) {
    const auto k = static_cast<std::ptrdiff_t>(i);
    sum += density[k] * volume[k];
  }
  return sum;
}
}  // namespace

double Pipe::mass() const { return total(rho, volume); }
double Pipe::burnt() const { return total(burnt_density, volume); }
double Pipe::energy() const { return total(energy_density, volume); }

}  // namespace pulsewright::solver
