// Whether the tables of a valve can belong to one: timing, lift and flow against each other.
//
// What no valve of a four-stroke engine can do is refused; what hardly any does, so that a slip is
// more likely, is a remark.
#pragma once

#include <string_view>

#include "cases/case_file.hpp"
#include "cases/problems.hpp"
#include "cases/section.hpp"

namespace pulsewright::cases {

// Crank angles in deg after firing top dead centre between which the valve is off its seat. opens,
// closes: keys that say so.
void check_timing(Section& s, std::string_view opens_key, std::string_view closes_key,
                  double opens_deg, double closes_deg, bool exhaust);

// Duration from seat to seat against that above the checking lift of the follower (m), of a cam
// card: both in deg, the second 0 where it is not given.
void check_duration(Section& s, double seat_deg, double duration_deg, double duration_lift);

// Full lift against the diameter of the seat, both in m.
void check_full_lift(Section& s, std::string_view key, double lift, double seat_diameter);

// Effective area (one valve, m2) at each lift against the curtain area there, and whether it falls
// as the valve goes on opening. key: where the flow is given.
void check_flow_curve(Section& s, std::string_view key, const models::FlowCurve& curve,
                      double seat_diameter);

// Seats against the bore. Notes problems at the keys of both valves.
void check_seats(Problems& problems, double bore, double exhaust_seat, double intake_seat);

}  // namespace pulsewright::cases
