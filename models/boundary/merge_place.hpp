// Where the merge of straight tubes is: where pipes without width are to meet, so that pulses
// arrive and return when they do in the real merge.
//
// The walls of neighbouring tubes first meet at the crotch. For tubes of diameter D whose axes meet
// the axis of the collector in one point at the angle a, neighbours the angle g apart round it,
//   z = (D / 2) cos a / (sin b cos b),   sin b = sin a sin(g / 2)
// is its distance from that point, along the axis, upstream (geometry; 169.7 mm for four tubes of
// 42 mm at 10 degrees, 101.0 mm for two at 12).
//
// Behind it, downstream, by a part of the tubes' diameter, the pipes are to meet. Fitted to a
// three-dimensional computation of merges of two to four tubes at 8 to 20 degrees into collectors
// of 0.8 to 1.4 times their area (validation/merge_reference): the momentum law has a lag between
// the tubes of its own and wants 0.19 D (0.15 to 0.3 between geometries); for the laws with one
// pressure it is 0.65 D (0.55 to 0.75).
#pragma once

#include "models/boundary/specification.hpp"

namespace pulsewright::models {

// m along the axis of the collector, from the meeting point of the axes upstream to the crotch.
// tube_diameter in m; half_angle to the collector's axis, and the smallest angle between neighbours
// round it, in rad. Throws std::invalid_argument unless all are positive and the half angle is
// below a right one.
double crotch_distance(double tube_diameter, double half_angle, double smallest_gap);

// m along the axis, downstream of the crotch, at which the pipes are to meet. tube_diameter in m.
double merge_behind_crotch(double tube_diameter, JunctionLaw law);

}  // namespace pulsewright::models
