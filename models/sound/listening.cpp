#include "models/sound/listening.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "solver/gas/gas.hpp"

namespace pulsewright::models {

namespace {

constexpr double nearest_allowed = 0.05;  // m

Eigen::Vector3d microphone_of(const ListeningSpecification& spec,
                              const std::vector<Eigen::Vector3d>& outlets) {
  if (spec.microphone) return *spec.microphone;
  const auto outermost = std::max_element(
      outlets.begin(), outlets.end(), [](const auto& a, const auto& b) { return a.y() < b.y(); });
  const double angle = spec.angle_deg * std::numbers::pi / 180.0;
  return *outermost + spec.distance * Eigen::Vector3d(std::cos(angle), std::sin(angle), 0);
}

}  // namespace

Air air_outside(const Ambient& ambient) {
  constexpr double R = solver::Constituent{}.R;
  constexpr double gamma = 1.4;
  return {ambient.pressure / (R * ambient.temperature), std::sqrt(gamma * R * ambient.temperature)};
}

Listening::Listening(const ListeningSpecification& spec,
                     const std::vector<Eigen::Vector3d>& outlets, const Air& air)
    : microphone_(Eigen::Vector3d::Zero()), air_(air) {
  if (outlets.empty()) throw std::invalid_argument("sound: there is no open end to listen to");
  microphone_ = microphone_of(spec, outlets);
  if (microphone_.z() + spec.outlet_height < 0) {
    throw std::invalid_argument("sound: the microphone lies below the ground");
  }
  for (const Eigen::Vector3d& outlet : outlets) {
    if (outlet.z() + spec.outlet_height < 0) {
      throw std::invalid_argument("sound: an outlet lies below the ground");
    }
    const double direct = (microphone_ - outlet).norm();
    if (!(direct >= nearest_allowed)) {
      throw std::invalid_argument("sound: the microphone is nearer than 50 mm to an outlet");
    }
    std::vector<Path>& paths = paths_.emplace_back();
    paths.push_back({direct, 1.0});
    if (!(spec.ground_reflection > 0)) continue;
    Eigen::Vector3d image = outlet;
    image.z() = -2 * spec.outlet_height - outlet.z();
    paths.push_back({(microphone_ - image).norm(), spec.ground_reflection});
  }
}

std::complex<double> Listening::transfer(std::size_t outlet, double f) const {
  const double omega = 2 * std::numbers::pi * f;
  std::complex<double> sum = 0;
  for (const Path& path : paths_[outlet]) {
    sum += std::polar(path.strength / path.length, -omega * path.length / air_.sound_speed);
  }
  return std::complex<double>(0, omega * air_.density / (4 * std::numbers::pi)) * sum;
}

}  // namespace pulsewright::models
