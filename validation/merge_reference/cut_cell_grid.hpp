// A grid of cubes for gas in a region of any shape: cubes that the wall cuts keep the part inside.
//
// Open areas of faces, volumes and centroids of cut cubes come from the signed distance at points
// of a finer subdivision, each point counted by the share of its surroundings that is inside. The
// area of the wall in a cell is that which closes its surface, so a uniform pressure pushes no gas.
// Cells with less than half a cube's volume are merged with the neighbour behind their largest
// open face, which keeps the time step that of the cubes (cell merging: Clarke, Salas & Hassan,
// AIAA J. 24 (1986) 353, from memory). Gradients: least squares over the neighbours, each weighted
// by the inverse square of its distance.
//
// Half the region is meshed, y >= 0; faces in the plane y = 0 reflect.
#pragma once

#include <cstdint>
#include <vector>

#include "validation/merge_reference/gas_region.hpp"

namespace pulsewright::validation {

// Between two cells, or between a cell and its mirror image.
struct CutFace {
  static constexpr std::int32_t mirror = -1;

  std::int32_t lower, upper;  // cells on the side of smaller and of larger coordinate; `lower` may
                              // be `mirror`
  std::int32_t axis;          // 0, 1, 2: normal to x, y, z
  float area;                 // m2, open to the gas
  std::array<float, 3> way;   // m, from the centroid of `lower` to that of `upper`
  float share;                // of the way that lies before the face
};

// What a cell has of a face: which one, and the weight of its difference in the gradient.
struct CellFace {
  std::int32_t face;
  bool is_upper;                         // the cell is `upper` of the face
  std::array<float, 3> gradient_weight;  // 1/m
};

// The wall in a cell.
struct CellWall {
  std::int32_t cell;
  Vector3 area;              // m2, outwards
  std::array<float, 3> way;  // m, from the centroid to the wall
};

struct CutCellGrid {
  double h = 0;                   // m, edge of a cube
  std::vector<double> volume;     // m3, of each cell
  std::vector<Vector3> centroid;  // m, of each cell
  std::vector<CutFace> faces;
  std::vector<CellFace> cell_faces;     // of all cells, one cell after the other
  std::vector<std::size_t> first_face;  // of a cell in `cell_faces`; one more than there are cells
  std::vector<CellWall> walls;          // in the order of the cells, one at most for each
  std::vector<std::int32_t> wall;       // of a cell in `walls`; -1 if it has none

  std::size_t cells() const { return volume.size(); }
  double total_volume() const;  // m3, of both halves
};

// The grid of a region with cubes of h (m). Throws std::invalid_argument if h is not positive or
// no cube is inside.
CutCellGrid make_cut_cell_grid(const std::vector<RoundTube>& region, double h, unsigned threads);

}  // namespace pulsewright::validation
