// What stands behind the collectors, as pipes and junctions: catalysts, chambers, resonators and
// back pressures. Lengths and areas follow from the part; all are one-dimensional, for waves whose
// length is more than 1.7 times the widest diameter (first mode round the axis of a tube).
//
// Joints. Pipes meet in junctions of the momentum law, whatever law the merges have, of the volume
//   that a merge of the narrower one has: a step that widens has the loss of Borda-Carnot, one that
//   narrows that of a sharp edge. Not modelled: the larger loss of a tube that reaches into its
//   chamber.
// Chamber. A wide pipe between two steps; where a tube reaches into it, the space round the tube is
//   a closed pipe beside it, tuned to a quarter wave (Munjal (1987), chapter 2). No heat passes
//   to the wall of such a space, in which the gas stands. Not modelled: the inertia of the cross
//   flow at a step, which acts as 0.85 radii of the narrow tube at most, sound through the walls. A
//   muffler whose flow turns back between its chambers is the row of its chambers and tubes.
// Catalyst. Two cones and a brick: one pipe of the open area of the channels with their hydraulic
//   diameter, laminar friction f Re = 56.91 in square and 64 in round channels, and the loss
//   of 1.43 or 1.25 heads that the profile of the velocity costs to develop (Shah & London (1978),
//   chapters V and VII, details from memory). Valid up to Re 2000 in the channels; beyond 2300 they
//   are taken as smooth and turbulent. Assumed: the brick is as warm as the gas at every instant
//   and no heat passes. Not modelled: that it evens out the temperature of the pulses, heat of
//   reaction, uneven flow behind the cone.
// Straight-through muffler. The core and the space between it and the shell are two rows of pipes,
//   coupled through the holes at both ends and every 80 mm or so between (models/boundary/
//   perforate.hpp). A difference of pressure between core and space falls by e over
//   sqrt(l / (s (1/A1 + 1/A2))), l the effective length of a hole, s the area of the holes per
//   length, A1 and A2 of core and space: the places at the ends stand for that much of the wall, so
//   that they have the inertia of all holes. Valid to the frequency whose wavelength is six times
//   80 mm, 1200 Hz in exhaust gas. Packing is not modelled: it takes sound above some 300 to 500 Hz
//   that this muffler lets pass, and makes the gas in the space nearly isothermal; its effect on
//   torque, below 300 Hz, is small (common practice, no source).
// Quarter wave, Helmholtz. A closed tube, or a neck and a vessel of one state, at right angles to
//   the tube that is passed. Branch and neck are longer than they are by the end correction towards
//   the tube, a (0.8216 - 0.0644 x - 0.694 x2) for x = a / R up to 0.4 and a (0.9326 - 0.6196 x)
//   beyond, a and R the radii of branch and tube (Ji (2005)); the neck at its vessel by that of a
//   flange, 8 a / (3 pi) (Munjal (1987), chapter 2). Without flow: grazing flow detunes and damps a
//   resonator, which is not modelled.
// Back pressure. A loss coefficient K on rho u2 / 2 spread over a smooth pipe, such that the flow
//   that was measured, at its temperature and with the air outside behind the pipe, comes out:
//     K = (p1^2 - p2^2) A^2 / (R T m^2) - 2 ln(p1 / p2)
//   (momentum of steady isothermal flow; Shapiro (1953), chapter 6). The same K at any flow;
//   nothing else of what was measured - volumes, reflections - is modelled.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cases/network_builder.hpp"

namespace pulsewright::cases {

// The channels of a catalyst.
struct Brick {
  double channel_diameter = 0;  // m, hydraulic
  double open_share = 0;        // of the face
  double laminar_friction = 0;  // Darcy factor times Re
  double entrance_loss = 0;     // on rho u^2 / 2 in the channels, where the profile develops
};
Brick brick_of(const TailPart& part);

// Loss coefficient of a back-pressure part in a pipe of that area, m2; ambient: Pa behind it. At
// least 0.
double back_pressure_loss(const TailPart& part, double area, double ambient);
// Its length where the part gives none, m.
inline constexpr double usual_loss_length = 0.2;

// End correction of a branch of radius a on a tube of radius R, m.
double branch_correction(double branch_radius, double tube_radius);
// Length of the branch or neck of a resonator with its end corrections, on a tube of that bore, m.
double resonator_length(const TailPart& part, double bore);

// The places at which the wall of a perforated core is lumped: one at either end and one between
// every two of its segments, some 80 mm long.
struct PerforatePlaces {
  int segments = 0;
  double hole_length = 0;               // m, thickness and 0.75 diameters
  double end_area = 0, inner_area = 0;  // m2, holes that a place stands for
};
inline constexpr double perforate_pitch = 0.08;  // m
PerforatePlaces perforate_places(const TailPart& part, double bore);

// Whether the part stands beside the tube that is passed.
bool is_beside(PartKind kind);
// Bore of the tube behind the part, m, behind one of that bore.
double bore_behind(const TailPart& part, double bore);

// An open end and the parts that stand behind it.
struct TailChain {
  std::size_t open_end = 0;        // of the network
  double bore = 0;                 // m, of its pipe there
  std::vector<std::size_t> parts;  // of the header, in the order of the gas
  std::string place;               // what tells its pipes from those of other ends; may be empty
};
// engine: the network of the header without parts and intake. Ends without parts are left out.
std::vector<TailChain> tail_chains(const models::EngineSpecification& engine,
                                   const HeaderDesign& header);

// Puts the parts of the header behind the open ends of its exhaust; before the intake is added.
// Their pipes are called "part N KIND", with the place and what each is.
void add_parts(NetworkBuilder& builder, const HeaderDesign& header);

// Where a pipe stands in the part that it belongs to, by its name: "part 2 chamber left inlet" is
// of part 2, called "part 2 chamber left" as a whole. main: whether the gas runs through it on its
// way out, and not past it. None for a pipe of no part.
struct PlaceInPart {
  std::size_t part = 0;  // index into HeaderDesign::parts
  std::string whole;
  bool main = true;
};
std::optional<PlaceInPart> place_in_part(const std::string& pipe);

}  // namespace pulsewright::cases
