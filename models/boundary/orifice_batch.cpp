#include "models/boundary/orifice_batch.hpp"

namespace pulsewright::models {

void OrificeBatch::add(std::size_t number, const solver::Primitive<double>& end, double inward,
                       const Reservoir<double>& reservoir, double phi_into_pipe,
                       double phi_out_of_pipe, bool at_static_pressure) {
  const std::size_t i = count_++;
  if (count_ > number_.size()) {
    // The padding beyond the last orifice is computed too and must hold a valid state.
    for (auto& column : column_) column.resize(column.size() + solver::widest_lanes, 1.0);
    number_.resize(number_.size() + solver::widest_lanes);
    flux_.resize(number_.size());
    at_static_pressure_.resize(number_.size());
  }
  if (number >= history_.size()) history_.resize(number + 1);
  number_[i] = number;
  at_static_pressure_[i] = at_static_pressure;
  history_[number].place = i;
  data(Column::rho)[i] = end.rho;
  data(Column::v)[i] = inward * end.u;
  data(Column::p)[i] = end.p;
  data(Column::burnt)[i] = end.Y;
  data(Column::reservoir_p)[i] = reservoir.p;
  data(Column::reservoir_h)[i] = reservoir.h_total;
  data(Column::reservoir_burnt)[i] = reservoir.Y;
  data(Column::reservoir_impedance)[i] = reservoir.impedance;
  data(Column::phi_into_pipe)[i] = phi_into_pipe;
  data(Column::phi_out_of_pipe)[i] = phi_out_of_pipe;
}

void OrificeBatch::forget(std::size_t number, std::size_t count) {
  for (std::size_t i = number; i < number + count && i < history_.size(); ++i) history_[i] = {};
}

void OrificeBatch::solve(const solver::Gas& gas) {
  OrificeTable table;
  for (std::size_t c = 0; c < orifice_columns; ++c) table.column[c] = column_[c].data();
  const OrificeKernelTable& kernels = orifice_kernels.in_use();
  kernels.evaluate_characteristics(table, count_, gas);
  for (Group& group : groups_) {
    group.constant_pressure.clear();
    group.impedance.clear();
  }
  for (std::size_t i = 0; i < count_; ++i) {
    const bool leaves = data(Column::wall)[i] > data(Column::reservoir_p)[i];
    const double phi = data(leaves ? Column::phi_out_of_pipe : Column::phi_into_pipe)[i];
    const Kind kind = !(phi > 0) ? Kind::shut
                      : !leaves  ? at_static_pressure_[i] ? Kind::enters_statically : Kind::enters
                      : phi < 1  ? Kind::leaves
                                 : Kind::leaves_freely;
    History& history = history_[number_[i]];
    if (kind != history.kind) history.last = history.before = 0;
    history.kind = kind;
    data(Column::guess)[i] =
        history.before > 0 ? 2.0 * history.last - history.before : history.last;
    history.before = history.last;
    if (kind == Kind::shut) {
      flux_[i] = flow_at_wall(data(Column::wall)[i]);
    } else {
      Group& group = groups_[static_cast<std::size_t>(kind)];
      (data(Column::reservoir_impedance)[i] > 0 ? group.impedance : group.constant_pressure)
          .push_back(i);
    }
  }
  const auto solve_kind = [&](Kind kind, auto kernel) {
    const Group& group = groups_[static_cast<std::size_t>(kind)];
    for (const auto* numbers : {&group.constant_pressure, &group.impedance}) {
      kernel(table, numbers->data(), numbers->size(), gas, flux_.data());
    }
  };
  solve_kind(Kind::enters, kernels.into_pipe);
  solve_kind(Kind::enters_statically, kernels.into_pipe_at_static_pressure);
  solve_kind(Kind::leaves, kernels.out_of_pipe);
  solve_kind(Kind::leaves_freely, kernels.out_of_pipe);
  for (std::size_t i = 0; i < count_; ++i) {
    History& history = history_[number_[i]];
    if (history.kind != Kind::shut) history.last = flux_[i].p;
  }
}

}  // namespace pulsewright::models
