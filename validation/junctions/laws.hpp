// The junction laws by name, for checks that hold them beside each other.
#pragma once

#include <array>
#include <utility>

#include "models/boundary/specification.hpp"
#include "validation/case.hpp"

namespace pulsewright::validation {

inline constexpr std::array laws{
    std::pair{"momentum", models::JunctionLaw::momentum},
    std::pair{"constant pressure", models::JunctionLaw::constant_pressure},
    std::pair{"plenum", models::JunctionLaw::plenum}};

// The law that headers use, or one that forgets the momentum of the jets.
inline models::JunctionLaw law_of(Broken broken) {
  return broken == Broken::junction_momentum ? models::JunctionLaw::plenum
                                             : models::JunctionSpecification().law;
}

}  // namespace pulsewright::validation
