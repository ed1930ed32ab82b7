// The one choice of the instruction set that the kernels run in: of the pipes, the orifices, the
// cylinders.
//
// Kernels - loops over cells, orifices or cylinders on plain pointers - are templates on the pack
// type and compiled once per instruction set, each library in one file per set,
// kernels_<instruction set>.cpp, which holds a constant table of functions and nothing else. All
// sets give the same bits.
//
// Code in packs outside the kernels - the renewal of the wall coefficients, every 16 steps - runs
// in solver::Pack, the pack of the set that the whole program is compiled for: too rare for a table
// of its own.
//
// A further instruction set is an enumerator here, a pack type in types.hpp, a member of
// KernelSets, and one such file per library.
#pragma once

#include <array>
#include <cstdlib>
#include <string>

namespace pulsewright::solver {

enum class InstructionSet {
  // The vector types of the compiler (vector_pack.hpp): the only one of WebAssembly, elsewhere the
  // proof of its arithmetic.
  portable,
  avx2,    // that of the whole program, x86-64-v3 unless PULSEWRIGHT_ARCH says otherwise
  avx512,  // x86-64-v4
};
// The later, the wider.
inline constexpr std::array instruction_sets{InstructionSet::portable, InstructionSet::avx2,
                                             InstructionSet::avx512};

// As the environment variable spells it: "portable", "avx2", "avx512".
std::string name_of(InstructionSet set);

// Whether this program has the kernels and this processor can run them.
bool supported(InstructionSet set);

// What PULSEWRIGHT_SIMD = requested chooses: the name of an instruction set; the widest supported
// one for none (null) or an empty one. Throws std::invalid_argument, which names what is allowed,
// for another name and for a set that is not supported.
InstructionSet choose_instruction_set(const char* requested);

// The set in use: chosen at the first call, by the environment variable PULSEWRIGHT_SIMD. Throws as
// choose_instruction_set() does.
inline InstructionSet instruction_set() {
  static const InstructionSet set = choose_instruction_set(std::getenv("PULSEWRIGHT_SIMD"));
  return set;
}

// A library's table of kernels for each instruction set.
template <class Kernels>
struct KernelSets {
  const Kernels& portable;
  const Kernels& avx2;
  const Kernels& avx512;

  const Kernels& of(InstructionSet set) const {
    if (set == InstructionSet::portable) return portable;
    return set == InstructionSet::avx512 ? avx512 : avx2;
  }
  const Kernels& in_use() const { return of(instruction_set()); }
};

}  // namespace pulsewright::solver
