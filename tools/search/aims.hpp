// What a design is worth: four torques, N m, and their weighted sum.
//
//   mean    over the band (study/band.hpp)
//   dip     depth of the deepest dip within the band; the less the better
//   top     at the upper end of the band: power there is this times the speed, so both rise
//   together shift   at the shift point
//
// Between the speeds torque is taken as linear. All being torques, the weights are plain numbers.
#pragma once

#include <string_view>
#include <vector>

#include "cases/tune.hpp"
#include "tools/search/search_record.hpp"
#include "tools/study/band.hpp"

namespace pulsewright::tools {

struct Aims {
  double mean = 0, dip = 0, top = 0, shift = 0;  // N m
};

// Names in the order of Aims, as the options spell them, and the members in that order.
inline constexpr std::string_view aim_names[] = {"mean", "dip", "top", "shift"};
inline constexpr double Aims::*aim_members[] = {&Aims::mean, &Aims::dip, &Aims::top, &Aims::shift};
// Of the weights, in that order.
inline constexpr double cases::AimWeights::*weight_members[] = {
    &cases::AimWeights::mean, &cases::AimWeights::dip, &cases::AimWeights::top,
    &cases::AimWeights::shift};
inline constexpr std::size_t dip_aim = 1;  // the one that counts against a design

// Torque (N m) at a speed between those of the list; at the nearest end beyond them.
double value_at(const std::vector<double>& speeds, const std::vector<double>& values, double speed);

// Speeds in rev/s, ascending; torques in N m, one per speed. shift_speed: rev/s, 0 = none.
Aims aims_of(const std::vector<double>& speeds, const std::vector<double>& torques, Band band,
             double shift_speed);

// Whether the points that the aims are made of have figures, or count: those at the speeds with a
// weight in the mean over the band, and the two round the shift point. As aims_of().
bool has_figures_in(const std::vector<double>& speeds, const Trial& trial, Band band,
                    double shift_speed = 0);
bool counts_in(const std::vector<double>& speeds, const Trial& trial, Band band,
               double shift_speed = 0);

// N m: mean, top and shift by weight, less the dip by weight; what has no weight may be unknown.
double score_of(const Aims& aims, const cases::AimWeights& weights);

}  // namespace pulsewright::tools
