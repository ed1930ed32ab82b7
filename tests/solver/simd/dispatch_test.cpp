// The choice of the instruction set.
#include "solver/simd/dispatch.hpp"

#include <cstdlib>
#include <doctest/doctest.h>
#include <stdexcept>
#include <string>

using namespace pulsewright::solver;

TEST_CASE("dispatch: the environment names the instruction set, else it is the widest one") {
  InstructionSet widest = InstructionSet::avx2;
  for (const InstructionSet set : instruction_sets) {
    CAPTURE(name_of(set));
    if (supported(set)) {
      CHECK(choose_instruction_set(name_of(set).c_str()) == set);
      widest = set;
    } else {
      MESSAGE("not supported by this processor or this build: ", name_of(set));
      CHECK_THROWS_AS(choose_instruction_set(name_of(set).c_str()), std::invalid_argument);
    }
  }
  CHECK(supported(InstructionSet::avx2));  // the whole program is compiled for it
  CHECK(choose_instruction_set(nullptr) == widest);
  CHECK(choose_instruction_set("") == widest);
  CHECK(instruction_set() == choose_instruction_set(std::getenv("PULSEWRIGHT_SIMD")));
}

TEST_CASE("dispatch: an unknown instruction set is refused with what is allowed") {
  for (const char* wrong : {"AVX2", "avx", "avx512 ", "sse2", "wide"}) {
    CAPTURE(wrong);
    try {
      choose_instruction_set(wrong);
      FAIL("it was taken");
    } catch (const std::invalid_argument& error) {
      const std::string text = error.what();
      CHECK(text.find("PULSEWRIGHT_SIMD=" + std::string(wrong)) == 0);
      std::string allowed;
      for (const InstructionSet set : instruction_sets) {
        if (supported(set)) allowed += (allowed.empty() ? "" : ", ") + name_of(set);
      }
      CHECK(text.find("allowed here: " + allowed + ", or") != std::string::npos);
    }
  }
}

TEST_CASE("dispatch: a table of kernels is chosen by its instruction set") {
  const int a = 1;
  const int b = 2;
  const int c = 3;
  const KernelSets<int> kernels{c, a, b};
  CHECK(&kernels.of(InstructionSet::portable) == &c);
  CHECK(&kernels.of(InstructionSet::avx2) == &a);
  CHECK(&kernels.of(InstructionSet::avx512) == &b);
  CHECK(&kernels.in_use() == &kernels.of(instruction_set()));
}
