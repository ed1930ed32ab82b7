// One mistake in a case file makes one error, at its line.
#include <algorithm>
#include <doctest/doctest.h>
#include <string>

#include "cases/builder_words.hpp"
#include "cases/case_error.hpp"
#include "cases/case_reader.hpp"
#include "tests/cases/case_sample.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::contains;
using pulsewright::tests::replaced;
using pulsewright::tests::sample_text;
using pulsewright::tests::shipped_folder;

namespace {

std::vector<Problem> problems_in(const std::string& text) {
  try {
    read_case_text(text, "wrong.toml");
  } catch (const CaseError& error) {
    return error.problems();
  }
  return {};
}

std::string shipped_text(const char* name) { return read_case_file(shipped_folder() / name).text; }

// The sample with both lobes under [cam].
std::string with_cam(const std::string& cam) {
  std::string text = sample_text();
  for (const char* timing :
       {"timing_lift = \"0 in\"\nopens = \"82 deg BBDC\"\ncloses = \"40 deg ATDC\"\n",
        "timing_lift = \"0 in\"\nopens = \"42 deg BTDC\"\ncloses = \"74 deg ABDC\"\n"}) {
    text = replaced(text, timing, "");
  }
  return text + "[cam]\n" + cam;
}

struct Mistake {
  std::string text;  // of the case
  const char* key;
  const char* says;
};

}  // namespace

TEST_CASE("one mistake makes one error") {
  const std::string plenum = shipped_text("carburettor-v8.toml");
  const std::string vessel = shipped_text("pipe-blowdown.toml");
  const std::string sample = sample_text();
  const Mistake mistakes[] = {
      {with_cam("lobe_separation = \"108\"\nintake_centerline = \"106 deg\"\n"),
       "cam.lobe_separation", "has no unit"},
      {with_cam("lobe_separation = \"108 deg\"\n"), "cam.intake_centerline", "is missing"},
      {with_cam("lobe_seperation = \"108 deg\"\nintake_centerline = \"106 deg\"\n"),
       "cam.lobe_seperation", "did you mean lobe_separation?"},
      {replaced(sample, "banks =",
                "intervals = [\"90\", \"90 deg\", \"90 deg\", \"90 deg\", \"90 deg\", \"90 "
                "deg\", \"90 deg\", \"90 deg\"]\nbanks ="),
       "engine.intervals[1]", "has no unit"},
      {replaced(sample, "bore = \"102 mm\"", "boar = \"102 mm\""), "engine.boar",
       "did you mean bore?"},
      {replaced(sample, "primary_length = \"32 in\"", "primary_lenght = \"32 in\""),
       "header[1].primary_lenght", "did you mean primary_length?"},
      {replaced(sample, "[intake]", "[intak]"), "intak", "did you mean intake?"},
      {replaced(plenum, "source = \"plenum\"", "source = \"carburettor\""), "intake.source",
       "write source = \"plenum\""},
      {replaced(plenum, "kind = \"catalyst\"", "kind = \"cat\""), "header[2].part[1].kind",
       "write kind = \"catalyst\""},
      {replaced(plenum, "throttle_diameter = \"1-11/16 in\"", "throttle_diameter = \"1-11/16\""),
       "intake.throttle_diameter", "has no unit"},
      // What was judged before the mistyped key was found is taken back.
      {replaced(plenum, "throttle_flow =", "thottle_flow ="), "intake.thottle_flow",
       "did you mean throttle_flow?"},
      {replaced(vessel, "profile = [", "prfile = ["), "header[1].pipe[1].prfile",
       "did you mean profile?"},
      {replaced(vessel, "name = \"tee\"", "name = \"tea\""), "header[1].pipe[1].to",
       "did you mean \"junction tea\"?"},
      {replaced(vessel, "to = \"junction fork\"\nto_angle", "to = \"fork\"\nto_angle"),
       "header[1].pipe[3].to", "an end is"},
      {replaced(shipped_text("street-v8.toml"), "port_length = \"3 in\"", "port_length = \"3\""),
       "exhaust.port_length", "has no unit"},
  };
  for (const Mistake& mistake : mistakes) {
    CAPTURE(mistake.key);
    REQUIRE(!mistake.text.empty());
    const auto problems = problems_in(mistake.text);
    REQUIRE(!problems.empty());
    CAPTURE(to_text(problems.back()));
    CHECK(problems.size() == 1);
    CHECK(problems.front().key == mistake.key);
    CHECK(problems.front().line > 0);
    CHECK(contains(problems.front().message + " " + problems.front().advice, mistake.says));
  }
}

TEST_CASE("two mistakes in two tables make two errors") {
  std::string text = replaced(sample_text(), "bore = \"102 mm\"", "bore = \"102\"");
  text = replaced(text, "seat_diameter = \"39 mm\"", "seat_diameter = \"39\"");
  CHECK(problems_in(text).size() == 2);
}

TEST_CASE("what builders call it is answered in the words of the file") {
  CHECK(contains(builder_word("header.part", "kind", "Muffler"), "\"straight-through\""));
  CHECK(contains(builder_word("header", "kind", "5-1"), "\"equal-length\""));
  CHECK(contains(builder_word("header", "kind", "Tri-Y"), "\"4-2-1\""));
  CHECK(contains(builder_word("combustion", "fuel", "alcohol"), "\"methanol\""));
  CHECK(contains(builder_word("combustion", "fuel", "pump gas"), "\"pump-petrol\""));
  CHECK(contains(builder_word("header", "", "muffler"), "[[header.part]]"));
  CHECK(builder_word("header.part", "kind", "zzz").empty());
  CHECK(builder_word("header", "kind", "muffler").empty());
  CHECK(builder_word("header", "kind", "").empty());
  // The reader shows it.
  const auto problems =
      problems_in(replaced(sample_text(), "kind = \"equal-length\"", "kind = \"4-into-1\""));
  REQUIRE(problems.size() == 1);
  CHECK(contains(problems[0].advice, "are \"equal-length\""));
  CHECK(contains(problems[0].allowed, "stepped-length"));
}
