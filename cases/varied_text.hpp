// The text of a case file with one more header: that which a search has found, under a name of its
// own, behind all others.
//
// It is written as the header that the search began with, key by key, with the values that were
// varied in place of the old ones; so whatever else that header has stays.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "cases/case_file.hpp"
#include "cases/tune.hpp"

namespace pulsewright::cases {

// One more header of a case file.
struct VariedHeader {
  std::string base;  // name of the header that it was made from
  std::string name;
  std::string notes;    // may be empty
  HeaderDesign design;  // varied_header() of that one
};

// variables: that may differ between it and its base. Lengths are written to a hundredth of a
// millimetre. Throws std::invalid_argument for a text without a header of the name, or with one of
// the new name.
std::string varied_case_text(std::string_view case_text, const VariedHeader& header,
                             const std::vector<DesignVariable>& variables);

// A tube as a case file spells it: "1.875 in OD, 16 ga", "42.4 mm OD, 1.5 mm wall", "38 mm ID".
std::string tube_value(const Tube& tube);

}  // namespace pulsewright::cases
