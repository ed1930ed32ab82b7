// What a search may vary: the table [tune], and from values to a header.
#include "cases/design_variable.hpp"

#include <algorithm>
#include <cstdlib>
#include <doctest/doctest.h>
#include <stdexcept>
#include <string>
#include <vector>

#include "cases/case_reader.hpp"
#include "cases/collector_order.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::contains;
using pulsewright::tests::inch;
using pulsewright::tests::near;
using pulsewright::tests::sample_text;

namespace {

CaseFile sample_with(const std::string& added) {
  return read_case_text(sample_text() + added, "sample.toml");
}

DesignVariable variable_of(VariedPart part, std::vector<int> cylinders = {}) {
  DesignVariable variable;
  variable.part = part;
  variable.cylinders = std::move(cylinders);
  return variable;
}

// The message of a case that is refused; empty where it is taken.
std::string refusal(const std::string& added) {
  try {
    sample_with(added);
    return {};
  } catch (const CaseError& error) {
    return error.what();
  }
}

}  // namespace

TEST_CASE("the table tune is read with limits, sizes, fits and aims") {
  const CaseFile case_file = sample_with(R"([tune]
header = "stepped-length"
weight_dip = 0.5
weight_shift = 2
shift_speed = "5200 rpm"
designs = 40
seed = 7
[[tune.vary]]
part = "primary_length"
cylinders = [1, 3]
from = "28 in"
to = "36 in"
[[tune.vary]]
part = "primary_tube"
tubes = ["1-3/4 in OD, 16 ga", "1-7/8 in OD, 16 ga"]
[[tune.vary]]
part = "collector_tube"
[[tune.vary]]
part = "collector_order"
[[tune.fits]]
cylinders = [3]
longest = "31 in"
)");
  const Tune& tune = case_file.tune;
  CHECK(tune.header == "stepped-length");
  CHECK(tune.designs == 40);
  CHECK(tune.seed == 7);
  CHECK(tune.weights.mean == 1);
  CHECK(tune.weights.dip == 0.5);
  CHECK(tune.weights.shift == 2);
  CHECK(near(tune.weights.shift_speed, 5200.0 / 60, 1e-12, 0));
  REQUIRE(tune.variables.size() == 4);
  CHECK(near(tune.variables[0].from, 28 * inch, 1e-12, 0));
  CHECK(near(tune.variables[0].greatest(), 36 * inch, 1e-12, 0));
  CHECK(tune.variables[0].cylinders == std::vector<int>{1, 3});
  CHECK(tune.variables[1].greatest() == 1);
  // Left out: outside diameters in steps of an eighth of an inch round the 3-1/2 in of the header.
  CHECK(tune.variables[2].tubes.empty());
  const HeaderDesign& header = case_file.headers[1];
  const auto sizes = with_choices(tune.variables[2], header).tubes;
  REQUIRE(sizes.size() == 5);
  CHECK(near(sizes[4].inside_diameter + 2 * sizes[4].wall, 3.75 * inch, 1e-12, 0));
  // Four tubes round a collector: 3! orders, mirrored ones once.
  CHECK(with_choices(tune.variables[3], header).orders == 3);
  REQUIRE(tune.fits.size() == 1);
  CHECK(near(tune.fits[0].longest, 31 * inch, 1e-12, 0));
  CHECK(sample_with("").tune.variables.empty());
}

