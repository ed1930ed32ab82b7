// Many openings at once: the flows of flow_through_opening() (opening.hpp), a pack of them at a
// time.
//
// An engine has some thirty openings per step, and each is a root to be found. They are sorted by
// what they do - shut, gas enters the pipe, gas leaves it, through the full area or not - and each
// kind is computed in packs. An opening's answer does not depend on those it shares a pack with.
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "models/opening.hpp"

namespace pulsewright::models {

class OpeningBatch {
 public:
  // Takes out all openings. Those added next are taken for the same ones a step later, in the same
  // order: the search for their pressures starts from where these were going.
  void clear() { count_ = 0; }
  std::size_t size() const { return count_; }

  // Adds the opening between the pipe state `end` and a reservoir; inward, phi_in and phi_out as
  // for flow_through_opening(). Returns its number.
  std::size_t add(const solver::Primitive<double>& end, double inward,
                  const Reservoir<double>& reservoir, double phi_in, double phi_out);

  std::size_t add(const solver::EndWave<double>& wave, const Reservoir<double>& reservoir,
                  double phi_in, double phi_out) {
    return add({wave.rho, wave.v, wave.p, wave.Y}, 1.0, reservoir, phi_in, phi_out);
  }

  void solve(const solver::Gas& gas);

  // After solve(). In the order of add().
  const EndFlux<double>& flux(std::size_t i) const { return flux_[i]; }

 private:
  enum class Column : std::size_t {
    // given
    rho,
    v,
    p,
    burnt,
    reservoir_p,
    reservoir_h,
    reservoir_burnt,
    reservoir_impedance,
    phi_in,
    phi_out,
    // found
    gamma,
    wall,
    last,    // pressure at the end in the last solve(), 0 = the opening did something else
    before,  // and in the one before
    guess,
    count
  };
  static constexpr std::size_t columns = static_cast<std::size_t>(Column::count);
  double* data(Column c) { return column_[static_cast<std::size_t>(c)].data(); }

  enum class Kind : unsigned char { shut, enters, leaves, leaves_freely };

  void look_at_waves(const solver::Gas& gas);
  template <class Flow>
  void for_packs_of(Kind kind, const Flow& flow);

  std::size_t count_ = 0;
  std::array<std::vector<double>, columns> column_;  // padded to whole packs
  std::vector<EndFlux<double>> flux_;
  std::vector<Kind> kind_;                          // of the last solve()
  std::array<std::vector<std::size_t>, 4> groups_;  // by kind, work space
};

}  // namespace pulsewright::models
