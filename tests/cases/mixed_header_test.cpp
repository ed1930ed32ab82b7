// Headers with parts of another one: which parts differ, and that each exchange changes one alone.
#include "cases/mixed_header.hpp"

#include <algorithm>
#include <doctest/doctest.h>
#include <stdexcept>

#include "cases/case_reader.hpp"
#include "cases/header_builder.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright;
using namespace pulsewright::cases;
using doctest::Contains;
using pulsewright::tests::inch;
using pulsewright::tests::near;

namespace {

constexpr HeaderParts bit(HeaderPart part) { return static_cast<HeaderParts>(part); }
constexpr HeaderParts lengths = bit(HeaderPart::length);
constexpr HeaderParts tube = bit(HeaderPart::tube);
constexpr HeaderParts collector = bit(HeaderPart::collector);
constexpr HeaderParts kind = bit(HeaderPart::kind);

CaseFile hillclimb() { return read_case_file(tests::shipped_folder() / "hillclimb-v8.toml"); }

// Length and diameters of every pipe.
std::vector<double> shape_of(const CaseFile& case_file, const HeaderDesign& header) {
  std::vector<double> numbers;
  for (const auto& pipe : build_engine(case_file, header).pipes) {
    numbers.push_back(pipe.length);
    for (const auto& point : pipe.profile) {
      numbers.insert(numbers.end(), {point.x, point.diameter});
    }
  }
  return numbers;
}

// Another tube, collector and tail, all valid.
HeaderDesign changed(HeaderDesign header) {
  header.primary_tube.inside_diameter += 0.002;
  for (auto& [cylinder, primary] : header.primaries) primary.tube = header.primary_tube;
  header.collector_tube.inside_diameter += 0.004;
  header.collector_length += 0.05;
  header.tail_length += 0.1;
  return header;
}

}  // namespace

TEST_CASE("length to the last crotch: primaries in the mean, with the secondary of a 4-2-1") {
  // From the lengths of the shipped case.
  const CaseFile c = hillclimb();
  const auto of = [&](const char* name) { return length_to_last_crotch(find_header(c, name)); };
  CHECK(near(of("equal-length"), 32 * inch, 1e-12));
  CHECK(near(of("180-degree"), 40 * inch, 1e-12));
  CHECK(near(of("stepped-length"), 31 * inch, 1e-12));
  CHECK(near(of("4-2-1"), 34 * inch, 1e-12));
}

TEST_CASE("the parts in which headers differ") {
  const CaseFile c = hillclimb();
  const auto differ = [&](const char* one, const char* other) {
    const HeaderParts parts = differing_parts(find_header(c, one), find_header(c, other));
    CHECK(differing_parts(find_header(c, other), find_header(c, one)) == parts);
    return parts;
  };
  CHECK(differ("equal-length", "equal-length") == 0);
  CHECK(differ("equal-length", "180-degree") == (lengths | kind));
  CHECK(differ("equal-length", "stepped-length") == (lengths | kind));
  CHECK(differ("equal-length", "4-2-1") == (lengths | kind));
  CHECK(differ("equal-length", "divided-collector") == kind);
  const HeaderDesign& plain = find_header(c, "equal-length");
  CHECK(differing_parts(plain, changed(plain)) == (tube | collector));
  HeaderDesign other = plain;
  other.tail_cone_length = 0.02;
  CHECK(differing_parts(plain, other) == collector);
  other = plain;
  other.primaries.at(3).bends.pop_back();
  CHECK(differing_parts(plain, other) == kind);
  other = plain;
  std::swap(other.groups[0].collector_position[0], other.groups[0].collector_position[1]);
  CHECK(differing_parts(plain, other) == kind);
  other = plain;
  other.primary_length[3] += 0.016;  // one tube by 16 mm, the mean of eight by 2 mm
  CHECK(differing_parts(plain, other) == (lengths | kind));
}

TEST_CASE("another length keeps the steps, and the shares of primaries and secondaries") {
  const CaseFile c = hillclimb();
  const HeaderDesign& crossed = find_header(c, "180-degree");
  const HeaderDesign stepped = mixed_header(c, find_header(c, "stepped-length"), crossed, lengths);
  const auto range =
      std::minmax_element(stepped.primary_length.begin(), stepped.primary_length.end(),
                          [](const auto& a, const auto& b) { return a.second < b.second; });
  CHECK(near(range.first->second, 37 * inch, 1e-12));  // 28 and 34 in, 9 in longer
  CHECK(near(range.second->second, 43 * inch, 1e-12));
  CHECK(differing_parts(stepped, crossed) == kind);
  const HeaderDesign paired = mixed_header(c, find_header(c, "4-2-1"), crossed, lengths);
  CHECK(near(paired.primary_length.at(1), 18.0 / 34 * 40 * inch, 1e-12));
  CHECK(near(paired.secondary_length, 16.0 / 34 * 40 * inch, 1e-12));
  CHECK(differing_parts(paired, crossed) == kind);
  // And the other way: the tubes across the engine as long as the primaries and secondaries.
  CHECK(near(mixed_header(c, crossed, find_header(c, "4-2-1"), lengths).primary_length.at(8),
             34 * inch, 1e-12));
}

