#include "cases/tail_parts.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <numbers>
#include <optional>

#include "cases/flow_bench.hpp"
#include "cases/parameters.hpp"
#include "models/boundary/junction_constants.hpp"
#include "models/sizing/circle.hpp"

namespace pulsewright::cases {
namespace {

using models::Branch;
using models::PipeSpecification;
using models::Side;

// The parts behind one open end, added one after the other.
class Tail {
 public:
  Tail(NetworkBuilder& builder, const HeaderDesign& header, const TailChain& chain)
      : builder_(builder),
        header_(header),
        chain_(chain),
        bore_(chain.bore),
        end_diameter_(chain.bore) {
    const auto& engine = builder.engine();
    const models::PipeEnd end = engine.open_ends[chain.open_end].end;
    like_ = engine.pipes[static_cast<std::size_t>(end.pipe)];
    like_.bends.clear();
    like_.extra_loss = 0;
    like_.left_entry_loss = like_.right_entry_loss = 0;
    like_.cooled_length = 0;
    like_.hydraulic_ratio = 1;
    for (const models::ExhaustPath& path : engine.exhaust_paths) {
      if (path.pipes.empty() || path.pipes.back() != end.pipe) continue;
      cylinders_.push_back(engine.cylinders[static_cast<std::size_t>(path.cylinder)].number);
    }
    waiting_ = {{end, -Eigen::Vector3d::UnitX()}};
  }

  void add(std::size_t number) {
    const TailPart& part = header_.parts[number];
    stem_ = fmt::format("part {} {}{}{}", number + 1, part_kind_name(part.kind),
                        chain_.place.empty() ? "" : " ", chain_.place);
    switch (part.kind) {
      case PartKind::pipe:
        add_main(straight("", part.length, bore_behind(part, bore_), part.tube.wall));
        break;
      case PartKind::catalyst:
        add_catalyst(part);
        break;
      case PartKind::straight_through:
        add_straight_through(part);
        break;
      case PartKind::chamber:
        add_chamber(part);
        break;
      case PartKind::quarter_wave:
        add_closed(straight("branch", resonator_length(part, bore_), part.tube.inside_diameter,
                            part.tube.wall),
                   beside());
        break;
      case PartKind::helmholtz:
        add_helmholtz(part);
        break;
      case PartKind::back_pressure:
        add_back_pressure(part);
        break;
    }
  }

  void finish() { builder_.engine().open_ends[chain_.open_end].end = waiting_.front().end; }

 private:
  PipeSpecification straight(const std::string& what, double length, double diameter,
                             double wall = 0) {
    PipeSpecification pipe = like_;
    pipe.name = named(what);
    pipe.length = length;
    pipe.profile = {{0, diameter}, {length, diameter}};
    if (wall > 0) pipe.wall.thickness = wall;
    return pipe;
  }

  std::string named(const std::string& what) const {
    return what.empty() ? stem_ : fmt::format("{} {}", stem_, what);
  }

  // The next pipe that the gas runs through: joins all that waits for it.
  void add_main(PipeSpecification pipe) {
    const double narrow = std::min(end_diameter_, pipe.profile.front().diameter);
    models::JunctionSpecification joint;
    joint.name = "before " + pipe.name;
    joint.law = models::JunctionLaw::momentum;
    joint.volume = models::JunctionConstants{}.volume * models::circle_area(narrow) * 0.5 * narrow;
    lose_at_step(builder_.engine().pipes[static_cast<std::size_t>(waiting_.front().end.pipe)],
                 pipe);
    bore_ = end_diameter_ = pipe.profile.back().diameter;
    const int index = builder_.add_pipe(std::move(pipe));
    joint.branches = std::move(waiting_);
    joint.branches.push_back({{index, Side::left}, Eigen::Vector3d::UnitX()});
    if (holes_) {
      models::JunctionSpecification space = joint;
      space.name += " in the space";
      space.branches = holes_->space;
      builder_.engine().perforates.push_back(
          {std::move(joint), std::move(space), holes_->area, holes_->length});
      holes_.reset();
    } else {
      builder_.engine().junctions.push_back(std::move(joint));
    }
    waiting_ = {{{index, Side::right}, -Eigen::Vector3d::UnitX()}};
    for (const int cylinder : cylinders_) builder_.extend_path(cylinder, index);
  }

