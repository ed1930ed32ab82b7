#include "validation/merge_reference/euler_3d.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "validation/merge_reference/hllc_3.hpp"
#include "validation/merge_reference/threads.hpp"

namespace pulsewright::validation {

namespace {

constexpr double courant = 0.7;

// Harmonic mean of slopes of one sign, else 0: van Leer's limiter.
double limited(double l, double r) { return l * r > 0 ? 2 * l * r / (l + r) : 0.0; }

double kinetic(const State3& q) { return 0.5 * q[0] * (q[1] * q[1] + q[2] * q[2] + q[3] * q[3]); }

double energy_of(const State3& q, double gamma) { return q[4] / (gamma - 1) + kinetic(q); }

bool is_close(const Conserved3& a, const Conserved3& b, double speed) {
  constexpr double negligible = 1e-12;
  for (std::size_t v = 0; v < 5; ++v) {
    const double scale = v == 0 ? b[0] : v == 4 ? b[4] : b[0] * speed;
    if (!(std::abs(a[v] - b[v]) <= negligible * scale)) return false;
  }
  return true;
}

}  // namespace

Euler3::Euler3(const CutCellGrid& grid, double gamma, double p_rest, unsigned threads,
               Reconstruction reconstruction, const std::function<State3(const Vector3&)>& initial)
    : grid_(grid),
      gamma_(gamma),
      p_rest_(p_rest),
      threads_(threads),
      reconstruction_(reconstruction),
      state_(grid.cells()),
      conserved_(grid.cells()),
      predicted_(grid.cells()),
      residual_(grid.cells()),
      flux_(grid.faces.size()),
      gradient_(grid.cells()),
      rate_(grid.cells()),
      has_changed_(grid.cells()),
      is_computed_(grid.cells(), 1) {
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const State3 q = state_[c] = initial(grid.centroid[c]);
    conserved_[c] = {q[0], q[0] * q[1], q[0] * q[2], q[0] * q[3], energy_of(q, gamma_)};
    cells_.push_back(c);
  }
  initial_ = predicted_ = conserved_;
  for (std::size_t f = 0; f < grid.faces.size(); ++f) faces_.push_back(f);
  // Gradients and rates of all; what is at rest keeps them.
  find_gradients();
  find_fluxes();
  find_residuals();
  std::fill(is_computed_.begin(), is_computed_.end(), char{0});
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const State3& q = state_[c];
    const bool is_at_rest = q[4] == p_rest_ && q[1] == 0 && q[2] == 0 && q[3] == 0;
    if (!is_at_rest) compute_around(c);
  }
  list_computed();
}

void Euler3::compute_around(std::size_t cell) {
  const auto each_neighbour = [this](std::size_t c, const auto& f) {
    for (std::size_t i = grid_.first_face[c]; i < grid_.first_face[c + 1]; ++i) {
      const CutFace& face = grid_.faces[static_cast<std::size_t>(grid_.cell_faces[i].face)];
      const std::int32_t other = grid_.cell_faces[i].is_upper ? face.lower : face.upper;
      if (other != CutFace::mirror) f(static_cast<std::size_t>(other));
    }
  };
  const auto compute = [this](std::size_t c) { is_computed_[c] = 1; };
  has_changed_[cell] = 1;
  compute(cell);
  each_neighbour(cell, [&](std::size_t beside) {
    compute(beside);
    each_neighbour(beside, compute);
  });
}

void Euler3::widen(const std::vector<Conserved3>& now) {
  bool is_wider = false;
  for (std::size_t c = 0; c < grid_.cells(); ++c) {
    if (has_changed_[c] || !is_computed_[c]) continue;
    if (is_close(now[c], initial_[c], std::sqrt(gamma_ * p_rest_ / initial_[c][0]))) continue;
    compute_around(c);
    is_wider = true;
  }
  if (is_wider) list_computed();
}

void Euler3::list_computed() {
  cells_.clear();
  faces_.clear();
  for (std::size_t c = 0; c < grid_.cells(); ++c) {
    if (is_computed_[c]) cells_.push_back(c);
  }
  for (std::size_t f = 0; f < grid_.faces.size(); ++f) {
    const CutFace& face = grid_.faces[f];
    if (is_computed_[static_cast<std::size_t>(face.upper)] ||
        (face.lower != CutFace::mirror && is_computed_[static_cast<std::size_t>(face.lower)])) {
      faces_.push_back(f);
    }
  }
}

