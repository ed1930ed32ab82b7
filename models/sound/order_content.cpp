#include "models/sound/order_content.hpp"

#include <Eigen/Core>
#include <cmath>
#include <stdexcept>
#include <unsupported/Eigen/FFT>

namespace pulsewright::models {

OrderContent order_content(std::span<const float> trace) {
  if (trace.size() < 3) throw std::invalid_argument("order content: a trace has 3 values at least");
  const std::vector<double> values(trace.begin(), trace.end());
  for (const double value : values) {
    if (!std::isfinite(value)) throw std::invalid_argument("order content: a value is not finite");
  }
  std::vector<std::complex<double>> spectrum;
  Eigen::FFT<double> transform;
  transform.fwd(spectrum, values);
  const auto n = static_cast<double>(values.size());
  OrderContent content((values.size() - 1) / 2 + 1);
  for (std::size_t m = 0; m < content.size(); ++m)
    content[m] = (m == 0 ? 1.0 : 2.0) / n * spectrum[m];
  return content;
}

}  // namespace pulsewright::models
