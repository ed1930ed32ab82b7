// Parts of an engine that are the same but for a shift of crank angle, of which one needs to be
// computed: the banks of a V8 with runners from the air and a collector and tail each, cylinders
// with a stack of their own.
//
// In: the specification alone. A part is what pipes, junctions, perforates and cylinders join. Gas
// of one part knows nothing of another: all that they share is the crank, whose speed is given. Two
// parts are the same where a turn of the crank maps one onto the other (symmetry.hpp); then the
// motion of the gas in one is that in the other, so much later. An engine is divided only where
// all its parts have equally many copies, so that its sums are multiples of those of what is
// computed (tools/dev/decisions/0040-same-parts-once.md).
#pragma once

#include <cstddef>
#include <vector>

#include "models/network/specification.hpp"

namespace pulsewright::models {

struct RepeatedParts {
  // Where a pipe or cylinder of the engine is computed.
  struct Image {
    std::size_t source = 0;  // index into the pipes or cylinders of `computed`
    std::size_t copy = 0;    // 0: it is computed itself; 1, 2 ...: which copy of its part it is in
    double shift = 0;        // deg, 0 .. < 720: how much later than its source
  };

  // What is computed: one part of each sort with all that belongs to it, in the order of the
  // engine; all places of its probes, those on copies moved to their source.
  EngineSpecification computed;
  std::size_t copies = 1;  // how often each part of it stands in the engine; 1: it is the engine
  std::vector<Image> cylinders;  // by cylinder of the engine
  std::vector<Image> pipes;      // by pipe of the engine

  // The shifts other than 0, ascending, each once.
  std::vector<double> shifts() const;
  // The cylinder of the engine that stands for a cylinder of `computed` in the same copy as a pipe.
  std::size_t cylinder_beside(std::size_t computed_cylinder, std::size_t engine_pipe) const;
};

// The parts of an engine that have a cylinder, each as an engine of its own, in the order of their
// first cylinders; the engine itself where it cannot be divided, or has pipes that no cylinder
// reaches. Cylinders keep their firing angles and numbers; probes are left out. Torque is the sum
// of theirs. Each steps as finely as its own pipes require, so figures differ from those of the
// whole engine by the error of the steps.
std::vector<EngineSpecification> independent_parts_of(const EngineSpecification& engine);

// The engine undivided.
RepeatedParts undivided(const EngineSpecification& engine);

// first: index of a cylinder whose part is computed itself; none: any number beyond the last.
// Throws std::invalid_argument where a pipe end is used twice or not at all.
RepeatedParts repeated_parts_of(const EngineSpecification& engine, std::size_t first);

// As the settings have it, with the part of the cylinder of the wave diagram first.
RepeatedParts parts_to_compute(const EngineSpecification& engine, const RunSettings& settings);

}  // namespace pulsewright::models
