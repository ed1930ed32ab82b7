#include "solver/pipe/kernel_tables.hpp"

namespace pulsewright::solver {

bool avx512_available() {
#if defined(__x86_64__)
  // Every extension of x86-64-v4.
  __builtin_cpu_init();
  return avx512_monotonized_central.full.pipe.advance != nullptr &&
         __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512cd") &&
         __builtin_cpu_supports("avx512bw") && __builtin_cpu_supports("avx512dq") &&
         __builtin_cpu_supports("avx512vl");
#else
  return false;
#endif
}

}  // namespace pulsewright::solver