  // A pipe that begins at the next joint and is closed.
  void add_closed(PipeSpecification pipe, const Eigen::Vector3d& direction) {
    const int index = builder_.add_pipe(std::move(pipe));
    waiting_.push_back({{index, Side::left}, direction});
    builder_.engine().closed_ends.push_back({{index, Side::right}});
  }

  // Direction of the next branch on the side of a joint, each at right angles to the one before.
  Eigen::Vector3d beside() const {
    const auto on_side = static_cast<int>(waiting_.size()) - 1;
    const double angle = 0.5 * std::numbers::pi * on_side;
    return {0, std::round(std::cos(angle)), std::round(std::sin(angle))};
  }

  void add_catalyst(const TailPart& part) {
    const Brick brick = brick_of(part);
    const double bore = bore_;
    PipeSpecification inlet = straight("inlet cone", part.cone_length, bore);
    inlet.profile.back().diameter = part.diameter;
    add_main(std::move(inlet));
    PipeSpecification channels =
        straight("brick", part.length,
                 models::circle_diameter(brick.open_share * models::circle_area(part.diameter)));
    channels.channel_diameter = brick.channel_diameter;
    channels.laminar_friction = brick.laminar_friction;
    channels.extra_loss = brick.entrance_loss;
    channels.roughness = 0;
    channels.friction = true;  // whatever the tubes have: it is what a brick is for
    channels.heat = models::PipeHeatLaw::none;
    add_main(std::move(channels));
    PipeSpecification outlet = straight("outlet cone", part.cone_length, part.diameter);
    outlet.profile.back().diameter = bore;
    add_main(std::move(outlet));
  }

  // The holes of a perforated core that the next joint stands for.
  struct Holes {
    double area, length;  // m2, m
    std::vector<Branch> space;
  };

  void add_straight_through(const TailPart& part) {
    const double bore = bore_behind(part, bore_);
    const double outside = bore + 2 * part.core_wall;
    const double round =
        models::circle_diameter(models::circle_area(part.diameter) - models::circle_area(outside));
    const PerforatePlaces places = perforate_places(part, bore);
    std::vector<Branch> space;
    for (int i = 0; i < places.segments; ++i) {
      const double length = part.length / places.segments;
      const int beside = builder_.add_pipe(
          annulus(fmt::format("space {}", i + 1), length, round, part.diameter - outside));
      space.push_back({{beside, Side::left}, Eigen::Vector3d::UnitX()});
      holes_ = {i == 0 ? places.end_area : places.inner_area, places.hole_length, space};
      add_main(straight(fmt::format("core {}", i + 1), length, bore));
      space = {{{beside, Side::right}, -Eigen::Vector3d::UnitX()}};
    }
    holes_ = {places.end_area, places.hole_length, space};
  }

  // The closed spaces stand at right angles to the axis, so that no jet pushes into them along it.
  void add_chamber(const TailPart& part) {
    const double bore = bore_;
    const double round =
        models::circle_diameter(models::circle_area(part.diameter) - models::circle_area(bore));
    if (part.inlet_inside > 0) {
      add_main(straight("inlet", part.inlet_inside, bore));
      add_closed(annulus("round the inlet", part.inlet_inside, round, part.diameter - bore),
                 beside());
    }
    add_main(straight("", part.length - part.inlet_inside - part.outlet_inside, part.diameter));
    if (part.outlet_inside > 0) {
      add_closed(annulus("round the outlet", part.outlet_inside, round, part.diameter - bore),
                 beside());
      add_main(straight("outlet", part.outlet_inside, bore));
    }
    bore_ = bore;
  }

