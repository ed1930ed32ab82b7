#include "models/boundary/orifice_batch.hpp"

#include "solver/pipe/kernel_tables.hpp"

namespace pulsewright::models {

namespace {

const OrificeKernelTable& fastest_kernels() {
  static const bool wide = solver::avx512_available() && avx512_orifices.enter != nullptr;
  static constexpr OrificeKernelTable table = OrificeKernels<solver::Pack>::table();
  return wide ? avx512_orifices : table;
}

}  // namespace

void OrificeBatch::add(std::size_t number, const solver::Primitive<double>& end, double inward,
                       const Reservoir<double>& reservoir, double phi_in, double phi_out) {
  const std::size_t i = count_++;
  if (count_ > number_.size()) {
    // What stands beyond the last opening is computed with it and must be harmless.
    for (auto& column : column_) column.resize(column.size() + widest_pack, 1.0);
    number_.resize(number_.size() + widest_pack);
    flux_.resize(number_.size());
  }
  if (number >= past_.size()) past_.resize(number + 1);
  number_[i] = number;
  past_[number].place = i;
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
}

void OrificeBatch::forget(std::size_t number, std::size_t count) {
  for (std::size_t i = number; i < number + count && i < past_.size(); ++i) past_[i] = {};
}

void OrificeBatch::solve(const solver::Gas& gas) {
  OrificeTable table;
  for (std::size_t c = 0; c < orifice_columns; ++c) table.column[c] = column_[c].data();
  const OrificeKernelTable& kernels = fastest_kernels();
  kernels.evaluate_characteristics(table, count_, gas);
  for (Group& group : groups_) {
    group.firm.clear();
    group.yielding.clear();
  }
  for (std::size_t i = 0; i < count_; ++i) {
    const bool leaves = data(Column::wall)[i] > data(Column::reservoir_p)[i];
    const double phi = data(leaves ? Column::phi_out : Column::phi_in)[i];
    const Kind kind = !(phi > 0) ? Kind::shut
                      : !leaves  ? phi == held_statically ? Kind::enters_statically : Kind::enters
                      : phi < 1  ? Kind::leaves
                                 : Kind::leaves_freely;
    Past& past = past_[number_[i]];
    if (kind != past.kind) past.last = past.before = 0;
    past.kind = kind;
    data(Column::guess)[i] = past.before > 0 ? 2.0 * past.last - past.before : past.last;
    past.before = past.last;
    if (kind == Kind::shut) {
      flux_[i] = flow_at_wall(data(Column::wall)[i]);
    } else {
      Group& group = groups_[static_cast<std::size_t>(kind)];
      (data(Column::reservoir_impedance)[i] > 0 ? group.yielding : group.firm).push_back(i);
    }
  }
  const auto solve_kind = [&](Kind kind, auto kernel) {
    const Group& group = groups_[static_cast<std::size_t>(kind)];
    for (const auto* numbers : {&group.firm, &group.yielding}) {
      kernel(table, numbers->data(), numbers->size(), gas, flux_.data());
    }
  };
  solve_kind(Kind::enters, kernels.enter);
  solve_kind(Kind::enters_statically, kernels.enter_at_static_pressure);
  solve_kind(Kind::leaves, kernels.leave);
  solve_kind(Kind::leaves_freely, kernels.leave);
  for (std::size_t i = 0; i < count_; ++i) {
    Past& past = past_[number_[i]];
    if (past.kind != Kind::shut) past.last = flux_[i].p;
  }
}

}  // namespace pulsewright::models
