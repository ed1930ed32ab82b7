// What one operating point (one engine, one speed) comes out with. Plain data, SI units, crank
// angles in degrees.
//
// The members are the rows of figure_table.inc, where each has its unit and its meaning. Pressures
// of scavenging are gauge to ambient. Figures are means over the period of the converged pattern (1
// to 3 cycles), traces and diagrams are of its last cycle.
#pragma once

#include <string>
#include <vector>

namespace pulsewright::models {

struct CylinderFigures {
#define CYLINDER_LABEL(type, member) type member{};
#define CYLINDER_MEAN(member, unit, over_cycles, over_cylinders, text) double member = 0;
#define CYLINDER_FIGURE(member, unit, over_cycles, text) double member = 0;
#include "models/figures/figure_table.inc"
};

// One merge of exhaust pipes: which pulse arrives when.
struct MergeFigures {
#define MERGE_LABEL(type, member) type member{};
#define MERGE_FIGURE(type, member, name, key, unit, text) type member{};
#include "models/figures/figure_table.inc"
};

struct PipeFigures {
#define PIPE_LABEL(type, member) type member{};
#define PIPE_FIGURE(member, unit, text) double member = 0;
#include "models/figures/figure_table.inc"
};

// Zero sum: in + source = out + lost + stored.
struct LedgerLine {
#define LEDGER_COLUMN(member, unit, text) double member = 0;
#include "models/figures/figure_table.inc"
};

struct Ledger {
#define LEDGER_LINE(member, unit, text) LedgerLine member;
#include "models/figures/figure_table.inc"
};

// RunSettings::trace_points values per trace.
struct CylinderTraces {
#define CYLINDER_TRACE(member, unit, text) std::vector<float> member;
#include "models/figures/figure_table.inc"
};

struct TailTrace {
#define TAIL_LABEL(type, member) type member{};
#define TAIL_TRACE(member, unit, text) std::vector<float> member;
#include "models/figures/figure_table.inc"
};

struct ProbeTraces {
#define PROBE_LABEL(type, member) type member{};
#define PROBE_TRACE(member, unit, text) std::vector<float> member;
#include "models/figures/figure_table.inc"
};

struct WaveDiagram {
#define DIAGRAM_LABEL(type, member) type member{};
#define DIAGRAM_ARRAY(member, unit, text) std::vector<float> member;
#include "models/figures/figure_table.inc"
};

struct PointResult {
#define POINT_LABEL(type, member) type member{};
#define POINT_FIGURE(type, member, name, unit, text) type member{};
#define CYLINDER_MEAN(member, unit, over_cycles, over_cylinders, text) double member = 0;
#define POINT_PART(type, member) type member{};
#include "models/figures/figure_table.inc"
};

}  // namespace pulsewright::models
