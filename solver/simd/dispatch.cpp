#include "solver/simd/dispatch.hpp"

#include <stdexcept>

#include "solver/simd/types.hpp"

namespace pulsewright::solver {

namespace {

// PULSEWRIGHT_PORTABLE: the build compiles kernels_portable.cpp beside the others.
#if defined(PULSEWRIGHT_PORTABLE) || !defined(PULSEWRIGHT_HAS_STANDARD_SIMD)
constexpr bool has_portable = true;
#else
constexpr bool has_portable = false;
#endif

}  // namespace

std::string name_of(InstructionSet set) {
  switch (set) {
    case InstructionSet::portable:
      return "portable";
    case InstructionSet::avx512:
      return "avx512";
    case InstructionSet::avx2:
      break;
  }
  return "avx2";
}

bool supported(InstructionSet set) {
  switch (set) {
    case InstructionSet::portable:
      return has_portable;
    case InstructionSet::avx512:
      // PULSEWRIGHT_AVX512: the build compiles kernels_avx512.cpp for it.
#if defined(PULSEWRIGHT_AVX512)
      // Every extension of x86-64-v4.
      __builtin_cpu_init();
      return __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512cd") &&
             __builtin_cpu_supports("avx512bw") && __builtin_cpu_supports("avx512dq") &&
             __builtin_cpu_supports("avx512vl");
#elif defined(PULSEWRIGHT_EIGHT_LANES)
      return true;
#else
      return false;
#endif
    case InstructionSet::avx2:
      break;
  }
#ifdef PULSEWRIGHT_HAS_STANDARD_SIMD
  return true;
#else
  return false;
#endif
}

InstructionSet choose_instruction_set(const char* requested) {
  const std::string name = requested ? requested : "";
  std::string allowed;
  InstructionSet widest = instruction_sets.front();
  bool known = false;
  for (const InstructionSet set : instruction_sets) {
    known = known || name == name_of(set);
    if (!supported(set)) continue;
    if (name == name_of(set)) return set;
    allowed += (allowed.empty() ? "" : ", ") + name_of(set);
    widest = set;
  }
  if (name.empty()) return widest;
  throw std::invalid_argument("PULSEWRIGHT_SIMD=" + name +
                              (known ? ": this processor or this build lacks the instruction set"
                                     : ": no such instruction set") +
                              "; allowed here: " + allowed + ", or leave it unset for the widest");
}

}  // namespace pulsewright::solver
