// What `check` prints of the tubes of a header.
#pragma once

#include <string>

#include "cases/case_file.hpp"

namespace pulsewright::tools {

// A line of a list: `text` behind `name`, and further lines below the text.
std::string entry(const std::string& name, const std::string& text);

// The tubes of a primary, one after the other: "1-3/4 in OD, 16 ga; ..., from 12 in on ...".
std::string primary_text(const cases::Primary& primary, const cases::QuantityText& shown);

// Whether all primaries of a header have the same tubes.
bool have_same_tubes(const cases::HeaderDesign& header, const cases::QuantityText& shown);

// Lines on flange, primaries, secondaries, neck, collector, tail and balance pipes; of a network
// its pipes.
std::string tubes_text(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
                       const cases::QuantityText& shown);

}  // namespace pulsewright::tools