void Euler3::find_gradients() {
  if (reconstruction_ == Reconstruction::none) return;  // they stay zero
  parallel_for(cells_.size(), threads_, [this](std::size_t begin, std::size_t end) {
    for (std::size_t k = begin; k < end; ++k) {
      const std::size_t c = cells_[k];
      const State3& q = state_[c];
      Gradient sum{};
      for (std::size_t i = grid_.first_face[c]; i < grid_.first_face[c + 1]; ++i) {
        const CellFace& of = grid_.cell_faces[i];
        const CutFace& face = grid_.faces[static_cast<std::size_t>(of.face)];
        const std::int32_t other = of.is_upper ? face.lower : face.upper;
        State3 there = q;
        if (other == CutFace::mirror) {
          there[2] = -q[2];
        } else {
          there = state_[static_cast<std::size_t>(other)];
        }
        for (std::size_t v = 0; v < 5; ++v) {
          const auto difference = static_cast<float>(there[v] - q[v]);
          for (std::size_t a = 0; a < 3; ++a) sum[v][a] += of.gradient_weight[a] * difference;
        }
      }
      gradient_[c] = sum;
    }
  });
}

void Euler3::find_face_states(std::size_t f, State3& l, State3& r) const {
  const CutFace& face = grid_.faces[f];
  const auto upper = static_cast<std::size_t>(face.upper);
  r = state_[upper];
  if (face.lower == CutFace::mirror) {
    r[2] -= 0.5 * static_cast<double>(gradient_[upper][2][1] * face.way[1]);
    l = r;
    l[2] = -r[2];
    return;
  }
  const auto lower = static_cast<std::size_t>(face.lower);
  l = state_[lower];
  for (std::size_t v = 0; v < 5; ++v) {
    const auto along = [&](const std::array<float, 3>& g) {
      return static_cast<double>(g[0] * face.way[0] + g[1] * face.way[1] + g[2] * face.way[2]);
    };
    const double D = r[v] - l[v];
    const double before = limited(D, 2 * along(gradient_[lower][v]) - D);
    const double behind = limited(D, 2 * along(gradient_[upper][v]) - D);
    l[v] += static_cast<double>(face.share) * before;
    r[v] -= (1 - static_cast<double>(face.share)) * behind;
  }
}

void Euler3::find_fluxes() {
  using Pack = solver::Pack;
  constexpr std::size_t lanes = solver::lanes<Pack>;
  parallel_for(faces_.size(), threads_, [this](std::size_t begin, std::size_t end) {
    for (std::size_t first = begin; first < end; first += lanes) {
      // Faces past the end are computed as the last one, and not kept.
      AtFace<Pack> left, right;
      for (std::size_t k = 0; k < lanes; ++k) {
        const std::size_t f = faces_[std::min(first + k, end - 1)];
        State3 l, r;
        find_face_states(f, l, r);
        const auto axis = static_cast<std::size_t>(grid_.faces[f].axis);
        const AtFace<double> before = across_face(l, axis);
        const AtFace<double> behind = across_face(r, axis);
        for (std::size_t i = 0; i < before.size(); ++i) {
          left[i][k] = before[i];
          right[i][k] = behind[i];
        }
      }
      const AtFace<Pack> f = flux_hllc(left, right, gamma_, p_rest_);
      for (std::size_t k = 0; k < lanes && first + k < end; ++k) {
        const std::size_t face = faces_[first + k];
        const auto axis = static_cast<std::size_t>(grid_.faces[face].axis);
        flux_[face] = in_space({f[0][k], f[1][k], f[2][k], f[3][k], f[4][k]}, axis);
      }
    }
  });
}

Conserved3 Euler3::flux_at_wall(std::size_t cell, double& speed) const {
  const CellWall& wall = grid_.walls[static_cast<std::size_t>(grid_.wall[cell])];
  const State3& q = state_[cell];
  const double c = std::sqrt(gamma_ * q[4] / q[0]);
  const double area = std::sqrt(dot(wall.area, wall.area));
  State3 at_wall = q;
  for (std::size_t v = 1; v < 5; ++v) {
    const std::array<float, 3>& g = gradient_[cell][v];
    at_wall[v] += static_cast<double>(g[0] * wall.way[0] + g[1] * wall.way[1] + g[2] * wall.way[2]);
  }
  // The extrapolation is not limited otherwise; shocks and edges need these bounds.
  const double p = std::clamp(at_wall[4], 0.8 * q[4], 1.25 * q[4]);
  const double u_n = dot({at_wall[1], at_wall[2], at_wall[3]}, wall.area) / area;
  const double p_wall = std::max(p + q[0] * c * u_n, 0.3 * p);
  speed += area * c;
  const double push = p_wall - p_rest_;
  return {0, push * wall.area[0], push * wall.area[1], push * wall.area[2], 0};
}

