#include "validation/merge_reference/cut_cubes.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "validation/merge_reference/threads.hpp"

namespace pulsewright::validation {

namespace {

constexpr double half_diagonal = 0.87;  // of a cube, with a little to spare, in edges
constexpr double least_volume = 0.5;    // of a cube, that a cell may have

// Share of the surroundings of a point that is inside, the signed distance being f; width: about
// that of a subdivision.
double inside_share(double f, double width) { return std::clamp(0.5 - f / width, 0.0, 1.0); }

void measure_cube(const std::vector<RoundTube>& region, const Lattice& lattice, Cube& cube) {
  constexpr int parts = 6;
  const double h = lattice.h();
  const double step = h / parts;
  const Vector3 centre = lattice.centre(cube.at);
  cube.centroid = centre;
  if (!cube.cut) return;
  double sum = 0;
  Vector3 moment{};
  for (int i = 0; i < parts * parts * parts; ++i) {
    const Vector3 x{centre[0] - h / 2 + (i % parts + 0.5) * step,
                    centre[1] - h / 2 + (i / parts % parts + 0.5) * step,
                    centre[2] - h / 2 + (i / parts / parts + 0.5) * step};
    const double f = inside_share(signed_distance(region, x), 1.2 * step);
    sum += f;
    for (std::size_t a = 0; a < 3; ++a) moment[a] += f * x[a];
  }
  cube.share = sum / (parts * parts * parts);
  for (std::size_t a = 0; a < 3 && sum > 0; ++a) cube.centroid[a] = moment[a] / sum;
}

void find_faces(const std::vector<RoundTube>& region, const Lattice& lattice,
                std::vector<Cube>& cubes, unsigned threads) {
  std::vector<std::int32_t> number(static_cast<std::size_t>(lattice.cubes()), -1);
  for (std::size_t i = 0; i < cubes.size(); ++i) {
    number[static_cast<std::size_t>(cubes[i].at)] = static_cast<std::int32_t>(i);
  }
  parallel_for(cubes.size(), threads, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i) {
      Cube& cube = cubes[i];
      for (std::size_t a = 0; a < 3; ++a) {
        const long next = lattice.next(cube.at, a);
        const std::int32_t other = next < 0 ? -1 : number[static_cast<std::size_t>(next)];
        if (other < 0) continue;
        Vector3 middle = lattice.centre(cube.at);
        middle[a] += lattice.h() / 2;
        const bool cut = cube.cut && cubes[static_cast<std::size_t>(other)].cut;
        const double open = cut ? open_share(region, lattice.h(), a, middle) : 1;
        if (open < least_open_share) continue;
        cube.up[a] = other;
        cube.open[a] = open;
        cube.face_centre[a] = middle;
      }
    }
  });
  for (std::size_t i = 0; i < cubes.size(); ++i) {
    for (std::size_t a = 0; a < 3; ++a) {
      if (cubes[i].up[a] < 0) continue;
      cubes[static_cast<std::size_t>(cubes[i].up[a])].down[a] = static_cast<std::int32_t>(i);
    }
  }
}

// Groups of cubes that make one cell.
class Groups {
 public:
  explicit Groups(const std::vector<Cube>& cubes) : root_(cubes.size()), volume_(cubes.size()) {
    std::iota(root_.begin(), root_.end(), std::size_t{0});
    for (std::size_t i = 0; i < cubes.size(); ++i) volume_[i] = cubes[i].share;
  }
  std::size_t root(std::size_t i) {
    while (root_[i] != i) i = root_[i] = root_[root_[i]];
    return i;
  }
  double volume(std::size_t i) { return volume_[root(i)]; }
  void join(std::size_t small, std::size_t large) {
    const std::size_t from = root(small);
    const std::size_t to = root(large);
    root_[from] = to;
    volume_[to] += volume_[from];
  }

 private:
  std::vector<std::size_t> root_;
  std::vector<double> volume_;
};

// The cube behind the face of greatest open area times volume, of another group; -1 if there is
// none.
std::int32_t best_neighbour(const std::vector<Cube>& cubes, Groups& groups, std::size_t i) {
  std::int32_t best = -1;
  double greatest = 0;
  for (std::size_t a = 0; a < 3; ++a) {
    for (const std::int32_t other : {cubes[i].down[a], cubes[i].up[a]}) {
      if (other < 0) continue;
      const auto o = static_cast<std::size_t>(other);
      if (groups.root(o) == groups.root(i)) continue;
      const double open = other == cubes[i].up[a] ? cubes[i].open[a] : cubes[o].open[a];
      if (open * cubes[o].share <= greatest) continue;
      greatest = open * cubes[o].share;
      best = other;
    }
  }
  return best;
}

}  // namespace

