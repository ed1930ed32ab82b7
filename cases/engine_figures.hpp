// What a case says about its engine, in the figures that engine builders compare: displacement,
// valve timing, compression, areas. From the case alone, nothing is simulated.
#pragma once

#include <optional>
#include <vector>

#include "cases/case_file.hpp"

namespace pulsewright::cases {

// Lift of the follower at which cams are commonly compared, and that from which the makers of
// hydraulic cams count: m, 0.050 and 0.006 in (common practice).
inline constexpr double checking_lift = 0.050 * 0.0254;
inline constexpr double advertised_lift = 0.006 * 0.0254;

// Crank angles in deg after firing top dead centre.
struct ValveFigures {
  double opens_deg = 0, closes_deg = 0;  // at the seat: of the cam card, or of the lift table
  double open_deg = 0;                   // duration off the seat with lash taken off, deg
  std::optional<ValveTiming> checked;    // above the checking lift, as TimingAtLift
  // Opening and closing as the hand rules count them: at the seat; where a card with one duration
  // leaves the ramps open, and with them the seat, at advertised_lift of the follower.
  ValveTiming advertised;
  double centerline_deg = 0;  // of the card, or the middle above the checking lift
  double full_lift = 0;       // m, at the valve, lash taken off
  // m2, all valves of the cylinder together.
  double seat_area = 0;     // bores of the seats
  double curtain_area = 0;  // at full lift
  double flow_area = 0;     // greatest effective area, forward
  double port_area = 0;     // port at the valve; 0 = there is none in the case
};

// Timing of both valves above a lift: of the follower with a cam card, whatever the lash, of the
// valve with a lift table. None of a valve that does not lift so far.
struct TimingAtLift {
  enum class From { seat, lash, lift };
  From from = From::lift;  // where the lobes begin and end; where the lash is taken up; at `lift`
  double lift = 0;         // m
  std::optional<ValveTiming> exhaust, intake;  // deg after firing top dead centre
  std::optional<double> overlap_deg;           // negative: none
  // Volume where the intake closes over clearance volume: effective or dynamic.
  std::optional<double> compression_ratio;
};

struct EngineFigures {
  double cylinder_volume = 0;  // m3 swept by one
  double displacement = 0;     // m3, all
  ValveFigures exhaust, intake;
  // At the seat, less lash, and by rising lift: at 0.006 in, at 0.050 in and at the lifts of the
  // cards.
  std::vector<TimingAtLift> timing;
  const TimingAtLift& at(TimingAtLift::From from) const;
  const TimingAtLift& at_lift(double lift) const;  // one of those listed
  double lobe_separation_deg = 0;                  // deg of camshaft
  double compression_ratio = 0;
  double mean_piston_speed = 0;  // m/s, at the highest speed
};

// The case must come from the reader and have an engine.
EngineFigures engine_figures(const CaseFile& case_file);

}  // namespace pulsewright::cases
