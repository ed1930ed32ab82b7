// Several pulls of one header on common speeds: their mean, how they scatter, and how well the mean
// is known.
//
// A pull is a list of samples over speed, in any order and as dense as the logger wrote them. Its
// value at a speed is that of the local parabola of weighted least squares through the nearest five
// samples, or all within 150 rpm, weights (1 - |d|^3)^3 [cleveland1979]: it smooths noise and keeps
// peaks. Where the samples lie further apart than the speeds that are asked for, as in a pull that
// was written at these, it is the linear interpolation between the neighbours, if they are no
// further than a step away.
//
// Interval of the mean, 95 %: t s / sqrt(n), n of the pulls reach the speed. s is the relative
// deviation between the pulls, pooled over all speeds, and t Student's of one degree of freedom
// less than there are pulls (Abramowitz and Stegun 1964, 26.7), also where fewer of them reach. The
// deviations of one pull are alike at all its speeds, so that more speeds add no degree of freedom.
// What all pulls of a day have in common - the calibration of the dynamometer, the fit of the
// header - no scatter shows.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace pulsewright::models {

struct PullSamples {
  std::vector<double> speed;  // rev/s
  std::vector<double> value;  // SI, same size
};

// Value at `speed`, NaN where the samples do not reach. step: rev/s, > 0.
double pull_at(const PullSamples& pull, double speed, double step);

// The t of Student's distribution between whose two signs 95 % of it lie, from the distribution for
// whole degrees of freedom in closed form: Abramowitz and Stegun (1964), 26.7.3 and 26.7.4. Throws
// std::invalid_argument for none.
double student_t_95(std::size_t degrees);

struct MeanPull {
  std::vector<double> speed;       // rev/s
  std::vector<double> value;       // NaN where no pull reaches
  std::vector<std::size_t> count;  // of pulls
  double scatter = 0;              // relative, pooled over the speeds; 0 for one pull
  std::size_t pulls = 0;

  // Half the 95 % interval of the mean at speed i. least: relative standard deviation that single
  // pulls are taken to have at least, which alone counts where there is one pull (with t = 1.96).
  double half_interval(std::size_t i, double least) const;
};

// speeds: ascending, rev/s. Throws std::invalid_argument without pulls, for sizes that differ, or a
// step that is not positive.
MeanPull mean_of_pulls(std::span<const PullSamples> pulls, std::span<const double> speeds,
                       double step);

}  // namespace pulsewright::models