TEST_CASE("a table tune that asks for what the header has not got is refused") {
  const auto vary = [](const std::string& keys) { return "[tune]\n[[tune.vary]]\n" + keys; };
  CHECK(contains(refusal("[tune]\nheader = \"equal\"\n"), "is no header of this case"));
  CHECK(contains(refusal(vary("part = \"secondary_length\"\nfrom = \"1 in\"\nto = \"2 in\"\n")),
                 "has no secondary_length"));
  CHECK(contains(refusal(vary("part = \"tail_tube\"\n")), "has no tail_tube"));
  CHECK(contains(refusal(vary("part = \"primary_length\"\nfrom = \"30 in\"\n")),
                 "a length varies between two limits"));
  CHECK(contains(refusal(vary("part = \"primary_length\"\nfrom = \"30 in\"\nto = \"29 in\"\n")),
                 "is no more than from"));
  CHECK(contains(refusal(vary("part = \"primary_tube\"\nfrom = \"1 in\"\nto = \"2 in\"\n")),
                 "does not belong to primary_tube"));
  CHECK(contains(refusal(vary("part = \"primary_length\"\ncylinders = [9]\nfrom = \"30 in\"\nto = "
                              "\"32 in\"\n")),
                 "has no cylinder 9"));
  CHECK(contains(refusal(vary("part = \"primary_length\"\ncylinders = [3, 1, 3]\nfrom = \"30 in\"\n"
                              "to = \"32 in\"\n")),
                 "has cylinder 3 once, and it is named twice"));
  CHECK(contains(refusal(vary("part = \"primary_tube\"\ntubes = [\"2 in OD, 16 ga\"]\n")),
                 "name the size that the header has, too: \"1.875 in OD, 16 ga\""));
  CHECK(contains(refusal("[tune]\nweight_mean = 0\n"), "nothing to aim at"));
  CHECK(contains(refusal("[tune]\nweight_shift = 1\n"), "weight_shift needs it"));
  CHECK(contains(refusal("[tune]\n[[tune.fits]]\ncylinders = [1]\nlongest = \"20 in\"\nshortest = "
                         "\"21 in\"\n"),
                 "leaves no length that fits"));
  CHECK(contains(refusal("[tune]\nweigth_mean = 1\n"), "weight_mean"));
}

TEST_CASE("values set lengths and sizes, and the header gives them back") {
  const CaseFile case_file = sample_with("");
  const HeaderDesign& stepped = case_file.headers[1];
  const DesignVariable all = variable_of(VariedPart::primary_length);
  CHECK(near(variable_value(stepped, all), 31 * inch, 1e-12, 0));  // mean of 28, 30, 32, 34
  const HeaderDesign longer = varied_header(stepped, {all}, {33 * inch});
  for (const auto& [cylinder, length] : stepped.primary_length) {
    CHECK(near(longer.primary_length.at(cylinder), length + 2 * inch, 1e-12, 0));
  }
  const DesignVariable single = variable_of(VariedPart::primary_length, {3});
  const HeaderDesign one = varied_header(stepped, {single}, {30 * inch});
  CHECK(near(one.primary_length.at(3), 30 * inch, 1e-12, 0));
  CHECK(one.primary_length.at(1) == stepped.primary_length.at(1));

  const DesignVariable span = variable_of(VariedPart::primary_span);
  CHECK(near(variable_value(stepped, span), 6 * inch, 1e-12, 0));
  const HeaderDesign wider = varied_header(stepped, {span}, {12 * inch});
  CHECK(near(variable_value(wider, span), 12 * inch, 1e-12, 0));
  CHECK(near(variable_value(wider, all), 31 * inch, 1e-12, 0));

  DesignVariable tube = variable_of(VariedPart::primary_tube);
  tube.tubes = neighbouring_tubes(stepped.primary_tube);
  CHECK(variable_value(stepped, tube) == 2);
  const HeaderDesign larger = varied_header(stepped, {tube}, {3.2});
  CHECK(near(larger.primaries.at(5).tube.inside_diameter,
             stepped.primary_tube.inside_diameter + inch / 8, 1e-12, 0));
  CHECK(variable_value(larger, tube) == 3);
}

TEST_CASE("primaries stay within what fits") {
  const CaseFile case_file = sample_with("");
  const HeaderDesign& equal = case_file.headers[0];
  const TubeFit fit{{3, 5}, 30 * inch, 31 * inch};
  const DesignVariable all = variable_of(VariedPart::primary_length);
  const HeaderDesign longer = varied_header(equal, {all}, {34 * inch}, {fit});
  CHECK(near(longer.primary_length.at(3), 31 * inch, 1e-12, 0));
  CHECK(near(longer.primary_length.at(1), 34 * inch, 1e-12, 0));
  const HeaderDesign shorter = varied_header(equal, {all}, {28 * inch}, {fit});
  CHECK(near(shorter.primary_length.at(5), 30 * inch, 1e-12, 0));
}

TEST_CASE("each order of tubes round a collector is one of them") {
  CollectorGroup group;
  group.cylinders = {1, 8, 4, 3, 6};
  group.collector_position = {1, 2, 3, 4, 5};
  const auto orders = collector_orders(group);
  CHECK(orders.size() == 12);  // 4! / 2
  CHECK(orders.front() == group.collector_position);
  CHECK(order_round(group) == group.cylinders);
  for (const auto& order : orders) {
    CHECK(order.front() == 1);
    CHECK(std::count(orders.begin(), orders.end(), mirrored_order(order)) <=
          (mirrored_order(order) == order ? 1 : 0));
  }
  group.cylinders = {1, 8, 4, 3};
  group.subgroups = {{1, 4}, {8, 3}};
  group.collector_position = {1, 3, 2, 4};
  CHECK(order_round(group) == std::vector<int>{1, 4, 8, 3});
  for (const auto& order : collector_orders(group)) {
    // 1 and 4 stand side by side: their places differ by 1 or, round the back, by 3.
    const int apart = std::abs(order[0] - order[2]);
    CHECK((apart == 1 || apart == 3));
  }
}

