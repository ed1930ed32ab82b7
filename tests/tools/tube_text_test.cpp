// Tubes in the words by which they are ordered: what the reader of cases makes of such a text comes
// back as that text.
#include "tools/study/tube_text.hpp"

#include <doctest/doctest.h>

using namespace pulsewright;

TEST_CASE("a tube that is read from its stock size has that stock size again") {
  for (const char* text : {"1-7/8 in OD, 16 ga", "3-1/2 in OD, 16 ga", "2 in OD, 18 ga",
                           "15/16 in OD, 22 ga", "2-1/4 in OD, 1.5 mm wall",
                           "42.4 mm OD, 1.5 mm wall", "48 mm OD, 2 mm wall", "60.3 mm OD, 10 ga"}) {
    CAPTURE(text);
    CHECK(tools::tube_text(cases::parse_tube(text)) == text);
  }
}

TEST_CASE("other ways to write a tube lead to its stock size") {
  CHECK(tools::tube_text(cases::parse_tube("1.875 in OD, 0.065 in wall")) == "1-7/8 in OD, 16 ga");
  CHECK(tools::tube_text(cases::parse_tube("47.625 mm OD, 1.651 mm wall")) == "1-7/8 in OD, 16 ga");
  CHECK(tools::tube_text(cases::parse_tube("50 mm ID, 1.5 mm wall")) == "53 mm OD, 1.5 mm wall");
}

TEST_CASE("a tube without a wall goes by its inside diameter and has no stock size") {
  CHECK(tools::tube_text(cases::parse_tube("2 in ID")).empty());
  CHECK(tools::tube_text(cases::Tube{}).empty());
}

TEST_CASE("sixteenths of an inch are told from millimetres") {
  CHECK(tools::is_inch_size(cases::parse_tube("1-7/8 in OD, 16 ga")));
  CHECK_FALSE(tools::is_inch_size(cases::parse_tube("48 mm OD, 16 ga")));
  CHECK_FALSE(tools::is_inch_size(cases::parse_tube("50 mm ID, 16 ga")));
}
