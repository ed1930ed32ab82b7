// The rows of figure_table.inc as data, to walk over: for means, the results file, JSON, messages
// between processes and the page that describes the results file.
#pragma once

#include <type_traits>

#include "models/figures/point_result.hpp"

namespace pulsewright::models {

// How one value is made of several.
enum class MeanRule {
  none,  // it is not
  // sum / count. Crank angles too are averaged as numbers from 0 to 720 degree: right as long as
  // the values do not lie on both sides of 0, which those of the exhaust stroke never do and that
  // of the highest cylinder pressure only where the charge burns far too early.
  arithmetic
};

// Value: double, int or long, or a vector of one of them or of float.
template <class Owner, class Value>
struct Figure {
  Value Owner::*member;
  const char* name;  // in the results file, behind the word of the part
  const char* key;   // in JSON
  const char* unit;  // UDUNITS spelling
  const char* text;  // what it is
};

struct CylinderFigure : Figure<CylinderFigures, double> {
  MeanRule over_cycles;
  MeanRule over_cylinders;
  double PointResult::*point_member;  // the mean over the cylinders; null where there is none
};

// Each calls visit(figure) for every row, in the order of the table.

// Figure<PointResult, double | int | long>, the means over cylinders among them.
template <class Visit>
void for_each_point_figure(Visit&& visit) {
#define POINT_FIGURE(type, member, name, unit, text) \
  visit(Figure<PointResult, type>{&PointResult::member, name, name, unit, text});
#define CYLINDER_MEAN(member, unit, over_cycles, over_cylinders, text)            \
  visit(Figure<PointResult, double>{&PointResult::member, #member, #member, unit, \
                                    text ", mean of cylinders"});
#include "models/figures/figure_table.inc"
}

template <class Visit>
void for_each_cylinder_figure(Visit&& visit) {
#define CYLINDER_MEAN(member, unit, over_cycles, over_cylinders, text)           \
  visit(CylinderFigure{{&CylinderFigures::member, #member, #member, unit, text}, \
                       MeanRule::over_cycles,                                    \
                       MeanRule::over_cylinders,                                 \
                       &PointResult::member});
#define CYLINDER_FIGURE(member, unit, over_cycles, text)                         \
  visit(CylinderFigure{{&CylinderFigures::member, #member, #member, unit, text}, \
                       MeanRule::over_cycles,                                    \
                       MeanRule::none,                                           \
                       nullptr});
#include "models/figures/figure_table.inc"
}

// Figure<MergeFigures, double | std::vector<int> | std::vector<double>>.
template <class Visit>
void for_each_merge_figure(Visit&& visit) {
#define MERGE_FIGURE(type, member, name, key, unit, text) \
  visit(Figure<MergeFigures, type>{&MergeFigures::member, name, key, unit, text});
#include "models/figures/figure_table.inc"
}

template <class Visit>
void for_each_pipe_figure(Visit&& visit) {
#define PIPE_FIGURE(member, unit, text) \
  visit(Figure<PipeFigures, double>{&PipeFigures::member, #member, #member, unit, text});
#include "models/figures/figure_table.inc"
}

template <class Visit>
void for_each_ledger_line(Visit&& visit) {
#define LEDGER_LINE(member, unit, text) \
  visit(Figure<Ledger, LedgerLine>{&Ledger::member, #member, #member, unit, text});
#include "models/figures/figure_table.inc"
}

// An empty unit is that of the line.
template <class Visit>
void for_each_ledger_column(Visit&& visit) {
#define LEDGER_COLUMN(member, unit, text) \
  visit(Figure<LedgerLine, double>{&LedgerLine::member, #member, #member, unit, text});
#include "models/figures/figure_table.inc"
}

template <class Visit>
void for_each_cylinder_trace(Visit&& visit) {
#define CYLINDER_TRACE(member, unit, text)                                                    \
  visit(Figure<CylinderTraces, std::vector<float>>{&CylinderTraces::member, #member, #member, \
                                                   unit, text});
#include "models/figures/figure_table.inc"
}

template <class Visit>
void for_each_tail_trace(Visit&& visit) {
#define TAIL_TRACE(member, unit, text) \
  visit(Figure<TailTrace, std::vector<float>>{&TailTrace::member, #member, #member, unit, text});
#include "models/figures/figure_table.inc"
}

template <class Visit>
void for_each_probe_trace(Visit&& visit) {
#define PROBE_TRACE(member, unit, text)                                                       \
  visit(Figure<ProbeTraces, std::vector<float>>{&ProbeTraces::member, #member, #member, unit, \
                                                text});
#include "models/figures/figure_table.inc"
}

template <class Visit>
void for_each_diagram_array(Visit&& visit) {
#define DIAGRAM_ARRAY(member, unit, text)                                                     \
  visit(Figure<WaveDiagram, std::vector<float>>{&WaveDiagram::member, #member, #member, unit, \
                                                text});
#include "models/figures/figure_table.inc"
}

template <class T, class... Others>
concept IsOneOf = (std::is_same_v<T, Others> || ...);

// A struct of point_result.hpp.
template <class T>
concept IsResultStruct = IsOneOf<T, PointResult, CylinderFigures, MergeFigures, PipeFigures, Ledger,
                                 LedgerLine, CylinderTraces, TailTrace, ProbeTraces, WaveDiagram>;

// Calls visit(value) for every member of a result, labels and parts included.
template <class Object, class Visit>
requires IsResultStruct<std::remove_const_t<Object>>
void for_each_member(Object& object, Visit&& visit) {
  using Struct = std::remove_const_t<Object>;
  if constexpr (std::is_same_v<Struct, PointResult>) {
#define POINT_LABEL(type, member) visit(object.member);
#define POINT_FIGURE(type, member, name, unit, text) visit(object.member);
#define CYLINDER_MEAN(member, unit, over_cycles, over_cylinders, text) visit(object.member);
#define POINT_PART(type, member) visit(object.member);
#include "models/figures/figure_table.inc"
  } else if constexpr (std::is_same_v<Struct, CylinderFigures>) {
#define CYLINDER_LABEL(type, member) visit(object.member);
#define CYLINDER_MEAN(member, unit, over_cycles, over_cylinders, text) visit(object.member);
#define CYLINDER_FIGURE(member, unit, over_cycles, text) visit(object.member);
#include "models/figures/figure_table.inc"
  } else if constexpr (std::is_same_v<Struct, MergeFigures>) {
#define MERGE_LABEL(type, member) visit(object.member);
#define MERGE_FIGURE(type, member, name, key, unit, text) visit(object.member);
#include "models/figures/figure_table.inc"
  } else if constexpr (std::is_same_v<Struct, PipeFigures>) {
#define PIPE_LABEL(type, member) visit(object.member);
#define PIPE_FIGURE(member, unit, text) visit(object.member);
#include "models/figures/figure_table.inc"
  } else if constexpr (std::is_same_v<Struct, LedgerLine>) {
#define LEDGER_COLUMN(member, unit, text) visit(object.member);
#include "models/figures/figure_table.inc"
  } else if constexpr (std::is_same_v<Struct, Ledger>) {
#define LEDGER_LINE(member, unit, text) visit(object.member);
#include "models/figures/figure_table.inc"
  } else if constexpr (std::is_same_v<Struct, CylinderTraces>) {
#define CYLINDER_TRACE(member, unit, text) visit(object.member);
#include "models/figures/figure_table.inc"
  } else if constexpr (std::is_same_v<Struct, TailTrace>) {
#define TAIL_LABEL(type, member) visit(object.member);
#define TAIL_TRACE(member, unit, text) visit(object.member);
#include "models/figures/figure_table.inc"
  } else if constexpr (std::is_same_v<Struct, ProbeTraces>) {
#define PROBE_LABEL(type, member) visit(object.member);
#define PROBE_TRACE(member, unit, text) visit(object.member);
#include "models/figures/figure_table.inc"
  } else {
    static_assert(std::is_same_v<Struct, WaveDiagram>);
#define DIAGRAM_LABEL(type, member) visit(object.member);
#define DIAGRAM_ARRAY(member, unit, text) visit(object.member);
#include "models/figures/figure_table.inc"
  }
}

}  // namespace pulsewright::models
