// Case files with other values: only the value changes, and the parser finds it.
#include "cases/case_edit.hpp"

#include <doctest/doctest.h>
#include <stdexcept>
#include <string>

#include "cases/case_error.hpp"
#include "tests/cases/case_sample.hpp"

using namespace pulsewright;
using cases::edited_case;
using cases::written_value;
using tests::replaced;

namespace {

const std::string text =
    "# \xc3\xa9 first\n"
    "title = \"a\"  # of all\n"
    "\n"
    "[engine] # numbers\n"
    "bore = \"102 mm\" # \xc3\xa9\n"
    "[valve.flow]\n"
    "lift = [ \"1 mm\",\n  \"2 mm\" ]\n"
    "multiplier = 1 # as on the bench\n"
    "[[header]]\n"
    "name = \"one\"\n"
    "[run]\n"
    "step = { a = 1 }\n";

std::string with(const std::string& key, const std::string& value) {
  return edited_case(text, "a.toml", {{key, value}});
}

}  // namespace

TEST_CASE("case edit: a value is replaced where it stands, and nothing else") {
  CHECK(with("engine.bore", "98 mm") == replaced(text, "\"102 mm\"", "\"98 mm\""));
  CHECK(with("valve.flow.multiplier", "1.04") == replaced(text, "= 1 #", "= 1.04 #"));
  CHECK(with("title", "b \"c\"") == replaced(text, "\"a\"", "\"b \\\"c\\\"\""));
}

TEST_CASE("case edit: what is missing goes below its heading, else to the end") {
  CHECK(with("engine.stroke", "80 mm") ==
        replaced(text, "# numbers\n", "# numbers\nstroke = \"80 mm\"\n"));
  CHECK(with("friction.constant", "0.5 bar") == text + "\n[friction]\nconstant = \"0.5 bar\"\n");
  CHECK(with("calibrated", "to it") == replaced(text, "title", "calibrated = \"to it\"\ntitle"));
  CHECK(with("run.step.b", "2") == replaced(text, "{ a = 1 }", "{ a = 1 , b = 2.0 }"));
  CHECK(with("valve.count", "2") == text + "\n[valve]\ncount = 2.0\n");
}

TEST_CASE("case edit: several changes, and a text without a last line feed") {
  const std::string out = edited_case("[a]\nx = 1", "a.toml", {{"a.x", "2"}, {"b.y", "3"}});
  CHECK(out == "[a]\nx = 2.0\n\n[b]\ny = 3.0\n");
  CHECK(edited_case("", "a.toml", {{"k", "v"}}) == "k = \"v\"\n");
}

TEST_CASE("case edit: what cannot be changed is refused") {
  // A table that dotted keys make has no heading.
  CHECK_THROWS_AS(edited_case("a.b.c = 1\n", "a.toml", {{"a.b.d", "2"}}), std::invalid_argument);
  CHECK_THROWS_AS(with("title", ""), std::invalid_argument);
  CHECK_THROWS_AS(edited_case("a = [", "a.toml", {{"a", "2"}}), cases::CaseError);
}

TEST_CASE("case edit: what is written at a key") {
  CHECK(written_value(text, "engine.bore") == "102 mm");
  CHECK(written_value(text, "valve.flow.multiplier") == "1");
  CHECK(written_value(text, "engine.rod").empty());
}
