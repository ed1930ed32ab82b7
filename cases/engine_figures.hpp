// What a case says about its engine, in the figures that engine builders compare: displacement,
// valve timing, compression, areas. From the case alone, nothing is simulated.
#pragma once

#include <optional>

#include "cases/case_file.hpp"

namespace pulsewright::cases {

// Lift of the follower at which cams are commonly compared: m, 0.050 in (common practice).
inline constexpr double checking_lift = 0.050 * 0.0254;
// Likewise that of most advertised durations: m, 0.006 in (common practice, no source).
inline constexpr double advertised_lift = 0.006 * 0.0254;

// Crank angles in deg after firing top dead centre.
struct ValveFigures {
  double opens_deg = 0, closes_deg = 0;  // at the seat: of the cam card, or of the lift table
  double open_deg = 0;                   // duration off the seat with lash taken off, deg
  // Above the checking lift: of the follower with a cam card, of the valve with a lift table. None
  // if the valve does not lift so far.
  struct Checked {
    double opens_deg = 0, closes_deg = 0;
  };
  std::optional<Checked> checked;
  // Opening and closing as the hand rules count them: at the seat; where a card with one duration
  // leaves the ramps open, and with them the seat, at advertised_lift of the follower.
  Checked advertised;
  double centerline_deg = 0;  // of the card, or the middle above the checking lift
  double full_lift = 0;       // m, at the valve, lash taken off
  // m2, all valves of the cylinder together.
  double seat_area = 0;     // bores of the seats
  double curtain_area = 0;  // at full lift
  double flow_area = 0;     // greatest effective area, forward
  double port_area = 0;     // port at the valve; 0 = there is none in the case
};

struct EngineFigures {
  double cylinder_volume = 0;  // m3 swept by one
  double displacement = 0;     // m3, all
  ValveFigures exhaust, intake;
  double overlap_deg = 0;  // at the seat; negative: none
  std::optional<double> checked_overlap_deg;
  double lobe_separation_deg = 0;  // deg of camshaft
  double compression_ratio = 0;
  double closing_ratio = 0;      // volume at intake closing (lash taken off) over clearance volume
  double mean_piston_speed = 0;  // m/s, at the highest speed
};

// The case must come from the reader and have an engine.
EngineFigures engine_figures(const CaseFile& case_file);

}  // namespace pulsewright::cases