Lattice::Lattice(const Box& box, double h) : h_(h) {
  for (std::size_t a = 0; a < 3; ++a) {
    first_[a] = a == 1 ? 0 : static_cast<long>(std::floor(box.low[a] / h)) - 1;
    size_[a] = static_cast<long>(std::ceil(box.high[a] / h)) + 1 - first_[a];
  }
}

long Lattice::next(long cube, std::size_t axis) const {
  if (place(cube)[axis] + 1 >= size_[axis]) return -1;
  return cube + (axis == 0 ? 1 : axis == 1 ? size_[0] : size_[0] * size_[1]);
}

Vector3 Lattice::centre(long cube) const {
  const Place i = place(cube);
  Vector3 x{};
  for (std::size_t a = 0; a < 3; ++a) x[a] = (static_cast<double>(first_[a] + i[a]) + 0.5) * h_;
  return x;
}

double open_share(const std::vector<RoundTube>& region, double h, std::size_t axis,
                  Vector3& middle) {
  constexpr int parts = 8;
  const double step = h / parts;
  const std::size_t a = (axis + 1) % 3;
  const std::size_t b = (axis + 2) % 3;
  double sum = 0;
  double sum_a = 0;
  double sum_b = 0;
  for (int i = 0; i < parts * parts; ++i) {
    Vector3 x = middle;
    x[a] += -h / 2 + (i % parts + 0.5) * step;
    x[b] += -h / 2 + (i / parts + 0.5) * step;
    const double f = inside_share(signed_distance(region, x), 1.1 * step);
    sum += f;
    sum_a += f * x[a];
    sum_b += f * x[b];
  }
  if (sum > 0) {
    middle[a] = sum_a / sum;
    middle[b] = sum_b / sum;
  }
  return sum / (parts * parts);
}

std::vector<Cube> find_cubes(const std::vector<RoundTube>& region, const Lattice& lattice,
                             unsigned threads) {
  const double reach = half_diagonal * lattice.h();
  std::vector<char> kind(static_cast<std::size_t>(lattice.cubes()));  // 0 outside, 1 full, 2 cut
  parallel_for(kind.size(), threads, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i) {
      const double f = signed_distance(region, lattice.centre(static_cast<long>(i)));
      kind[i] = f < -reach ? 1 : f < reach ? 2 : 0;
    }
  });
  std::vector<Cube> cubes;
  for (std::size_t i = 0; i < kind.size(); ++i) {
    if (kind[i] == 0) continue;
    Cube& cube = cubes.emplace_back();
    cube.at = static_cast<long>(i);
    cube.cut = kind[i] == 2;
  }
  parallel_for(cubes.size(), threads, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i) measure_cube(region, lattice, cubes[i]);
  });
  std::erase_if(cubes, [](const Cube& cube) { return cube.share <= least_open_share; });
  find_faces(region, lattice, cubes, threads);
  return cubes;
}

std::vector<std::int32_t> merge_small_cubes(const std::vector<Cube>& cubes) {
  Groups groups(cubes);
  std::vector<std::size_t> small;
  for (std::size_t i = 0; i < cubes.size(); ++i) {
    if (cubes[i].share < least_volume) small.push_back(i);
  }
  std::stable_sort(small.begin(), small.end(),
                   [&](std::size_t l, std::size_t r) { return cubes[l].share < cubes[r].share; });
  for (int pass = 0; pass < 3; ++pass) {
    for (const std::size_t i : small) {
      if (groups.volume(i) >= least_volume) continue;
      const std::int32_t best = best_neighbour(cubes, groups, i);
      if (best >= 0) groups.join(i, static_cast<std::size_t>(best));
    }
  }
  std::vector<std::int32_t> number(cubes.size(), -1);
  std::vector<std::int32_t> cell(cubes.size());
  std::int32_t cells = 0;
  for (std::size_t i = 0; i < cubes.size(); ++i) {
    std::int32_t& n = number[groups.root(i)];
    if (n < 0) n = cells++;
    cell[i] = n;
  }
  return cell;
}

}  // namespace pulsewright::validation
