// What joins the pipes behind the collectors of a header: balance pipes, and a tail that all of
// them share.
//
// A collector with its tail is one pipe up to the first place where it is joined, and goes on there
// as a pipe of its own. At an H the bar leaves at a right angle; at an X both pipes meet in one
// junction, each at the half angle to the axis, and the way of a pulse goes straight across to the
// other side's tail.
#pragma once

#include <string>
#include <string_view>

#include "cases/network_builder.hpp"

namespace pulsewright::cases {

// "X", "H pipe" or "tail", with the number of the balance pipe from the second on: "tail 2".
std::string numbered(std::string_view name, std::size_t balance);

// Whether the header has either.
bool has_joined_collectors(const HeaderDesign& header);

// How far a collector goes on beyond its end and tail to where all tails become one, m; without a
// shared tail 0.
double beyond_collector(const NetworkBuilder& builder, const HeaderDesign& header);

// m along the profile of collector and tail to where the first pipe of it ends.
double first_joint(const NetworkBuilder& builder, const HeaderDesign& header, double behind);

// Adds what comes behind the first pipes of the collectors that the builder holds
// (NetworkBuilder::collector_ends), up to the open ends, and the ways of the pulses.
void join_collectors(NetworkBuilder& builder, const HeaderDesign& header);

}  // namespace pulsewright::cases
