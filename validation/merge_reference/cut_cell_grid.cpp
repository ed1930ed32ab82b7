#include "validation/merge_reference/cut_cell_grid.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>

#include "validation/merge_reference/cut_cubes.hpp"

namespace pulsewright::validation {

namespace {

std::array<float, 3> as_float(const Vector3& x) {
  return {static_cast<float>(x[0]), static_cast<float>(x[1]), static_cast<float>(x[2])};
}

// The face in + direction of an axis between the cells of two cubes.
CutFace face_between(const CutCellGrid& grid, const Cube& cube, std::size_t axis,
                     std::int32_t lower, std::int32_t upper) {
  const Vector3& from = grid.centroid[static_cast<std::size_t>(lower)];
  const Vector3& to = grid.centroid[static_cast<std::size_t>(upper)];
  Vector3 way{};
  Vector3 to_face{};
  for (std::size_t a = 0; a < 3; ++a) {
    way[a] = to[a] - from[a];
    to_face[a] = cube.face_centre[axis][a] - from[a];
  }
  const double share = std::clamp(dot(way, to_face) / dot(way, way), 0.1, 0.9);
  return {lower,
          upper,
          static_cast<std::int32_t>(axis),
          static_cast<float>(cube.open[axis] * grid.h * grid.h),
          as_float(way),
          static_cast<float>(share)};
}

// The face of a cube in the plane of symmetry.
CutFace face_of_mirror(const std::vector<RoundTube>& region, const Lattice& lattice,
                       const CutCellGrid& grid, const Cube& cube, std::int32_t cell) {
  Vector3 middle = lattice.centre(cube.at);
  middle[1] = 0;
  const double open = cube.cut ? open_share(region, grid.h, 1, middle) : 1;
  const double y = grid.centroid[static_cast<std::size_t>(cell)][1];
  return {CutFace::mirror,         cell, 1, static_cast<float>(open * grid.h * grid.h),
          as_float({0, 2 * y, 0}), 0.5F};
}

// Volumes and centroids of the cells.
void sum_cells(const std::vector<Cube>& cubes, const std::vector<std::int32_t>& cell_of,
               CutCellGrid& grid) {
  for (std::size_t i = 0; i < cubes.size(); ++i) {
    const auto c = static_cast<std::size_t>(cell_of[i]);
    grid.volume[c] += cubes[i].share;
    for (std::size_t a = 0; a < 3; ++a) {
      grid.centroid[c][a] += cubes[i].share * cubes[i].centroid[a];
    }
  }
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    for (double& x : grid.centroid[c]) x /= grid.volume[c];
    grid.volume[c] *= grid.h * grid.h * grid.h;
  }
}

// The walls that close the surfaces of the cells, and how far they are from the centroids.
void add_walls(const std::vector<RoundTube>& region, CutCellGrid& grid) {
  std::vector<Vector3> open(grid.cells());  // sum of the outward areas of the faces
  for (const CutFace& face : grid.faces) {
    const auto a = static_cast<std::size_t>(face.axis);
    open[static_cast<std::size_t>(face.upper)][a] -= face.area;
    if (face.lower != CutFace::mirror) open[static_cast<std::size_t>(face.lower)][a] += face.area;
  }
  grid.wall.assign(grid.cells(), -1);
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const double area = std::sqrt(dot(open[c], open[c]));
    if (area < 1e-6 * grid.h * grid.h) continue;  // rounding of areas kept as float
    const double distance = std::clamp(-signed_distance(region, grid.centroid[c]), 0.0, grid.h);
    CellWall wall{static_cast<std::int32_t>(c), {}, {}};
    for (std::size_t a = 0; a < 3; ++a) {
      wall.area[a] = -open[c][a];
      wall.way[a] = static_cast<float>(distance * wall.area[a] / area);
    }
    grid.wall[c] = static_cast<std::int32_t>(grid.walls.size());
    grid.walls.push_back(wall);
  }
}

// The inverse of the symmetric matrix xx, xy, xz, yy, yz, zz. Where the neighbours of a cell hardly
// span the space, the matrix is strengthened, which flattens the gradient there.
std::array<double, 6> inverse(std::array<double, 6> m) {
  const auto determinant = [&m] {
    return m[0] * (m[3] * m[5] - m[4] * m[4]) - m[1] * (m[1] * m[5] - m[4] * m[2]) +
           m[2] * (m[1] * m[4] - m[3] * m[2]);
  };
  const double mean = (m[0] + m[3] + m[5]) / 3;
  double d = determinant();
  if (d < 0.02 * mean * mean * mean) {
    for (const std::size_t i : {0U, 3U, 5U}) m[i] += 0.05 * mean;
    d = determinant();
  }
  return {(m[3] * m[5] - m[4] * m[4]) / d, (m[4] * m[2] - m[1] * m[5]) / d,
          (m[1] * m[4] - m[3] * m[2]) / d, (m[0] * m[5] - m[2] * m[2]) / d,
          (m[1] * m[2] - m[0] * m[4]) / d, (m[0] * m[3] - m[1] * m[1]) / d};
}

