#include "models/boundary/radiation.hpp"

#include <cmath>

namespace pulsewright::models {

namespace {

constexpr double n1 = 0.1;
constexpr double d1 = n1 + 2.0 * unflanged_correction;
constexpr double d2 = 0.5 * (d1 * d1 - n1 * n1 - 1.0);

}  // namespace

// x' = z, d2 z' = U - (d1 + n1) z - 2 x, w = 2 x + 2 n1 z; time in units of tau.
Radiation::Load Radiation::load(double rho, double gamma, double dt) {
  if (rho_ == 0) rho_ = rho;
  const double c = std::sqrt(gamma * p_ / rho_);
  const double between = dt_ > 0 ? 0.5 * (dt_ + dt) : dt;
  dt_ = dt;
  h_ = 0.5 * between * c / radius_;
  const double damping = h_ * (d1 + n1) + 2.0 * h_ * h_;
  response_ = h_ / (d2 + damping);
  free_response_ = ((d2 - damping) * z_ + h_ * (U_ - 4.0 * x_)) / (d2 + damping);
  const double w_free = 2.0 * (x_ + h_ * (z_ + free_response_) + n1 * free_response_);
  const double w_response = 2.0 * (h_ + n1) * response_;
  return {p_ - rho_ * c * w_free, rho_ * c * (1.0 - w_response)};
}

void Radiation::advance(double v, double rho) {
  U_ = -v;
  const double z = free_response_ + response_ * U_;
  x_ += h_ * (z_ + z);
  z_ = z;
  const double flushed = dt_ * std::abs(v) / (unflanged_correction * radius_);
  rho_ = rho + (rho_ - rho) * std::exp(-flushed);
}

}  // namespace pulsewright::models
