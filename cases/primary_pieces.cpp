#include "cases/primary_pieces.hpp"

#include <fmt/format.h>

namespace pulsewright::cases {
namespace {

// Cuts the tube as it goes along it.
class Cutter {
 public:
  explicit Cutter(int cylinder) : cylinder_(cylinder) {
    pieces_.push_back({fmt::format("primary {}", cylinder), {}, {}, 0, 1});
  }
  // x: m from the valve.
  void point(double x, double diameter) {
    pieces_.back().profile.push_back({x - begin_, diameter});
  }
  void begin_with(const Tube& tube) { pieces_.back().tube = tube; }
  void in_head(double port) { pieces_.back().port = port; }
  void step_at_flange(double x) {
    pieces_.back().name = fmt::format("port {}", cylinder_);
    cut(fmt::format("primary {}", cylinder_), x);
  }
  void step(double x) { cut(fmt::format("step {} of primary {}", ++steps_, cylinder_), x); }
  std::vector<PrimaryPiece> finish(double port, double length) {
    if (pieces_.size() > 1) {
      for (PrimaryPiece& piece : pieces_) {
        piece.share = (piece.profile.back().x - piece.port) / (length - port);
      }
    }
    return std::move(pieces_);
  }

 private:
  void cut(std::string name, double x) {
    begin_ = x;
    pieces_.push_back({std::move(name), {}, {}, 0, 1});
  }

  int cylinder_;
  int steps_ = 0;
  double begin_ = 0;  // m from the valve, of the present piece
  std::vector<PrimaryPiece> pieces_;
};

}  // namespace

std::optional<StepFault> first_step_fault(const Primary& primary, double from, double length) {
  constexpr double rounding = 1e-9;  // m, of millimetres and inches
  double bore = primary.tube.inside_diameter;
  for (std::size_t i = 0; i < primary.steps.size(); ++i) {
    const TubeStep& step = primary.steps[i];
    StepFault fault{i, false, from + shortest_piece, length - shortest_piece - step.cone_length};
    if (step.at < fault.from - rounding || step.at > fault.to + rounding) return fault;
    fault.same_bore = step.tube.inside_diameter == bore;
    if (fault.same_bore) return fault;
    bore = step.tube.inside_diameter;
    from = step.at + step.cone_length;
  }
  return std::nullopt;
}

std::vector<PrimaryPiece> primary_pieces(const Exhaust& exhaust, const HeaderDesign& header,
                                         int cylinder, double beyond) {
  const Primary& primary = header.primaries.at(cylinder);
  const double port = exhaust.port_length;
  const double length = port + (header.primary_length.at(cylinder) + beyond);
  double bore = primary.tube.inside_diameter;
  Cutter cutter(cylinder);
  if (port > 0) {
    cutter.in_head(port);
    cutter.point(0, exhaust.port_valve_diameter);
    cutter.point(port, exhaust.port_diameter);
    if (header.port_transition > 0) {
      cutter.point(port + header.port_transition, bore);
    } else if (bore != exhaust.port_diameter) {
      cutter.step_at_flange(port);
      cutter.point(port, bore);
    }
  } else {
    cutter.point(0, bore);
  }
  cutter.begin_with(primary.tube);
  for (const TubeStep& step : primary.steps) {
    cutter.point(port + step.at, bore);
    const double next = step.tube.inside_diameter;
    if (step.cone_length > 0) {
      cutter.point(port + step.at + step.cone_length, next);
    } else {
      cutter.step(port + step.at);
      cutter.point(port + step.at, next);
      cutter.begin_with(step.tube);
    }
    bore = next;
  }
  cutter.point(length, bore);
  return cutter.finish(port, length);
}

}  // namespace pulsewright::cases
