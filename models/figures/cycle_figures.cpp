#include "models/figures/cycle_figures.hpp"

#include <algorithm>
#include <cmath>

#include "models/boundary/crank_angle.hpp"

namespace pulsewright::models {

namespace {

constexpr double depression_from = 240.0;  // deg: from here to exhaust valve closing
constexpr double blowdown_span = 100.0;    // deg from exhaust valve opening

}  // namespace

CycleFigures::CycleFigures(const EngineSpecification& engine, double swept_volume,
                           double reference_mass)
    : ambient_(engine.ambient.pressure),
      swept_(swept_volume),
      reference_(reference_mass),
      exhaust_opens_(engine.exhaust_valve.opens_deg),
      exhaust_closes_(engine.exhaust_valve.closes_deg),
      intake_opens_(engine.intake_valve.opens_deg),
      intake_closes_(engine.intake_valve.closes_deg),
      exhaust_valve_(engine.exhaust_valve),
      intake_valve_(engine.intake_valve) {
  start();
}

void CycleFigures::start() {
  // What was trapped is kept: the intake valve may close just before the cycle starts.
  const double trapped = f_.trapped_mass;
  const double residual = f_.residual_fraction;
  f_ = CylinderFigures{};
  f_.trapped_mass = trapped;
  f_.residual_fraction = residual;
  f_.depression = 1e9;
  f_.blowdown_pulse = -1e9;
  overlap_ = overlap_pressure_ = overlap_difference_ = 0;
  overlap_lift_ = overlap_lift_pressure_ = 0;
  stroke_ = stroke_pressure_ = 0;
  fresh_in_ = fresh_lost_ = 0;
  out_mass_ = out_burnt_ = out_enthalpy_ = 0;
  greatest_outflow_ = 0;
  pulse_angle_ = exhaust_opens_;
}

void CycleFigures::add(const CylinderStep& s) {
  const double gauge = s.exhaust_pressure - ambient_;
  const double overlap = within_window(s.angle, s.d_angle, intake_opens_, exhaust_closes_);
  overlap_ += overlap;
  overlap_pressure_ += overlap * gauge;
  overlap_difference_ += overlap * (s.intake_pressure - s.exhaust_pressure);
  if (overlap > 0) {
    // The valve that is less open governs what flows through the cylinder.
    const double middle = s.angle + 0.5 * s.d_angle;
    const double lift = std::min(exhaust_valve_.lift(middle), intake_valve_.lift(middle));
    overlap_lift_ += overlap * lift;
    overlap_lift_pressure_ += overlap * lift * gauge;
  }
  const double stroke = within_window(s.angle, s.d_angle, 180.0, 360.0);
  stroke_ += stroke;
  stroke_pressure_ += stroke * gauge;
  if (within_window(s.angle, s.d_angle, depression_from, exhaust_closes_) > 0 &&
      gauge < f_.depression) {
    f_.depression = gauge;
    f_.depression_angle = fold(s.angle + 0.5 * s.d_angle);
  }
  // The pulse of the cylinder's own blowdown: later in the cycle a pulse of another cylinder, or
  // one that comes back from the merge, may be higher.
  if (within_window(s.angle, s.d_angle, exhaust_opens_, exhaust_opens_ + blowdown_span) > 0 &&
      gauge > f_.blowdown_pulse) {
    f_.blowdown_pulse = gauge;
    f_.blowdown_pulse_angle = fold(s.angle + 0.5 * s.d_angle);
  }
  if (s.cylinder_pressure > f_.peak_pressure) {
    f_.peak_pressure = s.cylinder_pressure;
    f_.peak_pressure_angle = fold(s.angle + s.d_angle);
  }
  fresh_in_ += s.dt * (s.intake_mass - s.intake_burnt);
  fresh_lost_ += s.dt * (s.exhaust_mass - s.exhaust_burnt);
  if (s.exhaust_mass > 0) {
    out_mass_ += s.dt * s.exhaust_mass;
    out_burnt_ += s.dt * s.exhaust_burnt;
    out_enthalpy_ += s.dt * s.exhaust_enthalpy;
  }
  if (s.exhaust_mass > greatest_outflow_ &&
      within_window(s.angle, s.d_angle, exhaust_opens_, exhaust_opens_ + blowdown_span) > 0) {
    greatest_outflow_ = s.exhaust_mass;
    pulse_angle_ = fold(s.angle + 0.5 * s.d_angle);
  }
  if (passes(s.angle, s.d_angle, intake_closes_)) {
    f_.trapped_mass = s.cylinder_mass;
    f_.residual_fraction = s.cylinder_burnt / s.cylinder_mass;
  }
}

CylinderFigures CycleFigures::finish(const solver::Gas& gas, int number, double work,
                                     double work_gross) const {
  CylinderFigures f = f_;
  f.number = number;
  f.volumetric_efficiency = fresh_in_ / reference_;
  f.charging_efficiency = f.trapped_mass * (1.0 - f.residual_fraction) / reference_;
  f.short_circuit_fraction = fresh_in_ > 0 ? fresh_lost_ / fresh_in_ : 0;
  f.imep = work / swept_;
  f.imep_gross = work_gross / swept_;
  f.pmep = f.imep_gross - f.imep;
  if (overlap_ > 0) {
    f.overlap_exhaust_pressure = overlap_pressure_ / overlap_;
    f.overlap_difference = overlap_difference_ / overlap_;
  }
  if (overlap_lift_ > 0)
    f.overlap_exhaust_pressure_by_lift = overlap_lift_pressure_ / overlap_lift_;
  if (stroke_ > 0) f.exhaust_stroke_pressure = stroke_pressure_ / stroke_;
  if (out_mass_ > 0) {
    f.exhaust_temperature =
        gas.temperature_from_enthalpy(out_enthalpy_ / out_mass_, out_burnt_ / out_mass_);
  }
  return f;
}

}  // namespace pulsewright::models
