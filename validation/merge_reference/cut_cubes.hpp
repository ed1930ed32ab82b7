// The cubes of a grid that gas fills, whole or in part, before they become cells.
#pragma once

#include <cstdint>
#include <vector>

#include "validation/merge_reference/gas_region.hpp"

namespace pulsewright::validation {

inline constexpr double least_open_share = 1e-5;  // of a cube or a face; less is not open

// The cubes of a box, numbered along x, then y, then z.
class Lattice {
 public:
  using Place = std::array<long, 3>;

  // Around the half y >= 0 of a region; h in m.
  Lattice(const Box& box, double h);

  long cubes() const { return size_[0] * size_[1] * size_[2]; }
  Place place(long cube) const {
    return {cube % size_[0], cube / size_[0] % size_[1], cube / (size_[0] * size_[1])};
  }
  // The next cube along an axis; -1 at the edge of the box.
  long next(long cube, std::size_t axis) const;
  Vector3 centre(long cube) const;  // m
  double h() const { return h_; }   // m

 private:
  double h_;
  Place first_{}, size_{};
};

// A cube with gas.
struct Cube {
  long at = 0;                                                   // in the lattice
  bool cut = false;                                              // by the wall
  double share = 1;                                              // of the volume that is open
  Vector3 centroid{};                                            // m, of that volume
  std::array<std::int32_t, 3> up{-1, -1, -1}, down{-1, -1, -1};  // cubes behind open faces
  std::array<double, 3> open{};                                  // share of the face to `up`
  std::array<Vector3, 3> face_centre{};                          // m, of its open part
};

// All cubes with gas, with their open faces.
std::vector<Cube> find_cubes(const std::vector<RoundTube>& region, const Lattice& lattice,
                             unsigned threads);

// Open share of the face of a cube of h (m) at `middle` (m), normal to an axis; middle becomes the
// centroid of the open part.
double open_share(const std::vector<RoundTube>& region, double h, std::size_t axis,
                  Vector3& middle);

// The cell of each cube, from 0 on: cubes of less than half the volume are merged with the
// neighbour behind their greatest open area times volume, the smallest first.
std::vector<std::int32_t> merge_small_cubes(const std::vector<Cube>& cubes);

}  // namespace pulsewright::validation
