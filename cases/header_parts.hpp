// What the kinds of headers are built of: profiles of collector and tail, the collector itself, the
// exit of a merge. Directions at a merge: see header_builder.hpp.
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "cases/network_builder.hpp"

namespace pulsewright::cases {

// Inside diameter along collector and tail of a header, from the merge outwards: inlet, neck,
// taper, collector, tail cone, tail; without the tail where all collectors share one. behind: m
// from the crotch to the merge, which the collector is shorter. beyond: m by which it is longer at
// its end. group: whose tubes enter it; may be left out of a header without an inlet.
std::vector<models::ProfilePoint> collector_profile(const HeaderDesign& header, double behind = 0,
                                                    double beyond = 0,
                                                    const CollectorGroup* group = nullptr);

// What a tube at the merge half angle is longer when it goes on for `behind` along the axis, m.
double along_tube(const HeaderDesign& header, double behind);

// Diameter of the circle that has the area of all tubes that enter the collector of a group, m.
double bundle_diameter(const HeaderDesign& header, const CollectorGroup& group);

// Bore of the widest primary of these cylinders where they merge, m: it places the crotch.
double merging_bore(const HeaderDesign& header, const std::vector<int>& cylinders);

// The piece of a profile from x0 to x1 (m), with x counted from x0.
std::vector<models::ProfilePoint> cut_profile(const std::vector<models::ProfilePoint>& profile,
                                              double x0, double x1);

// "1+4+6", for the names of pipes and junctions.
std::string joined(const std::vector<int>& numbers);

// Angle round the axis of the collector at which the tube of a cylinder of the group enters it,
// deg.
double position_deg(const CollectorGroup& group, int cylinder);

// Collector and tail behind `from` metres of its profile, open at the end; up to the first joint
// where collectors are joined. behind: see collector_profile(). outlet: its position (m), for
// sound. Returns the number of the pipe.
int add_collector(NetworkBuilder& builder, const HeaderDesign& header, const CollectorGroup& group,
                  double from, double behind, const Eigen::Vector3d& outlet);

// Adds the pipe as the exit of the merge, along its axis.
void merge_into(models::JunctionSpecification& junction, int pipe);

}  // namespace pulsewright::cases
