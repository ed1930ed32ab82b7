#include "models/network/symmetry.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <utility>

#include "models/boundary/crank_angle.hpp"

namespace pulsewright::models {

namespace {

constexpr double equal_angle = 1e-6;  // deg, between firings
constexpr double same_cosine = 1e-9;  // between branches of a junction

constexpr std::size_t none = static_cast<std::size_t>(-1);

// What a pipe ends in.
struct Joint {
  enum class Kind {
    other,
    exhaust_valve,
    intake_valve,
    junction,
    open_end,
    closed_end,
    anechoic_end
  };
  Kind kind = Kind::other;
  std::size_t index = none;  // into the list of that kind
};

// By pipe and side.
using Joints = std::vector<std::array<Joint, 2>>;

std::size_t side_index(Side side) { return side == Side::left ? 0 : 1; }

// All that joins pipes: the junctions, then core and space of each perforate.
std::vector<JunctionSpecification> junctions_of(const EngineSpecification& e) {
  std::vector<JunctionSpecification> all = e.junctions;
  for (const PerforateSpecification& perforate : e.perforates) {
    all.push_back(perforate.core);
    all.push_back(perforate.space);
  }
  return all;
}

Joints joints_of(const EngineSpecification& e) {
  Joints joints(e.pipes.size());
  const auto put = [&](const PipeEnd& end, Joint::Kind kind, std::size_t index) {
    if (end.pipe < 0) return;
    joints[static_cast<std::size_t>(end.pipe)][side_index(end.side)] = {kind, index};
  };
  for (std::size_t i = 0; i < e.cylinders.size(); ++i) {
    put(e.cylinders[i].exhaust, Joint::Kind::exhaust_valve, i);
    put(e.cylinders[i].intake, Joint::Kind::intake_valve, i);
  }
  const std::vector<JunctionSpecification> junctions = junctions_of(e);
  for (std::size_t i = 0; i < junctions.size(); ++i) {
    for (const Branch& branch : junctions[i].branches) put(branch.end, Joint::Kind::junction, i);
  }
  for (std::size_t i = 0; i < e.open_ends.size(); ++i) {
    put(e.open_ends[i].end, Joint::Kind::open_end, i);
  }
  for (std::size_t i = 0; i < e.closed_ends.size(); ++i) {
    put(e.closed_ends[i].end, Joint::Kind::closed_end, i);
  }
  for (std::size_t i = 0; i < e.anechoic_ends.size(); ++i) {
    put(e.anechoic_ends[i].end, Joint::Kind::anechoic_end, i);
  }
  return joints;
}

bool same_pipe(PipeSpecification a, PipeSpecification b) {
  a.name.clear();
  b.name.clear();
  return a == b;
}

bool same_open_end(const OpenEndSpecification& a, const OpenEndSpecification& b) {
  return a.effective_area_ratio == b.effective_area_ratio && a.entry_loss == b.entry_loss &&
         a.end_correction == b.end_correction && a.outside_temperature == b.outside_temperature;
}

// Before any branch is mapped.
bool same_junction(const JunctionSpecification& a, const JunctionSpecification& b) {
  return a.law == b.law && a.volume == b.volume && a.vent_area == b.vent_area &&
         a.coupling == b.coupling && a.vent_temperature == b.vent_temperature &&
         a.branches.size() == b.branches.size();
}

// An engine with what follows from its specification.
struct Joined {
  const EngineSpecification& engine;
  std::vector<JunctionSpecification> junctions;
  Joints joints;

  explicit Joined(const EngineSpecification& e)
      : engine(e), junctions(junctions_of(e)), joints(joints_of(e)) {}
};

// The search for the images of one engine in another or in itself under one turn, by following the
// pipes from the cylinders. Where more than one image is possible, all are tried.
class Search {
 public:
  Search(const Joined& from, const Joined& to, double turn) : from_(from), to_(to), turn_(turn) {}

  std::optional<EngineImages> find() {
    const EngineSpecification& a = from_.engine;
    const EngineSpecification& b = to_.engine;
    if (a.cylinders.size() != b.cylinders.size() || a.pipes.size() != b.pipes.size() ||
        from_.junctions.size() != to_.junctions.size()) {
      return std::nullopt;
    }
    Images images{std::vector(a.cylinders.size(), none), std::vector(a.pipes.size(), none),
                  std::vector(from_.junctions.size(), none)};
    if (!complete(images)) return std::nullopt;
    return EngineImages{turn_, found_.cylinders, found_.pipes};
  }