double Euler3::find_residuals() {
  parallel_for(cells_.size(), threads_, [this](std::size_t begin, std::size_t end) {
    for (std::size_t k = begin; k < end; ++k) {
      const std::size_t c = cells_[k];
      const State3& q = state_[c];
      const double sound = std::sqrt(gamma_ * q[4] / q[0]);
      Conserved3 sum{};
      double speed = 0;  // m3/s, of waves through the surface of the cell
      for (std::size_t i = grid_.first_face[c]; i < grid_.first_face[c + 1]; ++i) {
        const CellFace& of = grid_.cell_faces[i];
        const CutFace& face = grid_.faces[static_cast<std::size_t>(of.face)];
        const double area = face.area;
        const double sign = of.is_upper ? area : -area;
        for (std::size_t v = 0; v < 5; ++v) {
          sum[v] += sign * flux_[static_cast<std::size_t>(of.face)][v];
        }
        speed += area * (std::abs(q[1 + static_cast<std::size_t>(face.axis)]) + sound);
      }
      if (grid_.wall[c] >= 0) {
        const Conserved3 f = flux_at_wall(c, speed);
        for (std::size_t v = 0; v < 5; ++v) sum[v] -= f[v];
      }
      for (std::size_t v = 0; v < 5; ++v) residual_[c][v] = sum[v] / grid_.volume[c];
      rate_[c] = q[0] > 0 && q[4] > 0 ? 0.5 * speed / grid_.volume[c]
                                      : std::numeric_limits<double>::infinity();
    }
  });
  const double least = 1 / *std::max_element(rate_.begin(), rate_.end());
  if (!(least > 0)) throw std::runtime_error("density or pressure of a cell is not positive");
  return least;
}

void Euler3::set_states(const std::vector<Conserved3>& from) {
  parallel_for(cells_.size(), threads_, [&](std::size_t begin, std::size_t end) {
    for (std::size_t k = begin; k < end; ++k) {
      const std::size_t c = cells_[k];
      const Conserved3& U = from[c];
      State3& q = state_[c];
      q = {U[0], U[1] / U[0], U[2] / U[0], U[3] / U[0], 0};
      q[4] = (gamma_ - 1) * (U[4] - kinetic(q));
    }
  });
}

double Euler3::step(double dt_most) {
  find_gradients();
  find_fluxes();
  double dt = courant * find_residuals();
  if (dt >= dt_most) {
    dt = dt_most;
  } else if (2 * dt > dt_most) {
    dt = 0.5 * dt_most;
  }
  const auto update = [&](auto&& cell) {
    parallel_for(cells_.size(), threads_, [&](std::size_t begin, std::size_t end) {
      for (std::size_t k = begin; k < end; ++k) {
        for (std::size_t v = 0; v < 5; ++v) cell(cells_[k], v);
      }
    });
  };
  update([&](std::size_t c, std::size_t v) {
    predicted_[c][v] = conserved_[c][v] + dt * residual_[c][v];
  });
  set_states(predicted_);
  widen(predicted_);
  find_gradients();
  find_fluxes();
  find_residuals();
  update([&](std::size_t c, std::size_t v) {
    conserved_[c][v] = 0.5 * (conserved_[c][v] + predicted_[c][v] + dt * residual_[c][v]);
  });
  set_states(conserved_);
  widen(conserved_);
  return dt;
}

double Euler3::total_mass() const {
  double sum = 0;
  for (std::size_t c = 0; c < grid_.cells(); ++c) sum += grid_.volume[c] * conserved_[c][0];
  return sum;
}

double Euler3::total_energy() const {
  double sum = 0;
  for (std::size_t c = 0; c < grid_.cells(); ++c) sum += grid_.volume[c] * conserved_[c][4];
  return sum;
}

}  // namespace pulsewright::validation
