#include "models/sound/content_over_speed.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace pulsewright::models {

ContentOverSpeed::ContentOverSpeed(const std::vector<SpeedContent>& speeds) {
  if (speeds.empty()) throw std::invalid_argument("sound: there is no speed to listen at");
  outlets_ = speeds.front().outlets.size();
  for (const SpeedContent& one : speeds) {
    if (!speeds_.empty() && !(one.speed > speeds_.back())) {
      throw std::invalid_argument("sound: the speeds do not rise");
    }
    if (one.outlets.size() != outlets_) {
      throw std::invalid_argument("sound: the outlets differ from speed to speed");
    }
    speeds_.push_back(one.speed);
    for (const OrderContent& outlet : one.outlets) harmonics_ = std::max(harmonics_, outlet.size());
  }
  for (const SpeedContent& one : speeds) {
    for (const OrderContent& outlet : one.outlets) {
      for (std::size_t m = 0; m < harmonics_; ++m) {
        const std::complex<double> c = m < outlet.size() ? outlet[m] : 0;
        polar_.push_back({std::abs(c), std::arg(c), 0});
      }
    }
  }
  const std::size_t row = outlets_ * harmonics_;
  for (std::size_t i = 0; i + row < polar_.size(); ++i) {
    polar_[i].phase_step =
        std::remainder(polar_[i + row].phase - polar_[i].phase, 2 * std::numbers::pi);
  }
}

SpeedContent ContentOverSpeed::at(double speed) const {
  const double inside = std::clamp(speed, first_speed(), last_speed());
  const auto above = std::upper_bound(speeds_.begin(), speeds_.end(), inside);
  const auto next = std::min(static_cast<std::size_t>(above - speeds_.begin()), speeds_.size() - 1);
  const std::size_t last = next == 0 || inside >= speeds_.back() ? next : next - 1;
  const double part = last == next ? 0 : (inside - speeds_[last]) / (speeds_[next] - speeds_[last]);
  SpeedContent content{speed, std::vector<OrderContent>(outlets_, OrderContent(harmonics_))};
  for (std::size_t o = 0; o < outlets_; ++o) {
    for (std::size_t m = 0; m < harmonics_; ++m) {
      const Polar& from = polar(last, o, m);
      const Polar& to = polar(next, o, m);
      content.outlets[o][m] = std::polar((1 - part) * from.amplitude + part * to.amplitude,
                                         from.phase + part * from.phase_step);
    }
  }
  return content;
}

}  // namespace pulsewright::models
