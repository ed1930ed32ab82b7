// What the message of a run that ends early says.
#include "models/engine/run_fault.hpp"

#include <doctest/doctest.h>
#include <limits>

using namespace pulsewright;

namespace {

std::string message(const char* part, const char* quantity, double value, double place) {
  models::NetworkSpecification network;
  network.pipes.resize(1);
  network.pipes[0].name = "primary 1";
  network.junctions.resize(1);
  network.junctions[0].name = "merge left";
  return models::run_fault(solver::Fault(part, quantity, value, place), network, "time 0.0125 s")
      .what();
}

}  // namespace

TEST_CASE("a fault of a run is told in words, with part and place") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const std::string start = "the gas can no longer be computed ";
  CHECK(message("primary 1", "temperature in K", -290.24, 0.65) ==
        start +
            "in pipe 'primary 1', 0.65 m from its left end: the temperature falls to -290.2 K, "
            "at time 0.0125 s");
  CHECK(message("merge left", "substeps of the volume", 11560, -1) ==
        start +
            "at junction 'merge left': its volume is too small for the flow through it; enlarge "
            "it, at time 0.0125 s");
  CHECK(message("cylinder 12", "mass in kg", -1e-6, -1) ==
        start + "in cylinder 12: the mass of gas falls to -1e-06 kg, at time 0.0125 s");
  CHECK(message("left end of pipe tail",
                "no solution of the boundary condition, momentum flux in Pa", nan, -1) ==
        start +
            "at left end of pipe tail: the flow through the boundary has no solution, at time "
            "0.0125 s");
  CHECK(message("network", "time step in s", 0, -1) ==
        start + "in the network: the time step falls to 0 s, at time 0.0125 s");
}

TEST_CASE("a fault of a run shows no number that is none") {
  for (const double none :
       {std::numeric_limits<double>::quiet_NaN(), -std::numeric_limits<double>::quiet_NaN(),
        std::numeric_limits<double>::infinity()}) {
    for (const char* quantity : {"temperature in K", "wall temperature in K", "density in kg/m3",
                                 "pressure in Pa", "mass in kg", "velocity in m/s",
                                 "wave speed in m/s", "time step in s", "substeps of the volume"}) {
      const std::string text = message("primary 1", quantity, none, 0.1);
      CAPTURE(text);
      CHECK(text.find("nan") == std::string::npos);
      CHECK(text.find("inf") == std::string::npos);
      CHECK(text.find(" = ") == std::string::npos);
    }
  }
}