  // The space between two tubes: its hydraulic diameter is the difference of their diameters. The
  // gas that stands in it exchanges no heat: the balance of a wall that hardly any gas passes would
  // go on for hundreds of cycles.
  PipeSpecification annulus(const std::string& what, double length, double diameter, double gap) {
    PipeSpecification pipe = straight(what, length, diameter);
    pipe.hydraulic_ratio = gap / diameter;
    pipe.heat = models::PipeHeatLaw::none;
    return pipe;
  }

  void add_helmholtz(const TailPart& part) {
    const Eigen::Vector3d direction = beside();
    const int neck = builder_.add_pipe(
        straight("neck", resonator_length(part, bore_), part.tube.inside_diameter, part.tube.wall));
    waiting_.push_back({{neck, Side::left}, direction});
    models::JunctionSpecification vessel;
    vessel.name = named("volume");
    vessel.law = models::JunctionLaw::plenum;
    vessel.volume = part.volume;
    vessel.branches = {{{neck, Side::right}, -Eigen::Vector3d::UnitX()}};
    builder_.engine().junctions.push_back(std::move(vessel));
  }

  void add_back_pressure(const TailPart& part) {
    const double bore = bore_behind(part, bore_);
    PipeSpecification pipe = straight("", part.length, bore, part.tube.wall);
    pipe.extra_loss =
        back_pressure_loss(part, models::circle_area(bore), builder_.engine().ambient.pressure);
    pipe.friction = false;
    add_main(std::move(pipe));
  }

