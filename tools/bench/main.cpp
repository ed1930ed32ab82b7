// Speed of the kernels, of the parts and of whole operating points. Absolute figures drift from
// machine to machine, ratios of one run do not: tools/bench/ratios.py gives them against the
// reference_kernel, and compares two runs.
#include <benchmark/benchmark.h>
#include <fstream>
#include <string>

namespace {

std::string cpu_model() {
  std::ifstream info("/proc/cpuinfo");
  for (std::string line; std::getline(info, line);) {
    if (line.rfind("model name", 0) == 0) return line.substr(line.find(':') + 2);
  }
  return "unknown";
}

// Whether the processor that runs this knows the extension.
std::string vector_extensions() {
#if defined(__x86_64__)
  __builtin_cpu_init();
  return std::string(__builtin_cpu_supports("avx512f") ? "avx512f " : "") +
         (__builtin_cpu_supports("avx2") ? "avx2" : "no avx2");
#else
  return "unknown";
#endif
}

}  // namespace

int main(int argc, char** argv) {
  benchmark::Initialize(&argc, argv);
  if (benchmark::ReportUnrecognizedArguments(argc, argv)) return 2;
  benchmark::AddCustomContext("compiler", PULSEWRIGHT_BENCH_COMPILER);
  benchmark::AddCustomContext("flags", PULSEWRIGHT_BENCH_FLAGS);
  // Of this build; `library_build_type`, which the library adds, is its own.
  benchmark::AddCustomContext("build_type", PULSEWRIGHT_BENCH_BUILD_TYPE);
  benchmark::AddCustomContext("cpu_model", cpu_model());
  benchmark::AddCustomContext("cpu_vectors", vector_extensions());
  benchmark::RunSpecifiedBenchmarks();
  benchmark::Shutdown();
  return 0;
}
