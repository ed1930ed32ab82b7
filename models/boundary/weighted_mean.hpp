// Weighted means of numbers of a state, such as those of several cycles.
//
// weights: of either sign, their sum 1; of(k): the number that weight k belongs to.
#pragma once

#include <cmath>
#include <cstddef>
#include <vector>

namespace pulsewright::models {

template <class Of>
double weighted_mean(const std::vector<double>& weights, const Of& of) {
  double sum = 0;
  for (std::size_t k = 0; k < weights.size(); ++k) sum += weights[k] * of(k);
  return sum;
}

// Of positive numbers: positive whatever the weights are.
template <class Of>
double weighted_geometric_mean(const std::vector<double>& weights, const Of& of) {
  return std::exp(weighted_mean(weights, [&](std::size_t k) { return std::log(of(k)); }));
}

}  // namespace pulsewright::models
