#include "models/opening_batch.hpp"

namespace pulsewright::models {

namespace {

using solver::Pack;
constexpr std::size_t width = solver::lanes<Pack>;

}  // namespace

std::size_t OpeningBatch::add(const solver::Primitive<double>& end, double inward,
                              const Reservoir<double>& reservoir, double phi_in, double phi_out) {
  const std::size_t i = count_++;
  if (count_ > column_.front().size()) {
    // What stands beyond the last opening is computed with it and must be harmless.
    for (auto& column : column_) column.resize(column.size() + width, 1.0);
    kind_.resize(kind_.size() + width, Kind::shut);
  }
  data(Column::rho)[i] = end.rho;
  data(Column::v)[i] = inward * end.u;
  data(Column::p)[i] = end.p;
  data(Column::burnt)[i] = end.Y;
  data(Column::reservoir_p)[i] = reservoir.p;
  data(Column::reservoir_h)[i] = reservoir.h_total;
  data(Column::reservoir_burnt)[i] = reservoir.Y;
  data(Column::reservoir_impedance)[i] = reservoir.impedance;
  data(Column::phi_in)[i] = phi_in;
  data(Column::phi_out)[i] = phi_out;
  return i;
}

void OpeningBatch::look_at_waves(const solver::Gas& gas) {
  for (std::size_t i = 0; i < count_; i += width) {
    const auto at = [&](Column c) { return solver::load<Pack>(data(c) + i); };
    const solver::Primitive<Pack> end{at(Column::rho), at(Column::v), at(Column::p),
                                      at(Column::burnt)};
    const solver::EndWave<Pack> wave(gas, end, 1.0);
    solver::store(data(Column::gamma) + i, wave.gamma);
    solver::store(data(Column::wall) + i, wave.wall_pressure());
  }
}

template <class Flow>
void OpeningBatch::for_packs_of(Kind kind, const Flow& flow) {
  const std::vector<std::size_t>& group = groups_[static_cast<std::size_t>(kind)];
  for (std::size_t first = 0; first < group.size(); first += width) {
    const std::size_t n = std::min(width, group.size() - first);
    // A pack that is not full repeats its first opening.
    const auto number = [&](std::size_t k) { return group[first + (k < n ? k : 0)]; };
    const auto at = [&](Column c) { return Pack([&](auto k) { return data(c)[number(k)]; }); };
    const solver::EndWave<Pack> wave(at(Column::rho), at(Column::v), at(Column::p),
                                     at(Column::burnt), at(Column::gamma));
    const Reservoir<Pack> reservoir{at(Column::reservoir_p), at(Column::reservoir_h),
                                    at(Column::reservoir_burnt), at(Column::reservoir_impedance)};
    const EndFlux<Pack> f = flow(wave, reservoir, at(Column::wall), at);
    for (std::size_t k = 0; k < n; ++k) {
      flux_[number(k)] = {f.mass[k], f.momentum[k], f.energy[k], f.burnt[k],
                          f.p[k],    f.v[k],        f.held[k]};
      data(Column::last)[number(k)] = f.p[k];
    }
  }
}

void OpeningBatch::solve(const solver::Gas& gas) {
  look_at_waves(gas);
  flux_.resize(count_);
  for (auto& group : groups_) group.clear();
  for (std::size_t i = 0; i < count_; ++i) {
    const bool leaves = data(Column::wall)[i] > data(Column::reservoir_p)[i];
    const double phi = data(leaves ? Column::phi_out : Column::phi_in)[i];
    const Kind kind = !(phi > 0) ? Kind::shut
                      : !leaves  ? Kind::enters
                      : phi < 1  ? Kind::leaves
                                 : Kind::leaves_freely;
    double& last = data(Column::last)[i];
    double& before = data(Column::before)[i];
    if (kind != kind_[i]) last = before = 0;
    kind_[i] = kind;
    data(Column::guess)[i] = before > 0 ? 2.0 * last - before : last;
    before = last;
    if (kind == Kind::shut) {
      flux_[i] = flow_at_wall(data(Column::wall)[i]);
    } else {
      groups_[static_cast<std::size_t>(kind)].push_back(i);
    }
  }
  for_packs_of(Kind::enters, [&](const solver::EndWave<Pack>& wave, const Reservoir<Pack>& from,
                                 const Pack& p_wall, const auto& at) {
    return flow_entering(gas, wave, Supply<Pack>(gas, from), p_wall, at(Column::phi_in),
                         at(Column::guess));
  });
  for (const Kind kind : {Kind::leaves, Kind::leaves_freely}) {
    for_packs_of(kind, [&](const solver::EndWave<Pack>& wave, const Reservoir<Pack>& into,
                           const Pack& p_wall, const auto& at) {
      return flow_leaving(gas, wave, into, p_wall, at(Column::phi_out), at(Column::guess));
    });
  }
}

}  // namespace pulsewright::models