  NetworkBuilder& builder_;
  const HeaderDesign& header_;
  const TailChain& chain_;
  double bore_;             // m, of the tubes so far
  double end_diameter_;     // m, where the chain ends so far
  PipeSpecification like_;  // roughness, wall, heat and first state of all pipes of the chain
  std::vector<int> cylinders_;
  std::string stem_;             // of the names of the part that is added
  std::optional<Holes> holes_;   // of the next joint
  std::vector<Branch> waiting_;  // of the next joint; the first is the end of the chain
};

}  // namespace

std::string part_kind_name(PartKind kind) {
  return choice_of(*find_parameter("header.part", "kind"), static_cast<std::size_t>(kind));
}

Brick brick_of(const TailPart& part) {
  const double pitch = 1 / std::sqrt(part.cells);
  const double diameter = pitch - part.channel_wall;
  const double square = diameter * diameter / (pitch * pitch);
  if (part.round_channels) return {diameter, 0.25 * std::numbers::pi * square, 64, 1.25};
  return {diameter, square, 56.91, 1.43};
}

double back_pressure_loss(const TailPart& part, double area, double ambient) {
  const double p1 = ambient + part.pressure;
  const double flux = part.mass_flow / area;
  const double K =
      (p1 * p1 - ambient * ambient) / (air_gas_constant * part.temperature * flux * flux) -
      2 * std::log(p1 / ambient);
  return std::max(0.0, K);
}

double branch_correction(double branch_radius, double tube_radius) {
  const double x = branch_radius / tube_radius;
  return branch_radius * (x <= 0.4 ? 0.8216 - x * (0.0644 + 0.694 * x) : 0.9326 - 0.6196 * x);
}

double resonator_length(const TailPart& part, double bore) {
  const double radius = 0.5 * part.tube.inside_diameter;
  const double flange = part.kind == PartKind::helmholtz ? 8 / (3 * std::numbers::pi) * radius : 0;
  return part.length + branch_correction(radius, 0.5 * bore) + flange;
}

PerforatePlaces perforate_places(const TailPart& part, double bore) {
  PerforatePlaces out;
  out.segments = std::max(2, static_cast<int>(std::lround(part.length / perforate_pitch)));
  out.hole_length = part.core_wall + 0.75 * part.hole_diameter;
  const double per_length = part.hole_share * std::numbers::pi * bore;  // m2/m
  const double core = models::circle_area(bore);
  const double space =
      models::circle_area(part.diameter) - models::circle_area(bore + 2 * part.core_wall);
  const double decay = std::sqrt(out.hole_length / per_length / (1 / core + 1 / space));
  const double at_end = std::min(decay, 0.5 * part.length / out.segments);
  out.end_area = per_length * at_end;
  out.inner_area = per_length * (part.length - 2 * at_end) / (out.segments - 1);
  return out;
}

bool is_beside(PartKind kind) {
  return kind == PartKind::quarter_wave || kind == PartKind::helmholtz;
}

double bore_behind(const TailPart& part, double bore) {
  const bool own = part.kind == PartKind::pipe || part.kind == PartKind::back_pressure ||
                   part.kind == PartKind::straight_through;
  return own && part.tube.inside_diameter > 0 ? part.tube.inside_diameter : bore;
}

std::vector<TailChain> tail_chains(const models::EngineSpecification& engine,
                                   const HeaderDesign& header) {
  std::vector<TailChain> chains;
  for (std::size_t i = 0; i < engine.open_ends.size(); ++i) {
    const models::PipeEnd end = engine.open_ends[i].end;
    const PipeSpecification& pipe = engine.pipes[static_cast<std::size_t>(end.pipe)];
    if (end.side != Side::right) continue;
    TailChain chain{i, models::diameter_at(pipe.profile, pipe.length), {}, {}};
    for (std::size_t k = 0; k < header.parts.size(); ++k) {
      const bool here = header.kind != HeaderKind::network || header.parts[k].behind == pipe.name;
      if (here) chain.parts.push_back(k);
    }
    // A ready kind calls its pipes by what they are and the place: "collector left".
    const std::size_t space = pipe.name.find(' ');
    chain.place = space == std::string::npos ? "" : pipe.name.substr(space + 1);
    if (header.kind == HeaderKind::network) chain.place.clear();
    if (!chain.parts.empty()) chains.push_back(std::move(chain));
  }
  if (chains.size() == 1) chains.front().place.clear();
  return chains;
}

void add_parts(NetworkBuilder& builder, const HeaderDesign& header) {
  for (const TailChain& chain : tail_chains(builder.engine(), header)) {
    Tail tail(builder, header, chain);
    for (const std::size_t part : chain.parts) tail.add(part);
    tail.finish();
  }
}

std::optional<PlaceInPart> place_in_part(const std::string& pipe) {
  constexpr std::string_view begin = "part ";
  if (!pipe.starts_with(begin)) return std::nullopt;
  PlaceInPart out;
  int number = 0;
  const auto [end, error] =
      std::from_chars(pipe.data() + begin.size(), pipe.data() + pipe.size(), number);
  if (error != std::errc() || number < 1) return std::nullopt;
  out.part = static_cast<std::size_t>(number - 1);
  out.whole = pipe;
  // Numbered pieces, then the pieces that add_catalyst() and the others name.
  const std::size_t digit = out.whole.find_last_not_of("0123456789");
  for (const std::string_view piece : {" core ", " space "}) {
    if (digit + 1 < piece.size() || !out.whole.substr(0, digit + 1).ends_with(piece)) continue;
    out.main = piece == " core ";
    out.whole.resize(digit + 1 - piece.size());
    return out;
  }
  for (const std::string_view piece :
       {" round the inlet", " round the outlet", " branch", " neck", " inlet cone", " outlet cone",
        " brick", " inlet", " outlet"}) {
    if (!out.whole.ends_with(piece)) continue;
    out.main = !piece.starts_with(" round") && piece != " branch" && piece != " neck";
    out.whole.resize(out.whole.size() - piece.size());
    return out;
  }
  return out;
}

}  // namespace pulsewright::cases