TEST_CASE("an exchange changes its part alone, and all of them make the other header") {
  const CaseFile c = hillclimb();
  const HeaderDesign& plain = find_header(c, "equal-length");
  HeaderDesign other = changed(plain);
  for (auto& [cylinder, own] : other.primary_length) own += 0.1;
  for (const HeaderPart part : {HeaderPart::length, HeaderPart::tube, HeaderPart::collector}) {
    CAPTURE(part_name(part));
    const HeaderDesign mixed = mixed_header(c, plain, other, bit(part));
    CHECK(differing_parts(mixed, plain) == bit(part));
    CHECK(differing_parts(mixed, other) == ((lengths | tube | collector) & ~bit(part)));
    CHECK(shape_of(c, mixed) != shape_of(c, plain));
    CHECK(shape_of(c, mixed_header(c, mixed, plain, bit(part))).size() ==
          shape_of(c, plain).size());
    CHECK(differing_parts(mixed_header(c, mixed, plain, bit(part)), plain) == 0);
  }
  const auto made = shape_of(c, mixed_header(c, plain, other, lengths | tube | collector));
  const auto expected = shape_of(c, other);
  REQUIRE(made.size() == expected.size());
  for (std::size_t i = 0; i < made.size(); ++i) CHECK(near(made[i], expected[i], 1e-12));
}

TEST_CASE("steps go with the tube, balance pipes with the collector, a flange step with the kind") {
  const CaseFile c = read_case_file(tests::shipped_folder() / "street-v8.toml");
  const HeaderDesign& steps = find_header(c, "steps");
  const HeaderDesign& bar = find_header(c, "H");
  CHECK(differing_parts(steps, bar) == (tube | collector));
  CHECK(shape_of(c, mixed_header(c, steps, bar, tube | collector)) == shape_of(c, bar));
  CHECK(shape_of(c, mixed_header(c, bar, steps, tube | collector)) == shape_of(c, steps));
  HeaderDesign flange = bar;
  flange.port_transition = 0;
  CHECK(differing_parts(flange, bar) == kind);
  HeaderDesign one = bar;
  one.groups.pop_back();
  one.balance.clear();
  CHECK_THROWS_WITH_AS(mixed_header(c, one, bar, collector), Contains("no two collectors"),
                       std::invalid_argument);
  // A step beyond the end of a shorter tube.
  HeaderDesign stub = bar;
  for (auto& [cylinder, own] : stub.primary_length) own = 10 * inch;
  CHECK_THROWS_WITH_AS(mixed_header(c, stub, steps, tube), Contains("would have no length"),
                       std::invalid_argument);
}

TEST_CASE("parts that would leave a millimetre of a tube are refused") {
  const CaseFile c = read_case_file(tests::shipped_folder() / "street-v8.toml");
  const HeaderDesign& steps = find_header(c, "steps");
  // Its tube steps up at 12 in; another header takes tube and steps over.
  HeaderDesign shorter = find_header(c, "H");
  const auto with_length = [&](double own) {
    for (auto& [cylinder, primary] : shorter.primary_length) primary = own;
    return mixed_header(c, shorter, steps, tube);
  };
  CHECK_NOTHROW(with_length(12 * inch + 0.03));
  // 1 mm to the crotch, and 0.19 of the bore of 1.745 in behind it, along a tube at 12 deg.
  CHECK_THROWS_WITH_AS(with_length(12 * inch + 0.001), Contains("would have 9.6 mm left"),
                       std::invalid_argument);
}

TEST_CASE("what cannot be mixed is refused with the reason") {
  const CaseFile c = hillclimb();
  const HeaderDesign& plain = find_header(c, "equal-length");
  HeaderDesign network = plain;
  network.kind = HeaderKind::network;
  network.name = "H pipe";
  CHECK_THROWS_WITH_AS(mixed_header(c, plain, network, tube), "H pipe is an explicit network",
                       std::invalid_argument);
  CHECK_THROWS_AS(differing_parts(network, plain), std::invalid_argument);
  HeaderDesign stub = plain;  // shorter than half the step of the stepped header
  for (auto& [cylinder, own] : stub.primary_length) own = 2 * inch;
  CHECK_THROWS_WITH_AS(mixed_header(c, find_header(c, "stepped-length"), stub, lengths),
                       Contains("would have no length"), std::invalid_argument);
  // Less than the tubes need to meet behind their crotch.
  stub.collector_length = 0.5 * inch;
  stub.tail_length = 0;
  CHECK_THROWS_WITH_AS(mixed_header(c, plain, stub, collector),
                       "in equal-length with parts of the other header the collector left would "
                       "have no length",
                       std::invalid_argument);
}