 private:
  struct Images {
    std::vector<std::size_t> cylinders, pipes, junctions;
  };

  static bool is_free(const std::vector<std::size_t>& images, std::size_t image) {
    return std::find(images.begin(), images.end(), image) == images.end();
  }
  static std::size_t index(int pipe) { return static_cast<std::size_t>(pipe); }

  // Sets an image, and of all that is joined to it where there is no choice. False where that
  // contradicts.
  bool set_pipe(Images& m, std::size_t pipe, std::size_t image) const {
    if (m.pipes[pipe] != none) return m.pipes[pipe] == image;
    if (!is_free(m.pipes, image)) return false;
    if (!same_pipe(from_.engine.pipes[pipe], to_.engine.pipes[image])) return false;
    m.pipes[pipe] = image;
    return set_joint(m, from_.joints[pipe][0], to_.joints[image][0]) &&
           set_joint(m, from_.joints[pipe][1], to_.joints[image][1]);
  }

  bool set_joint(Images& m, const Joint& joint, const Joint& image) const {
    if (joint.kind != image.kind) return false;
    switch (joint.kind) {
      case Joint::Kind::exhaust_valve:
      case Joint::Kind::intake_valve:
        return set_cylinder(m, joint.index, image.index);
      case Joint::Kind::junction:
        return set_junction(m, joint.index, image.index);
      case Joint::Kind::open_end:
        return same_open_end(from_.engine.open_ends[joint.index],
                             to_.engine.open_ends[image.index]);
      case Joint::Kind::closed_end:
      case Joint::Kind::anechoic_end:
        return true;
      case Joint::Kind::other:
        break;
    }
    return false;
  }

  bool set_cylinder(Images& m, std::size_t cylinder, std::size_t image) const {
    if (m.cylinders[cylinder] != none) return m.cylinders[cylinder] == image;
    const CylinderSpecification& a = from_.engine.cylinders[cylinder];
    const CylinderSpecification& b = to_.engine.cylinders[image];
    const double off = fold(b.firing_angle_deg - a.firing_angle_deg - turn_);
    if (std::min(off, cycle_angle - off) > equal_angle || !is_free(m.cylinders, image))
      return false;
    if (a.exhaust.side != b.exhaust.side || a.intake.side != b.intake.side) return false;
    m.cylinders[cylinder] = image;
    return set_pipe(m, index(a.exhaust.pipe), index(b.exhaust.pipe)) &&
           set_pipe(m, index(a.intake.pipe), index(b.intake.pipe));
  }

  bool set_junction(Images& m, std::size_t junction, std::size_t image) const {
    if (m.junctions[junction] != none) return m.junctions[junction] == image;
    if (!is_free(m.junctions, image)) return false;
    if (!same_junction(from_.junctions[junction], to_.junctions[image])) return false;
    m.junctions[junction] = image;
    return set_other_side(m, junction, image);
  }

  // Of a perforate: the image of its other side is the other side of its image.
  bool set_other_side(Images& m, std::size_t junction, std::size_t image) const {
    const std::size_t plain = from_.engine.junctions.size();
    if (plain != to_.engine.junctions.size()) return false;
    if ((junction < plain) != (image < plain)) return false;
    if (junction < plain) return true;
    const PerforateSpecification& a = from_.engine.perforates[(junction - plain) / 2];
    const PerforateSpecification& b = to_.engine.perforates[(image - plain) / 2];
    if (a.hole_area != b.hole_area || a.hole_length != b.hole_length) return false;
    const auto other = [&](std::size_t side) { return plain + ((side - plain) ^ std::size_t{1}); };
    if ((junction - plain) % 2 != (image - plain) % 2) return false;
    return set_junction(m, other(junction), other(image));
  }

