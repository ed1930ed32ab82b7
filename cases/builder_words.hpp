// What builders call a thing that a case file has another word for: the advice for a choice or a
// key that is not known, where spelling alone would suggest something else ("muffler": no
// "helmholtz").
#pragma once

#include <string>
#include <string_view>

namespace pulsewright::cases {

// Advice for `word` where a choice of `key` in `section` of the parameter table is wanted; key "":
// where a key of the section is. Capitals, and spaces, hyphens and underscores for each other do
// not matter. Empty if the word is none of those that are known here.
std::string builder_word(std::string_view section, std::string_view key, std::string_view word);

}  // namespace pulsewright::cases
