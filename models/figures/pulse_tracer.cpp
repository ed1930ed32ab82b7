#include "models/figures/pulse_tracer.hpp"

#include <algorithm>

#include "solver/pipe/interpolation.hpp"

namespace pulsewright::models {

namespace {

// u + c at x, linear between cell centres.
double characteristic_speed(const solver::Pipe& pipe, const solver::Gas& gas, double x) {
  return solver::interpolated(
      pipe, x, [&](std::ptrdiff_t k) { return pipe.u[k] + gas.sound_speed(pipe.T[k], pipe.Y[k]); });
}

}  // namespace

PulseTracer::PulseTracer(const EngineSpecification& engine) : paths_(engine.exhaust_paths) {
  records_.resize(paths_.size());
  for (std::size_t i = 0; i < paths_.size(); ++i) records_[i].resize(paths_[i].pipes.size());
}

void PulseTracer::launch(std::size_t cylinder, double cylinder_angle) {
  moving_.push_back({cylinder, cylinder_angle, 0, 0, 0, 0});
}

void PulseTracer::move(const std::vector<solver::Pipe>& pipes, const solver::Gas& gas, double dt,
                       double d_angle) {
  for (Mark& mark : moving_) {
    const auto& path = paths_[mark.cylinder].pipes;
    double left = dt;
    while (left > 0 && mark.part < path.size()) {
      const solver::Pipe& pipe = pipes[static_cast<std::size_t>(path[mark.part])];
      const double speed = std::max(1.0, characteristic_speed(pipe, gas, mark.x));
      const double need = (pipe.length() - mark.x) / speed;
      if (need > left) {
        mark.x += speed * left;
        break;
      }
      left -= need;
      const double used = dt - left;
      records_[mark.cylinder][mark.part].push_back(
          {mark.launch_angle, {mark.turned + d_angle * used / dt, mark.time + used}});
      mark.x = 0;
      ++mark.part;
    }
    mark.turned += d_angle;
    mark.time += dt;
  }
  std::erase_if(moving_, [&](const Mark& m) { return m.part >= paths_[m.cylinder].pipes.size(); });
}

bool PulseTracer::arrival(std::size_t cylinder, std::size_t part, double cylinder_angle,
                          PulseArrival& result) const {
  const auto& marks = records_[cylinder][part];
  for (std::size_t i = 0; i + 1 < marks.size(); ++i) {
    const Record& a = marks[i];
    const Record& b = marks[i + 1];
    if (b.launch_angle > a.launch_angle && cylinder_angle >= a.launch_angle &&
        cylinder_angle <= b.launch_angle) {
      const double t = (cylinder_angle - a.launch_angle) / (b.launch_angle - a.launch_angle);
      result.angle = a.arrival.angle + t * (b.arrival.angle - a.arrival.angle);
      result.time = a.arrival.time + t * (b.arrival.time - a.arrival.time);
      return true;
    }
  }
  return false;
}

}  // namespace pulsewright::models