  // Images of what has none yet, by trial. True, with found_ set, where all fits.
  bool complete(const Images& m) {
    for (std::size_t j = 0; j < m.junctions.size(); ++j) {
      if (m.junctions[j] == none) continue;
      for (const Branch& branch : from_.junctions[j].branches) {
        if (m.pipes[index(branch.end.pipe)] == none) return try_branches(m, branch.end, j);
      }
    }
    for (std::size_t i = 0; i < m.cylinders.size(); ++i) {
      if (m.cylinders[i] != none) continue;
      for (std::size_t image = 0; image < m.cylinders.size(); ++image) {
        Images trial = m;
        if (set_cylinder(trial, i, image) && complete(trial)) return true;
      }
      return false;
    }
    // A pipe that no cylinder reaches, or junctions whose branches do not fit.
    if (!is_free(m.pipes, none) || !junctions_fit(m)) return false;
    found_ = m;
    return true;
  }

  bool try_branches(const Images& m, const PipeEnd& end, std::size_t junction) {
    for (const Branch& image : to_.junctions[m.junctions[junction]].branches) {
      if (image.end.side != end.side) continue;
      Images trial = m;
      if (set_pipe(trial, index(end.pipe), index(image.end.pipe)) && complete(trial)) return true;
    }
    return false;
  }

  // Every branch has its image in the image of its junction, with the same angle to every other:
  // then one is the other turned or mirrored, which changes nothing for the gas.
  bool junctions_fit(const Images& m) const {
    for (std::size_t j = 0; j < m.junctions.size(); ++j) {
      if (m.junctions[j] == none) return false;
      const auto& branches = from_.junctions[j].branches;
      std::vector<Eigen::Vector3d> directions;
      for (const Branch& branch : branches) {
        const Branch* image = image_of(m, branch.end, m.junctions[j]);
        if (!image || image->into_pipe != branch.into_pipe ||
            image->out_of_pipe != branch.out_of_pipe) {
          return false;
        }
        directions.push_back(image->direction);
      }
      for (std::size_t a = 0; a < branches.size(); ++a) {
        for (std::size_t b = 0; b < a; ++b) {
          const double before = branches[a].direction.dot(branches[b].direction);
          if (std::abs(before - directions[a].dot(directions[b])) > same_cosine) return false;
        }
      }
    }
    return true;
  }

  // The branch of the junction that is the image of the pipe end; null if there is none.
  const Branch* image_of(const Images& m, const PipeEnd& end, std::size_t junction) const {
    for (const Branch& branch : to_.junctions[junction].branches) {
      if (index(branch.end.pipe) == m.pipes[index(end.pipe)] && branch.end.side == end.side) {
        return &branch;
      }
    }
    return nullptr;
  }

  const Joined& from_;
  const Joined& to_;
  double turn_;
  Images found_;
};

}  // namespace

std::size_t EngineSymmetry::order() const {
  return static_cast<std::size_t>(std::lround(cycle_angle / turn));
}

std::optional<EngineImages> images_of(const EngineSpecification& from,
                                      const EngineSpecification& to) {
  if (from.cylinders.empty() || from.cylinders.size() != to.cylinders.size()) return std::nullopt;
  const Joined a(from);
  const Joined b(to);
  std::set<double> turns;  // ascending: to each cylinder from the first
  for (const auto& cylinder : to.cylinders) {
    const double turn = fold(cylinder.firing_angle_deg - from.cylinders[0].firing_angle_deg);
    turns.insert(turn < cycle_angle - equal_angle ? turn : 0.0);
  }
  for (const double turn : turns) {
    if (auto images = Search(a, b, turn).find()) return images;
  }
  return std::nullopt;
}

std::optional<EngineSymmetry> symmetry_of(const EngineSpecification& engine) {
  if (engine.cylinders.size() < 2) return std::nullopt;
  const Joined joined(engine);
  std::set<double> turns;  // ascending: to each cylinder from the first
  for (const auto& cylinder : engine.cylinders) {
    const double turn = fold(cylinder.firing_angle_deg - engine.cylinders[0].firing_angle_deg);
    if (turn > equal_angle && turn < cycle_angle - equal_angle) turns.insert(turn);
  }
  for (const double turn : turns) {
    if (auto images = Search(joined, joined, turn).find()) return EngineSymmetry{*images};
  }
  return std::nullopt;
}

}  // namespace pulsewright::models