TEST_CASE("what a header has not got cannot vary") {
  const CaseFile case_file = sample_with("");
  const HeaderDesign& equal = case_file.headers[0];
  CHECK_THROWS_AS(varied_header(equal, {variable_of(VariedPart::tail_length)}, {0.5}),
                  std::invalid_argument);
  CHECK(contains(why_not_varied(equal, variable_of(VariedPart::step_at)), "has no steps"));
  CHECK(why_not_varied(equal, variable_of(VariedPart::collector_order)).empty());
  // Eight primaries, the collector's length, the size of all primaries, that of the collector.
  const auto variables = all_variables(equal);
  CHECK(variables.size() == 11);
  CHECK(variable_name(variables.front()) == "primary length 1");
  for (const auto& variable : variables) {
    const double value = variable_value(equal, variable);
    CHECK(value >= variable.least());
    CHECK(value <= variable.greatest());
  }
}

TEST_CASE("a header is as it is where its variables have its own values") {
  const CaseFile case_file = sample_with("");
  HeaderDesign header = case_file.headers[1];  // stepped-length, with 1-7/8 in tubes
  // Collectors that differ in spread and order, of which a value can name but one.
  header.primary_length.at(header.groups[0].cylinders.back()) += 3 * inch;
  header.groups[0].collector_position = collector_orders(header.groups[0])[0];
  header.groups[1].collector_position = collector_orders(header.groups[1])[2];
  std::vector<DesignVariable> variables{
      variable_of(VariedPart::primary_length), variable_of(VariedPart::primary_span),
      variable_of(VariedPart::collector_order), variable_of(VariedPart::collector_length)};
  std::vector<double> values;
  for (DesignVariable& variable : variables) {
    variable = with_choices(variable, header);
    values.push_back(variable_value(header, variable));
  }
  const HeaderDesign same = varied_header(header, variables, values);
  CHECK(same.primary_length == header.primary_length);
  CHECK(same.collector_length == header.collector_length);
  REQUIRE(same.groups.size() == 2);
  for (std::size_t g = 0; g < 2; ++g) {
    CHECK(same.groups[g].collector_position == header.groups[g].collector_position);
  }
  // Another order is that of both.
  values[2] = 1;
  const HeaderDesign other = varied_header(header, variables, values);
  for (const CollectorGroup& group : other.groups) {
    CHECK(group.collector_position == collector_orders(group)[1]);
  }
}

TEST_CASE("a step may lie where the case file may have it, with and without a port") {
  // 30 mm from the flange: with a port its taper, 15 mm, and a piece of 25 mm lie before it.
  const auto text = [](bool port) {
    std::string changed = sample_text();
    const std::string kind = "kind = \"equal-length\"\n";
    changed.insert(changed.find(kind) + kind.size(),
                   "primary_steps = [{ at = \"30 mm\", tube = \"2 in OD, 16 ga\" }]\n");
    const std::string lines = "port_length = \"75 mm\"\nport_diameter = \"40 mm\"\n";
    if (!port) changed.erase(changed.find(lines), lines.size());
    return changed;
  };
  CHECK_THROWS_WITH_AS(read_case_text(text(true), "sample.toml"),
                       doctest::Contains("from 40 mm to"), CaseError);
  const CaseFile case_file = read_case_text(text(false), "sample.toml");
  DesignVariable at = variable_of(VariedPart::step_at);
  const HeaderDesign& header = case_file.headers.front();
  CHECK(near(variable_value(varied_header(header, {at}, {0.028}), at), 0.028, 1e-12, 0));
  CHECK_THROWS_AS(varied_header(header, {at}, {0.024}), std::invalid_argument);
  DesignVariable tube = variable_of(VariedPart::primary_tube);
  tube.tubes = {header.primary_tube, header.primaries.at(1).steps.front().tube};
  CHECK_THROWS_AS(varied_header(header, {tube}, {1}), std::invalid_argument);
}
