// A perforated wall between two pipes, lumped in one place: the core of a straight-through muffler
// and the space round it.
//
// Two junctions of the momentum law, of the two ends of the core and of the two ends of the space,
// exchange the mass flow m through the holes,
//   l / S dm/dt = p_core - p_space - R m / S - K m |m| / (2 rho S^2)
//   l = t + 0.75 d    S: area of the holes, t: thickness of the wall, d: diameter of a hole
//   R = 7.337e-3 (1 + 72.23 M) c    M: Mach number of the core
// with the enthalpy and composition of the side it comes from. What leaves the core takes its
// momentum with it, what comes into it has none along the axis.
// Sources: the wall divided into places of one state each, Sullivan, J. Acoust. Soc. Am. 66 (1979)
// 772; l: Sullivan & Crocker, J. Acoust. Soc. Am. 64 (1978) 207; R: Rao & Munjal, J. Sound Vib. 108
// (1986) 283, per area of the holes; K = 1.8, what a jet through a hole that contracts it to 0.75
// loses. Constants from memory.
//
// Valid while the distance between two such places is less than a sixth of the wavelength, and the
// holes are no more than half of the wall. Not modelled: packing in the space (its absorption is
// nearly all of what such a muffler takes above some 500 Hz, see tail_parts.hpp), whistling.
//
// Time: m is solved implicitly with the admittance of the pipes, which answer to it, and holds for
// the step. Mass and energy are kept exactly.
#pragma once

#include <vector>

#include "models/boundary/junction.hpp"

namespace pulsewright::models {

class Perforate {
 public:
  static constexpr bool reads_cell = false;
  static constexpr bool is_outlet = false;
  static constexpr bool has_state = true;

  // Throws std::invalid_argument.
  Perforate(const PerforateSpecification& spec, const BoundarySetup& setup);

  void begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends);
  bool request(OrificeBatch& orifices, std::size_t first);
  void apply(const OrificeBatch& orifices, std::size_t first);
  const EndFlux<double>& flux(std::size_t k) const {
    return k < core_.ends().size() ? core_.flux(k) : space_.flux(k - core_.ends().size());
  }
  std::span<const PipeEnd> ends() const { return ends_; }
  std::size_t orifices() const { return core_.orifices() + space_.orifices(); }
  Content content() const;
  void start_from(const Perforate& other);

  double mass_flow() const { return flow_; }  // kg/s from the core into the space

 private:
  void renew_flow(const BoundaryStep& step, std::span<const PipeEndState> ends);

  PerforateSpecification spec_;
  Junction core_, space_;
  std::vector<PipeEnd> ends_;  // of the core, then of the space
  double flow_ = 0;
  bool core_requested_ = false, space_requested_ = false;
};
static_assert(Boundary<Perforate>);

}  // namespace pulsewright::models