// Lists the faces of each cell with their weights in the gradient: grad q = sum w (q_other - q).
void add_gradients(CutCellGrid& grid) {
  grid.first_face.assign(grid.cells() + 1, 0);
  for (const CutFace& face : grid.faces) {
    ++grid.first_face[static_cast<std::size_t>(face.upper) + 1];
    if (face.lower != CutFace::mirror) ++grid.first_face[static_cast<std::size_t>(face.lower) + 1];
  }
  std::partial_sum(grid.first_face.begin(), grid.first_face.end(), grid.first_face.begin());
  grid.cell_faces.resize(grid.first_face.back());
  std::vector<std::size_t> next(grid.first_face.begin(), grid.first_face.end() - 1);
  for (std::size_t f = 0; f < grid.faces.size(); ++f) {
    const CutFace& face = grid.faces[f];
    const auto number = static_cast<std::int32_t>(f);
    grid.cell_faces[next[static_cast<std::size_t>(face.upper)]++] = {number, true, {}};
    if (face.lower == CutFace::mirror) continue;
    grid.cell_faces[next[static_cast<std::size_t>(face.lower)]++] = {number, false, {}};
  }
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    std::array<double, 6> m{};
    const auto way_of = [&](const CellFace& of) {
      const std::array<float, 3>& way = grid.faces[static_cast<std::size_t>(of.face)].way;
      const double sign = of.is_upper ? -1 : 1;
      return Vector3{sign * way[0], sign * way[1], sign * way[2]};
    };
    for (std::size_t i = grid.first_face[c]; i < grid.first_face[c + 1]; ++i) {
      const Vector3 d = way_of(grid.cell_faces[i]);
      const double w = 1 / dot(d, d);
      const std::array<double, 6> add{d[0] * d[0], d[0] * d[1], d[0] * d[2],
                                      d[1] * d[1], d[1] * d[2], d[2] * d[2]};
      for (std::size_t k = 0; k < 6; ++k) m[k] += w * add[k];
    }
    const std::array<double, 6> n = inverse(m);
    for (std::size_t i = grid.first_face[c]; i < grid.first_face[c + 1]; ++i) {
      const Vector3 d = way_of(grid.cell_faces[i]);
      const double w = 1 / dot(d, d);
      grid.cell_faces[i].gradient_weight =
          as_float({w * (n[0] * d[0] + n[1] * d[1] + n[2] * d[2]),
                    w * (n[1] * d[0] + n[3] * d[1] + n[4] * d[2]),
                    w * (n[2] * d[0] + n[4] * d[1] + n[5] * d[2])});
    }
  }
}

}  // namespace

double CutCellGrid::total_volume() const {
  return 2 * std::accumulate(volume.begin(), volume.end(), 0.0);
}

CutCellGrid make_cut_cell_grid(const std::vector<RoundTube>& region, double h, unsigned threads) {
  if (!(h > 0)) throw std::invalid_argument("the edge of a cube must be positive");
  if (region.empty()) throw std::invalid_argument("a region without tubes has no grid");
  const Lattice lattice(half_box(region), h);
  const std::vector<Cube> cubes = find_cubes(region, lattice, threads);
  if (cubes.empty()) throw std::invalid_argument("no cube is inside the region");
  const std::vector<std::int32_t> cell_of = merge_small_cubes(cubes);
  const auto cells =
      static_cast<std::size_t>(*std::max_element(cell_of.begin(), cell_of.end())) + 1;

  CutCellGrid grid;
  grid.h = h;
  grid.volume.resize(cells);
  grid.centroid.resize(cells);
  sum_cells(cubes, cell_of, grid);
  for (std::size_t i = 0; i < cubes.size(); ++i) {
    for (std::size_t a = 0; a < 3; ++a) {
      if (cubes[i].up[a] < 0) continue;
      const std::int32_t other = cell_of[static_cast<std::size_t>(cubes[i].up[a])];
      if (other != cell_of[i]) {
        grid.faces.push_back(face_between(grid, cubes[i], a, cell_of[i], other));
      }
    }
    if (lattice.place(cubes[i].at)[1] != 0) continue;
    const CutFace face = face_of_mirror(region, lattice, grid, cubes[i], cell_of[i]);
    if (face.area > least_open_share * h * h) grid.faces.push_back(face);
  }
  add_walls(region, grid);
  add_gradients(grid);
  return grid;
}

}  // namespace pulsewright::validation
