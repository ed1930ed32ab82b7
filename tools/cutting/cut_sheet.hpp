// The cutting sheet of a header: what to cut, to bend and to order, and where each tube stands
// round its collector.
//
// Lengths are along the centreline, m, of tubes from the flange to the crotch. A tube whose path is
// known, as points in space, has its straights and bends in turn, with the rotation of each bend
// (bent_tube.hpp). Of any other the bends of the case are known, and what is left is straight; how
// that is shared between them is found at the car.
//
// To order: straights by tube, each cut with the allowance of the case; of bends one stock bend,
// the smallest that turns far enough, for each. What is left of a bend may serve for another; that
// is not counted on. Balance pipes, and the parts behind the collectors, are not in the sheet.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "tools/cutting/bent_tube.hpp"
#include "tools/cutting/measured_points.hpp"

namespace pulsewright::tools {

enum class PieceKind { straight, bend };

struct CutPiece {
  PieceKind kind = PieceKind::straight;
  double length = 0;  // m, of a bend its arc
  TubeBend bend;      // of a bend
};

struct CutTube {
  std::string name;  // "cylinder 3", "secondary 1-5"
  cases::Tube tube;  // from the flange on
  std::vector<cases::TubeStep> steps;
  double length = 0;  // m, wanted
  bool has_path = false;
  std::vector<CutPiece>
      pieces;             // in turn where the path is known; else one straight, then the bends
  double made = 0;        // m, of all pieces
  std::string collector;  // of the group
  std::optional<double> clock_deg;  // round it, from 12 o'clock, clockwise seen from the flange
};

// The tubes that begin at one bank.
struct CutPage {
  std::string bank;
  std::vector<CutTube> tubes;
};

struct CutCollector {
  std::string name;
  std::vector<int> cylinders;  // in firing order
  cases::Tube tube;
  double length = 0;         // m
  double neck_diameter = 0;  // m, inside; 0 = none
  double neck_cone = 0;      // m
  cases::Tube tail_tube;     // of its own; inside diameter 0 = none
  double tail_length = 0;    // m
};

// The tail in which all collectors meet.
struct CutTail {
  cases::Tube tube;
  double length = 0;  // m
};

struct OrderedTube {
  cases::Tube tube;
  double length = 0;  // m, allowances included
};
struct OrderedBend {
  cases::Tube tube;
  double radius = 0;     // m
  double angle_deg = 0;  // of the stock bend
  int count = 0;
};

struct CutSheet {
  std::string header;
  std::vector<CutPage> pages;
  std::vector<CutTube> secondaries;
  std::vector<CutCollector> collectors;
  std::optional<CutTail> shared_tail;
  std::vector<OrderedTube> tubes;
  std::vector<OrderedBend> bends;
  double tolerance = 0;              // m, that every primary is to be held within
  double cut_allowance = 0;          // m, for each cut
  std::vector<std::string> remarks;  // to be looked at before cutting
};

// Throws cases::CaseError with file, header, tube and point for what cannot be bent (a straight
// that is shorter than the bends at its ends take, a radius that is not to be had, points that are
// no path), and for a network, which has no primaries. units: of the messages.
CutSheet cut_sheet(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
                   const MeasuredPaths& measured, cases::MessageUnits units);

// What is dangerous about making and running a header; every sheet ends with it.
const std::vector<std::string>& bench_cautions();

}  // namespace pulsewright::tools
