// Other headers in the text of a case file.
#include "cases/case_headers.hpp"

#include <doctest/doctest.h>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>

#include "cases/case_reader.hpp"
#include "tests/cases/case_sample.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::shipped_folder;

namespace {

std::string shipped(const char* name) {
  std::ifstream in(shipped_folder() / name);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

const std::string other_header =
    "[[header]]\nname = \"new\"\nkind = \"equal-length\"\nprimary_tube = \"1-3/4 in OD, 16 ga\"\n"
    "primary_length = \"30 in\"\ncollector_tube = \"3 in OD, 16 ga\"\n"
    "collector_length = \"12 in\"\n";

}  // namespace

TEST_CASE("headers are exchanged, all else stays as it is written") {
  const std::string before =
      "title = \"x\"\n# of the engine\n[engine]\nbore = \"1 m\"\n\n# the headers\n\n# one\n"
      "[[header]]\nname = \"a\"\ngroups = [\n  [1, 2],\n  [3, 4],\n]\n# its tube\n"
      "[[header.primary]]\ncylinders = [1]\n\n# two\n[[header]]\nname = \"b\"\n\n# speeds\n[run]\n"
      "from = \"1 rpm\"\n";
  CHECK(with_headers(before, {"[[header]]\nname = \"c\"\n", "[[header]]\nname = \"d\"\n"}) ==
        "title = \"x\"\n# of the engine\n[engine]\nbore = \"1 m\"\n\n# the headers\n\n"
        "[[header]]\nname = \"c\"\n\n[[header]]\nname = \"d\"\n\n# speeds\n[run]\n"
        "from = \"1 rpm\"\n");
}

TEST_CASE("what names headers goes with them") {
  CHECK(with_headers("[[header]]\nname = \"a\"\n\n[run]\nfrom = \"1 rpm\"\n\n# pulls\n[[dyno]]\n"
                     "header = \"a\"\n\n[tune]\nheader = \"a\"\n\n[[tune.vary]]\n"
                     "part = \"merge_diameter\"\n\n# place\n[sound]\n",
                     {"[[header]]\nname = \"c\"\n"}) ==
        "[[header]]\nname = \"c\"\n\n[run]\nfrom = \"1 rpm\"\n\n\n# place\n[sound]\n");
}

TEST_CASE("a text without headers gets them at its end") {
  CHECK(with_headers("title = \"x\"\n", {"[[header]]\nname = \"c\"\n"}) ==
        "title = \"x\"\n\n[[header]]\nname = \"c\"\n");
  CHECK_THROWS_AS(with_headers("title = \n", {}), std::invalid_argument);
}

TEST_CASE("shipped cases with another header are read as before") {
  for (const char* name : {"hillclimb-v8.toml", "street-v8.toml", "inline-four.toml"}) {
    CAPTURE(name);
    const std::string text = shipped(name);
    const CaseFile before = read_case_text(text, name);
    const CaseFile after = read_case_text(with_headers(text, {other_header}), name);
    REQUIRE(after.headers.size() == 1);
    CHECK(after.headers.front().name == "new");
    CHECK(after.engine.firing_order == before.engine.firing_order);
    CHECK(after.engine.geometry.bore == before.engine.geometry.bore);
    CHECK(after.run.speeds == before.run.speeds);
    CHECK(after.run.band_to == before.run.band_to);
    CHECK(after.exhaust.port_length == before.exhaust.port_length);
  }
}
