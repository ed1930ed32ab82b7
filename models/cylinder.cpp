#include "models/cylinder.hpp"

#include <algorithm>
#include <boost/numeric/odeint/algebra/array_algebra.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta4.hpp>
#include <cmath>

#include "solver/fault.hpp"

namespace pulsewright::models {

namespace {

// Crank angle folded to [-360, 360): continuous around firing top dead centre.
double around_firing(double angle) { return angle - 720.0 * std::floor((angle + 360.0) / 720.0); }

constexpr double motored_exponent = 1.32;  // polytropic exponent of the motored pressure in Woschni

}  // namespace

Cylinder::Cylinder(const EngineSpecification& engine, std::size_t index, double speed)
    : name_("cylinder " + std::to_string(engine.cylinders.at(index).number)),
      geometry_(engine.geometry),
      heat_(engine.cylinder_heat),
      combustion_(engine.combustion),
      crank_(engine.geometry),
      burn_(engine.combustion, speed),
      speed_(speed),
      piston_speed_(2.0 * engine.geometry.stroke * speed),
      displacement_(engine.scavenge_displacement),
      exhaust_opens_(engine.exhaust_valve.opens_deg),
      intake_closes_(engine.intake_valve.closes_deg) {}

void Cylinder::fill(const solver::Gas& gas, double p, double T, double Y, double angle) {
  const double V = crank_.volume(angle);
  mass_ = p * V / (gas.gas_constant(Y) * T);
  burnt_ = mass_ * Y;
  U_ = mass_ * gas.internal(T, Y);
  refresh(gas, V);
  rate_ = {};
  lit_ = closed_ = true;
  p_ref_ = p;
  T_ref_ = T;
  V_ref_ = crank_.volume(intake_closes_);
}

void Cylinder::refresh(const solver::Gas& gas, double volume) {
  const double Y = burnt_fraction();
  T_ = gas.temperature(U_ / mass_, Y);
  p_ = mass_ * gas.gas_constant(Y) * T_ / volume;
  if (!(mass_ > 0)) throw solver::Fault(name_, "mass in kg", mass_, -1);
  if (!(T_ > 0)) throw solver::Fault(name_, "temperature in K", T_, -1);
}

Cylinder::Middle Cylinder::middle(double dt) const {
  return {p_ + 0.5 * dt * rate_.p, T_ + 0.5 * dt * rate_.T,
          std::clamp(burnt_fraction() + 0.5 * dt * rate_.Y, 0.0, 1.0)};
}

Reservoir<double> Cylinder::reservoir(const solver::Gas& gas, double dt) const {
  const Middle now = middle(dt);
  return {now.p, gas.enthalpy(now.T, now.Y), now.Y};
}

Reservoir<double> Cylinder::exhaust_reservoir(const solver::Gas& gas, double dt,
                                              bool overlap) const {
  const Middle now = middle(dt);
  const double Y = now.Y;
  const double Y_out = overlap ? Y + displacement_ * (1.0 - Y) * std::min(1.0, 20.0 * Y) : Y;
  return {now.p, gas.enthalpy(now.T, Y_out), Y_out};
}

double Cylinder::heat_coefficient(const solver::Gas& gas, const Middle& now, double angle,
                                  double volume) const {
  if (heat_.law == CylinderHeatLaw::annand) {
    return heat_.multiplier * heat_coefficient_annand(geometry_.bore,
                                                      now.p / (gas.gas_constant(now.Y) * now.T),
                                                      piston_speed_, now.T, gas.cp(now.T, now.Y));
  }
  const double a = around_firing(angle);
  const bool closed = a >= intake_closes_ - 720.0 && a < exhaust_opens_;
  double w = (closed ? 2.28 : 6.18) * piston_speed_;
  if (closed && a >= burn_.start()) {
    const double motored = p_ref_ * std::pow(V_ref_ / volume, motored_exponent);
    w += 3.24e-3 * crank_.swept_volume() * T_ref_ / (p_ref_ * V_ref_) *
         std::max(0.0, now.p - motored);
  }
  return heat_.multiplier * heat_coefficient_woschni(geometry_.bore, now.p, now.T, w);
}

void Cylinder::step(const solver::Gas& gas, double angle, double d_angle, double dt,
                    const ValveFlow& exhaust, const ValveFlow& intake) {
  namespace odeint = boost::numeric::odeint;
  using Sums = std::array<double, 3>;  // U, work, wall heat, all in J

  const double a = around_firing(angle);
  const double after = a + d_angle;
  // Marks are noted rather than looked for between two angles: the end of one step and the start of
  // the next differ by rounding, and a mark may lie between them.
  if (after < burn_.start()) {
    lit_ = false;
  } else if (!lit_) {
    lit_ = true;
    to_burn_ = mass_ - burnt_;
  }
  const double burnt_air = to_burn_ * (burn_.share(after) - burn_.share(a));
  const double fuel = burnt_air * fuel_per_air(combustion_);
  const double heat = burnt_air * heat_at_datum(combustion_, gas);

  const double mass_rate = exhaust.mass + intake.mass + fuel / dt;
  const double burnt_rate = exhaust.burnt + intake.burnt + (burnt_air + fuel) / dt;
  const double gain = exhaust.enthalpy + intake.enthalpy + heat / dt;

  // The stages of the Runge-Kutta step stand at its begin, its middle and its end.
  const std::array<CrankSlider::Place, 3> places{
      std::abs(angle - place_angle_) < 1e-9 ? place_ : crank_.at(angle),
      crank_.at(angle + 0.5 * d_angle), crank_.at(angle + d_angle)};
  // Walls: head and piston crown of flat area, and the liner laid bare.
  const double h = heat_coefficient(gas, middle(dt), angle + 0.5 * d_angle, places[1].volume);
  const double flat = crank_.piston_area();
  const double omega = 2.0 * std::numbers::pi * speed_;
  // What a stage takes that does not wait for the one before.
  struct Stage {
    double by_mass;      // 1/kg
    double Y, R;         // 1, J/(kg K)
    double density;      // kg/m3
    double volume_rate;  // m3/s
    double area;         // m2 of wall
    double area_by_T;    // m2 K, wall times its temperature
  };
  const auto stage_at = [&](const CrankSlider::Place& place, double t) {
    const double mass = mass_ + mass_rate * t;
    const double by_mass = 1.0 / mass;
    const double Y = (burnt_ + burnt_rate * t) * by_mass;
    const double liner = std::numbers::pi * geometry_.bore * place.position;
    return Stage{by_mass,
                 Y,
                 gas.gas_constant(Y),
                 mass / place.volume,
                 place.volume_slope * omega,
                 2.0 * flat + liner,
                 flat * (heat_.head_temperature + heat_.piston_temperature) +
                     liner * heat_.liner_temperature};
  };
  const std::array<Stage, 3> stages{stage_at(places[0], 0.0), stage_at(places[1], 0.5 * dt),
                                    stage_at(places[2], dt)};
  const auto rates = [&](const Sums& y, Sums& rate, double t) {
    const Stage& s = stages[t < 0.25 * dt ? 0 : t < 0.75 * dt ? 1 : 2];
    const double T = gas.temperature(y[0] * s.by_mass, s.Y);
    const double power = s.density * s.R * T * s.volume_rate;
    const double loss = h * (s.area * T - s.area_by_T);
    rate = {gain - power - loss, power, loss};
  };
  Sums y{U_, 0.0, 0.0};
  odeint::runge_kutta4<Sums, double, Sums, double, odeint::array_algebra> stepper;
  stepper.do_step(rates, y, 0.0, dt);

  const Rate before{p_, T_, burnt_fraction()};
  U_ = y[0];
  mass_ += mass_rate * dt;
  burnt_ += burnt_rate * dt;
  sums_.work += y[1];
  if (std::abs(a + 0.5 * d_angle) < 180.0) sums_.work_gross += y[1];
  sums_.wall_heat += y[2];
  sums_.heat += heat;
  sums_.fuel += fuel;
  sums_.made_burnt += burnt_air + fuel;
  place_ = places.back();
  place_angle_ = angle + d_angle;
  refresh(gas, place_.volume);
  rate_ = {(p_ - before.p) / dt, (T_ - before.T) / dt, (burnt_fraction() - before.Y) / dt};

  if (after < intake_closes_ - 720.0) {
    closed_ = false;
  } else if (!closed_) {
    closed_ = true;
    p_ref_ = p_;
    T_ref_ = T_;
    V_ref_ = place_.volume;
  }
}

}  // namespace pulsewright::models
